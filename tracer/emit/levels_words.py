"""Words and groups that every output of the levels shares."""

from __future__ import annotations

from collections.abc import Iterable

from tracer.level_table import ColourLevels
from tracer.units import format_ohm

__all__ = ["alike_colours", "load_words"]


def load_words(ohm: float | None) -> str:
    """``75 ohm``, ``1k ohm``, ``no load``."""
    if ohm is None:
        return "no load"
    return f"{ohm:g} ohm" if ohm < 1000 else f"{format_ohm(ohm)} ohm"


def alike_colours(colours: Iterable[ColourLevels]) -> list[list[ColourLevels]]:
    """Colours whose levels are known and the same, together."""
    groups: dict[object, list[ColourLevels]] = {}
    for colour in colours:
        if colour.loads:
            groups.setdefault((colour.loads, colour.crossing, bool(colour.coupled_by)), []).append(colour)
    return list(groups.values())
