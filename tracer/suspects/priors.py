"""Priors, error rates and minutes: `faults.toml`, and a file of the user's in the same form."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from tracer.base.toml_numbers import NumberTables, read_number_tables

__all__ = ["Priors", "load_priors"]

Priors = NumberTables


@cache
def _own() -> str:
    return (files("tracer.suspects") / "faults.toml").read_text(encoding="utf-8")


def load_priors(text: str | None = None, file: str = "") -> Priors:
    """The program's numbers, with those of `text` (TOML) in their place.

    Raises
    ------
    PartDataError
        `text` is no TOML, or names a number that there is not, or one below 0.
    """
    return read_number_tables(_own(), text, file)
