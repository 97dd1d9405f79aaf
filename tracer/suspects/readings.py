"""What a probe reads at a leg, and what else can be measured, under each fault.

low, high, pulsing    as a logic probe says
floating              no level of its own: an open leg, an output that holds nothing
between               a level that is neither, a weak output

A probability for each word; what a fault leaves open is shared.
"""

from __future__ import annotations

from tracer.levels.leg_paths import LegPath
from tracer.suspects.fault import Hit, PathFault

__all__ = [
    "BEEPS",
    "OHMS",
    "PRESSES",
    "READINGS",
    "SWAPS",
    "beep_of",
    "ohms_of",
    "press_of",
    "reading_of",
    "swap_of",
]

READINGS: tuple[str, ...] = ("pulsing", "low", "high", "floating", "between")
OHMS: tuple[str, ...] = ("as it should be", "short", "open", "wrong value")
BEEPS: tuple[str, ...] = ("beep", "no beep")
PRESSES: tuple[str, ...] = ("changes", "no change")
SWAPS: tuple[str, ...] = ("cured", "no change")

Chances = dict[str, float]


def reading_of(fault: PathFault, uses: list[tuple[LegPath, int]]) -> Chances:
    """Chances of each reading at a leg that `uses` says which ways pass, and where."""
    way, at = next(((w, k) for w, k in uses if (w.colour, w.bit) in fault.hits), uses[0])
    hit = fault.hits.get((way.colour, way.bit))
    return {"pulsing": 1.0} if hit is None else _at(fault, way, hit, at)


def _at(fault: PathFault, way: LegPath, hit: Hit, at: int) -> Chances:
    if at < hit.at:
        return {"pulsing": 1.0}
    leg = way.legs[hit.at]
    comes_and_goes = fault.comes_and_goes
    if hit.is_open and leg.is_output:
        if at == hit.at:
            # A broken joint leaves the chip's own leg alive, a chip that drives nothing does not.
            alive = fault.what == "joint"
            return {"pulsing": 1.0} if alive else {"floating": 0.8, "between": 0.2}
        if comes_and_goes:
            return {"pulsing": 0.5, "floating": 0.3, "between": 0.2}
        if at == hit.at + 1:
            return {"floating": 0.8, "high": 0.2}
        start = hit.at + 1
    elif hit.is_open and at == hit.at:
        # The probe on the leg itself meets an input that hears nothing.
        return {"pulsing": 0.5, "floating": 0.5} if comes_and_goes else {"floating": 0.8, "high": 0.2}
    else:
        start = hit.at
    if comes_and_goes:
        return {"pulsing": 0.6, "between": 0.2, "high": 0.2}
    if hit.level is None:
        # Weak: its own leg shows no level, what follows makes something of it.
        return {"between": 0.8, "pulsing": 0.2} if at == hit.at else {"pulsing": 0.7, "between": 0.3}
    return {"high" if way.level_at(start, hit.level, at) else "low": 1.0}


def ohms_of(fault: PathFault, place: str) -> Chances:
    """Chances of what a meter shows with the board off, at a connection to ground and supply, or across a resistor."""
    if fault.what == "track" and fault.place == place:
        return {"short": 1.0}
    if fault.what == "resistor" and fault.part == place:
        (_, what, _, factor) = fault.stage[0]
        word = "open" if what == "remove" else "short" if factor < 1 else "wrong value"
        return {word: 1.0}
    return {"as it should be": 1.0}


def beep_of(fault: PathFault, place: str) -> Chances:
    """Chances of a beep from one end of a connection to the other."""
    if fault.what == "joint" and fault.place == place:
        return {"no beep": 1.0}
    return {"beep": 1.0}


def press_of(fault: PathFault, part: str) -> Chances:
    """Chances that the picture changes when a chip is pressed, warmed or tapped."""
    if fault.comes_and_goes and fault.part == part:
        return {"changes": 0.8, "no change": 0.2}
    if fault.what == "joint" and fault.part == part:
        return {"changes": 0.3, "no change": 0.7}
    if fault.part == part and fault.text.endswith("weak"):
        return {"changes": 0.3, "no change": 0.7}
    return {"no change": 1.0}


def swap_of(fault: PathFault, part: str) -> Chances:
    """Chances of a cure by another chip in the place of `part`."""
    if fault.part == part and fault.what == "chip":
        return {"cured": 1.0}
    return {"no change": 1.0}
