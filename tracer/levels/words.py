"""Words and groups that every output of the levels shares."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from tracer.base.names import last_part, readable_name
from tracer.base.units import format_ohm
from tracer.levels.leg_values import Activity, Cause, OhmRange
from tracer.levels.values import ColourLevels

__all__ = ["SHORT_ACTIVITY", "alike_colours", "cause_text", "load_words", "ohms_text", "volts_text"]

#: What a leg does, where there is room for one word.
SHORT_ACTIVITY: Mapping[Activity, str] = {
    "pulses with the picture": "picture",
    "pulses all the time": "clock",
    "still": "still",
    "held by blanking": "blanking",
    "not known": "?",
}


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
            groups.setdefault(
                (colour.loads, colour.n_levels, colour.crossing, bool(colour.coupled_by)), []
            ).append(colour)
    return list(groups.values())


def cause_text(cause: Cause | None, *, brief: bool = False, board: str = "") -> str:
    """What a control's activity is told by; nothing for data.

    Brief: beside the name of its chip, so without that one's `board` (``main:``) and without what it says itself.

    >>> cause_text(Cause("/~{BLANK}", driver="U22.8")), cause_text(Cause("/CLK", driver="U21.5", is_clock=True), brief=True)
    ('/BLANK, driven by U22.8', 'from U21.5')
    """
    if cause is None:
        return ""
    if cause.net is None:
        return "the drawing does not say where it goes"

    def named(name: str) -> str:
        return readable_name(name.removeprefix(board)) if brief else name

    if cause.tied is not None:
        over = f"{'a supply' if cause.tied else 'ground'} over a resistor"
        return f"tied {'high' if cause.tied else 'low'} to {named(cause.rail) if cause.rail else over}"
    by = "no driver in the drawing"
    if cause.driver:
        by = f"{'from' if brief else 'driven by'} {named(cause.driver)}"
    if cause.is_clock:
        return by if brief else f"pixel clock, {by}"
    return f"{named(last_part(cause.net))}, {by}"


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
