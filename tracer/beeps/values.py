"""What to touch next on a board that is not fully known, and how far along the search is: values for outputs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = ["CAUTION", "ChipGuess", "Contradiction", "NextTouch", "Progress", "SweepLeg", "TouchAdvice"]

#: Before the first touch. Common practice; a meter's own manual and local rules come first.
CAUTION = (
    "Board off and unplugged, capacitors discharged, battery out or isolated; a monitor's chassis stays out of "
    "reach: its tube holds high voltage for days. A meter on a live board reads nonsense and can be destroyed."
)


@dataclass(frozen=True, slots=True)
class SweepLeg:
    """A leg to touch: its part, number and name, and the chance that it beeps."""

    part: str
    pin: str
    name: str
    chance: float


@dataclass(frozen=True, slots=True)
class NextTouch:
    """One lead held still, the other swept.

    Attributes
    ----------
    kind : str
        ``find`` or ``repeat``.
    held, held_words : str
        Where one lead stays, and what that is.
    legs : tuple of SweepLeg
        In the order to touch them; stop at the first that beeps.
    sweep_words : str
        The legs, chip by chip, in words.
    why, if_beep, if_none : str
    ohms : str
        Why to read the ohms of a beep too; empty where a beep is a beep.
    """

    kind: Literal["find", "repeat"]
    held: str
    held_words: str
    legs: tuple[SweepLeg, ...]
    sweep_words: str
    why: str
    if_beep: str
    if_none: str
    ohms: str = ""


@dataclass(frozen=True, slots=True)
class Progress:
    """Connections found and still open, bits that end at a memory, touches used and expected, minutes expected."""

    connections: int
    open: int
    bits_closed: int
    bits: int
    touches: int
    touches_left: float
    minutes_left: float = 0.0


@dataclass(frozen=True, slots=True)
class ChipGuess:
    """A chip that may be part of the colour path: what it would do there, its chance, and why."""

    part: str
    type: str
    place: str
    does: str
    chance: float
    why: str


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Answers that cannot all be right: what is odd, and the lines of notes that it rests on."""

    text: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TouchAdvice:
    """Everything that `beep` says."""

    board: str
    next: NextTouch | None
    progress: Progress
    chips: tuple[ChipGuess, ...]
    contradictions: tuple[Contradiction, ...]
    unknown: tuple[str, ...]
    stopped: tuple[str, ...]
    untouched: tuple[str, ...]
    unsure: str = ""
