"""Words and groups that every output of the levels shares."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from tracer.base.names import last_part, readable_name
from tracer.base.units import format_ohm
from tracer.levels.leg_values import Activity, Cause, OhmRange
from tracer.levels.values import ColourLevels, LevelTable
from tracer.tracing.load import MONITOR_OHM

__all__ = [
    "SHORT_ACTIVITY",
    "alike_colours",
    "alike_text",
    "cause_text",
    "load_words",
    "ohms_text",
    "said_load",
    "volts_text",
]

#: Volts that differ by less are shown alike: half of the last figure.
_ALIKE_VOLTS = 5e-4

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
    groups: list[list[ColourLevels]] = []
    for colour in colours:
        if colour.loads:
            group = next((g for g in groups if _are_alike(g[0], colour)), None)
            if group is None:
                groups.append([colour])
            else:
                group.append(colour)
    return groups


def _are_alike(a: ColourLevels, b: ColourLevels) -> bool:
    kinds = [
        (c.n_bits, c.n_levels, c.crossing, bool(c.coupled_by), [x.load_ohm for x in c.loads]) for c in (a, b)
    ]
    return kinds[0] == kinds[1] and all(
        (one.blanked_volts is None) == (other.blanked_volts is None)
        and abs((one.blanked_volts or 0.0) - (other.blanked_volts or 0.0)) < _ALIKE_VOLTS
        and all(
            abs(x - y) < _ALIKE_VOLTS
            for here, there in zip(one.codes, other.codes, strict=True)
            for x, y in zip(
                (here.volts, here.lowest, here.highest),
                (there.volts, there.lowest, there.highest),
                strict=True,
            )
        )
        for one, other in zip(a.loads, b.loads, strict=True)
    )


def alike_text(names: Sequence[str]) -> str:
    """``red, green and blue alike``.

    >>> alike_text(["red", "green", "blue"]), alike_text(["red", "blue"]), alike_text(["red"])
    ('red, green and blue alike', 'red and blue alike', 'red')
    """
    return f"{', '.join(names[:-1])} and {names[-1]} alike" if len(names) > 1 else names[0]


def said_load(table: LevelTable) -> str:
    """Which load comes first, and why; nothing where no colour has levels."""
    first = next((c.loads[0].load_ohm for c in table.colours if c.loads), 0.0)
    if first == 0.0:
        return ""
    if first == MONITOR_OHM:
        return (
            f"{load_words(first)} is the load unless another is told: the heaviest usual one (domestic sets), "
            "so that no monitor gets less. Monitors of game boards take 1k and more; tell yours with --load 1k, or with the "
            "line load 1k in the notes."
        )
    return f"{load_words(first)} comes first, as told by --load or by the line load in the notes."


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
