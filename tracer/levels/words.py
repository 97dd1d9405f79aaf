"""Words and groups that every output of the levels shares."""

from __future__ import annotations

from collections.abc import Iterable

from tracer.base.units import format_ohm
from tracer.levels.leg_values import OhmRange
from tracer.levels.values import ColourLevels

__all__ = ["alike_colours", "load_words", "ohms_text", "volts_text"]


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


def volts_text(ends: tuple[float, float] | None) -> str:
    """``0.0-0.4``; a dash where it is not known."""
    if ends is None:
        return "-"
    low, high = (f"{v:.1f}" for v in ends)
    return low if low == high else f"{low}-{high}"


def ohms_text(ohms: OhmRange | None, unknown: str = "?") -> str:
    """``656R-726R``, ``470R up``, ``open``, ``short``."""
    if ohms is None:
        return unknown
    if ohms.lowest is None:
        return "open"
    if ohms.lowest == 0.0 and (ohms.highest or 0.0) <= 1.0:
        return "short"
    low = format_ohm(float(f"{ohms.lowest:.3g}"))
    return f"{low}-{format_ohm(float(f'{ohms.highest:.3g}'))}" if ohms.highest is not None else f"{low} up"
