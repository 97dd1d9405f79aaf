"""What the evidence speaks for, as values: facts, and beside them the sentences for people."""

from __future__ import annotations

from dataclasses import dataclass

from tracer.base.findings import Finding
from tracer.suspects.fault import Fault, Group, What
from tracer.suspects.observation import ObservationKind

__all__ = ["AfterParts", "Measurement", "Outcome", "Suspect", "SuspectFault", "SuspectTable"]


@dataclass(frozen=True, slots=True)
class SuspectFault:
    """Ways in which a suspect can have failed that nothing so far tells apart; `text` names them."""

    faults: tuple[Fault, ...]
    probability: float
    text: str


@dataclass(frozen=True, slots=True)
class Suspect:
    """A part, its joints, a track, or what is outside the path.

    Attributes
    ----------
    part, type, place : str or None
        None for what is outside.
    what : What
    at : tuple of str
        The part, or the two ends of the connection.
    pins : tuple of str
        Legs that its likelier faults are about.
    probability : float
    faults : tuple of SuspectFault
        Likeliest first.
    why : str
        One sentence.
    """

    part: str | None
    type: str | None
    place: str | None
    what: What
    at: tuple[str, ...]
    pins: tuple[str, ...]
    probability: float
    faults: tuple[SuspectFault, ...]
    why: str


@dataclass(frozen=True, slots=True)
class Outcome:
    """One result of a measurement: how likely it is, who is suspected most after it (`means` says it), and how to tell it."""

    reading: str
    probability: float
    suspect: Group
    after: float
    means: str
    tell: str


@dataclass(frozen=True, slots=True)
class Measurement:
    """Something to do next.

    Attributes
    ----------
    kind : ObservationKind
    where : tuple of str
        A part and a leg; a part or a resistor; the ends of a connection.
    part, pin, place : str or None
        The part that it is at, its leg, and where it sits.
    minutes : float
    outcomes : tuple of Outcome
        Likeliest first.
    what : str
        In words: ``read U13.19 8Q``.
    caution : str
    tell : str
        The option that tells its likeliest answer.
    swept : tuple of tuple of str
        Places side by side, to be measured in one go.
    """

    kind: ObservationKind
    where: tuple[str, ...]
    part: str | None
    pin: str | None
    place: str | None
    minutes: float
    outcomes: tuple[Outcome, ...]
    what: str
    caution: str
    tell: str = ""
    swept: tuple[tuple[str, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class AfterParts:
    """What is said of a part before and after its cure.

    Attributes
    ----------
    before : tuple of str
        What silences it from outside.
    swapped : str
        After a swap in vain.
    fits : str
        What fits in its place; empty where that is not known.
    colours : tuple of str
        Those that it feeds.
    is_ram : bool
    donors : tuple of str
        Parts elsewhere on the board that can take its place: its type, or one that fits.
    """

    before: tuple[str, ...]
    swapped: str
    fits: str
    colours: tuple[str, ...]
    is_ram: bool
    donors: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SuspectTable:
    """The whole answer.

    Attributes
    ----------
    board : str
    evidence : tuple of str
        As understood, oldest first.
    suspects : tuple of Suspect
        Likeliest first.
    next : tuple of Measurement
        The best first.
    afterwards : tuple of str
        What is normal once it is cured.
    findings : tuple of Finding
    """

    board: str
    evidence: tuple[str, ...]
    suspects: tuple[Suspect, ...]
    next: tuple[Measurement, ...]
    afterwards: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
