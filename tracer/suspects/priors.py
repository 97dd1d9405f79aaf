"""Priors, chances of readings, error rates and minutes: `faults.toml`, and a file of the user's in the same form."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache, lru_cache
from importlib.resources import files

from tracer.base.toml_numbers import NumberTables, read_number_tables

__all__ = ["Priors", "chance", "chances", "load_priors"]

Priors = NumberTables


@cache
def _own() -> str:
    return (files("tracer.suspects") / "faults.toml").read_text(encoding="utf-8")


@cache
def _usual() -> Priors:
    return read_number_tables(_own())


def load_priors(text: str | None = None, file: str = "") -> Priors:
    """The program's numbers, with those of `text` (TOML) in their place.

    Raises
    ------
    PartDataError
        `text` is no TOML, or names a number that there is not, or one below 0.
    """
    return _usual() if text is None else read_number_tables(_own(), text, file)


def chance(priors: Priors, table: str, name: str) -> float:
    """One number as a chance: 1 at most."""
    return min(priors(table, name), 1.0)


@lru_cache(maxsize=128)
def chances(priors: Priors, table: str) -> Mapping[str, float]:
    """A table of shares as chances that add up to 1."""
    shares = priors.tables[table]
    total = sum(shares.values()) or 1.0
    return {name: share / total for name, share in shares.items()}
