"""Pieces of evidence, and measurements that could be made."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from tracer.suspects.exchange import EXCHANGES
from tracer.suspects.readings import BEEPS, OHMS, PRESSES, READINGS, SWAPS

__all__ = ["ANSWERS", "Candidate", "Observation", "ObservationKind"]

#: A measurement, or what is said of the screen.
ObservationKind = Literal[
    "seen", "read", "ohms", "beep", "press", "swapped", "exchanged", "warmth", "layer", "appears", "shapes"
]

#: Kind of measurement -> its answers.
ANSWERS: dict[ObservationKind, tuple[str, ...]] = {
    "read": READINGS,
    "ohms": OHMS,
    "beep": BEEPS,
    "press": PRESSES,
    "swapped": SWAPS,
    "exchanged": EXCHANGES,
}


@dataclass(frozen=True, slots=True)
class Observation:
    """One piece of evidence.

    Attributes
    ----------
    kind : ObservationKind
    where : tuple of str
        A colour; a part and a leg; the ends of a connection, or a resistor; the ends of a connection; a part; a part;
        two colours; nothing; nothing; the mixed colour that should be; nothing.
    word : str
        One of the words of that kind; of `appears` the mixed colour that is.
    is_denied : bool
        The word was denied: anything else, but not this.
    """

    kind: ObservationKind
    where: tuple[str, ...]
    word: str
    is_denied: bool = False


@dataclass(frozen=True, slots=True)
class Candidate:
    """A measurement that could be made: its kind, where, and minutes.

    `swept` are places side by side that are measured in one go, in the order in which they are worth it.
    """

    kind: ObservationKind
    where: tuple[str, ...]
    minutes: float
    swept: tuple[tuple[str, ...], ...] = ()
