"""What the evidence speaks for, as values."""

from __future__ import annotations

from dataclasses import dataclass

from tracer.base.findings import Finding

__all__ = ["Measurement", "Outcome", "Suspect", "SuspectFault", "SuspectTable"]


@dataclass(frozen=True, slots=True)
class SuspectFault:
    """One way in which a suspect can have failed; `text` names all that nothing so far tells apart."""

    text: str
    probability: float


@dataclass(frozen=True, slots=True)
class Suspect:
    """A part, its joints, a track, or what is outside the path.

    Attributes
    ----------
    part, type, place : str or None
        None for what is outside.
    what : str
        chip, joint, track, resistor, transistor, outside.
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
    what: str
    pins: tuple[str, ...]
    probability: float
    faults: tuple[SuspectFault, ...]
    why: str


@dataclass(frozen=True, slots=True)
class Outcome:
    """One result of a measurement: how likely it is, and what it would mean."""

    reading: str
    probability: float
    means: str


@dataclass(frozen=True, slots=True)
class Measurement:
    """Something to do next.

    Attributes
    ----------
    what : str
        In words: ``read U13.19 8Q``.
    part, pin, place : str or None
        Where.
    minutes : float
    caution : str
    outcomes : tuple of Outcome
        Likeliest first.
    tell : str
        The option that tells its likeliest answer.
    """

    what: str
    part: str | None
    pin: str | None
    place: str | None
    minutes: float
    caution: str
    outcomes: tuple[Outcome, ...]
    tell: str = ""


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
