"""What a probe reads at a leg, and what else can be measured, under each fault.

low, high, pulsing    as a logic probe says
floating              no level of its own: an open leg, an output that holds nothing
between               a level that is neither, a weak output

A probability for each word, from `faults.toml`; what a fault leaves open is shared.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from tracer.levels.leg_paths import LegPath
from tracer.suspects.fault import Fault, Place
from tracer.suspects.hits import Hit, hit_at, stands_from
from tracer.suspects.priors import Priors, chance, chances

__all__ = [
    "BEEPS",
    "OHMS",
    "PRESSES",
    "READINGS",
    "SWAPS",
    "beep_of",
    "control_of",
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

_PULSING: Mapping[str, float] = {"pulsing": 1.0}
_LEVELS = ("low", "high")


def reading_of(fault: Fault, uses: Sequence[tuple[LegPath, int]], priors: Priors) -> Mapping[str, float]:
    """Chances of each reading at a leg that `uses` says which paths pass, and where."""
    hits = fault.effect.hits
    path, at = next(((p, k) for p, k in uses if (p.colour, p.bit) in hits), uses[0])
    hit = hit_at(hits.get((path.colour, path.bit), ()), at)
    return _PULSING if hit is None else _behind(fault, path, hit, at, priors)


def _behind(fault: Fault, path: LegPath, hit: Hit, at: int, priors: Priors) -> Mapping[str, float]:
    """What a leg reads that is hit itself or stands behind one that is."""
    is_loose = fault.manner == "comes and goes"
    if hit.is_open and path.legs[hit.at].is_output:
        if at == hit.at:
            # A broken joint leaves the chip's own leg alive, a chip that drives nothing does not.
            return _PULSING if fault.what == "joint" else chances(priors, "read_silent")
        if is_loose:
            return chances(priors, "read_behind_loose")
        if at == hit.at + 1:
            return chances(priors, "read_unheard")
    elif hit.is_open and at == hit.at:
        # The probe on the leg itself meets an input that hears nothing.
        return chances(priors, "read_loose_input" if is_loose else "read_unheard")
    if is_loose:
        return chances(priors, "read_after_loose")
    if hit.level is None:
        return chances(priors, "read_weak" if at == hit.at else "read_after_weak")
    return {_LEVELS[path.level_at(stands_from(path, hit), hit.level, at)]: 1.0}


def control_of(fault: Fault, part: str, pin: str, priors: Priors) -> Mapping[str, float]:
    """Chances of each reading at a leg of a clock, clear or enable that several chips hang on."""
    if fault.control is None or (part, pin) not in fault.control.legs:
        return _PULSING
    stands = fault.control.stands
    return chances(priors, "read_stopped") if stands is None else {_LEVELS[stands]: 1.0}


def ohms_of(fault: Fault, place: Place) -> Mapping[str, float]:
    """Chances of what a meter shows with the board off, at a connection to ground and supply, or across a resistor."""
    if fault.what == "track" and fault.place == place:
        return {"short": 1.0}
    if fault.what == "resistor" and fault.place == place:
        word = {"open": "open", "common open": "open", "shorted": "short"}.get(fault.manner, "wrong value")
        return {word: 1.0}
    return {"as it should be": 1.0}


def beep_of(fault: Fault, place: Place) -> Mapping[str, float]:
    """Chances of a beep from one end of a connection to the other."""
    is_broken = fault.what == "joint" and fault.place == place
    return {"no beep" if is_broken else "beep": 1.0}


def press_of(fault: Fault, part: str, priors: Priors) -> Mapping[str, float]:
    """Chances that the picture changes when a chip is pressed, warmed or tapped."""
    changes = 0.0
    if fault.part == part:
        if fault.manner == "comes and goes":
            changes = chance(priors, "press", "comes_and_goes")
        elif fault.what == "joint":
            changes = chance(priors, "press", "joint")
        elif fault.manner == "weak":
            changes = chance(priors, "press", "weak")
    return {"changes": changes, "no change": 1.0 - changes} if changes else {"no change": 1.0}


def swap_of(fault: Fault, part: str) -> Mapping[str, float]:
    """Chances of a cure by another chip in the place of `part`."""
    is_cured = fault.part == part and fault.what == "chip"
    return {"cured" if is_cured else "no change": 1.0}
