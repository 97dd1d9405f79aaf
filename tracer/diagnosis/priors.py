"""Priors, error rates and minutes: `faults.toml`, and a file of the user's in the same form."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from tracer.errors import PartDataError

__all__ = ["Priors", "load_priors"]

Table = dict[str, dict[str, float]]


@dataclass(frozen=True)
class Priors:
    """The numbers, by table and name."""

    tables: Table

    def __call__(self, table: str, name: str) -> float:
        """One number."""
        return self.tables[table][name]


@cache
def _own() -> Table:
    text = (files("tracer.diagnosis") / "faults.toml").read_text(encoding="utf-8")
    return {name: {k: float(v) for k, v in table.items()} for name, table in tomllib.loads(text).items()}


def load_priors(text: str | None = None, file: str = "") -> Priors:
    """The program's numbers, with those of `text` (TOML) in their place.

    Raises
    ------
    PartDataError
        `text` is no TOML, or names a number that there is not, or one below 0.
    """
    tables = {name: dict(table) for name, table in _own().items()}
    if text is None:
        return Priors(tables)
    try:
        given = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise PartDataError(
            f"this is no TOML: {error}", file=file, fix="write [share] and ram = 0.25"
        ) from error
    for name, table in given.items():
        if name not in tables or not isinstance(table, dict):
            raise PartDataError(
                f"there is no table [{name}]", file=file, fix=f"the tables are: {', '.join(tables)}"
            )
        for key, value in table.items():
            if key not in tables[name]:
                known = ", ".join(tables[name])
                raise PartDataError(f"[{name}] has no {key}", file=file, fix=f"it has: {known}")
            if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value < 1e6:
                raise PartDataError(f"[{name}] {key} = {value!r} is no number from 0 up", file=file)
            tables[name][key] = float(value)
    return Priors(tables)
