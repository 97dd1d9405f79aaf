"""The numbers of `wiring.toml`."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from tracer.base.toml_numbers import NumberTables, read_number_tables

__all__ = ["load_wiring"]


@cache
def _own() -> str:
    return (files("tracer.beeps") / "wiring.toml").read_text(encoding="utf-8")


def load_wiring(text: str | None = None, file: str = "") -> NumberTables:
    """The program's numbers, with those of `text` (TOML, the same form) in their place.

    Raises
    ------
    PartDataError
        `text` is no TOML, or names a number that there is not.
    """
    return read_number_tables(_own(), text, file)
