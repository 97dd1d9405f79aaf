"""Values of the diagnosis: a fault of the path, and what it does to bits, memories and stages."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

__all__ = ["Hit", "PathFault", "What"]

What = Literal["chip", "joint", "track", "resistor", "transistor", "outside"]


@dataclass(frozen=True, slots=True)
class Hit:
    """Where a fault enters the way of a bit.

    Attributes
    ----------
    at : int
        Place among the legs of the way (`tracer.levels.leg_paths`), from the memory to the driver.
    level : int or None
        The level from there on, as at that leg; None: it floats or comes and goes.
    is_open : bool
        The leg is fine before it; what follows hears nothing.
    let_go : bool
        The driver holds its net no longer.
    """

    at: int
    level: int | None
    is_open: bool = False
    let_go: bool = False


@dataclass(frozen=True)
class PathFault:
    """One way in which the path can have failed.

    Attributes
    ----------
    text : str
        For people: ``U9 D3 (leg 13) stuck low``.
    what : What
    part : str
        The part it lies at; empty for what is outside.
    pins : tuple of str
    prior : float
        Before any evidence; all together 1.
    hits : dict of (str, int) to Hit
        By colour and bit.
    index : tuple or None
        ``("stuck", line, level)`` or ``("short", line, line)``: what a memory's address suffers.
    memories : tuple of str
        The memories that `index` and `scrambled` are about.
    scrambled : bool
        Those memories hold other words than the game wrote.
    stage : tuple of (str, str, int, float)
        Colour; what happens (to a resistor ``scale`` or ``remove``, to the common leg of its pack ``lift``, to a
        transistor ``transistor open`` or one of three shorts); place of the resistor or transistor; factor.
    tied : tuple of (str, int)
        Two bits, by colour and number, whose memory pins are shorted: a low one wins.
    control : tuple of (str, str)
        The legs of a clock, clear or enable net that stands still; empty for other faults.
    stands : str
        What a probe reads there: low, high, or empty where either can be.
    place : str
        What tells suspects apart: a part, or the two ends of a connection.
    joined : tuple of str
        Colours whose pins are shorted together; a single one is shorted to ground.
    """

    text: str
    what: What
    part: str
    pins: tuple[str, ...]
    prior: float = 0.0
    hits: dict[tuple[str, int], Hit] = field(default_factory=dict)
    index: tuple[str, int, int] | None = None
    memories: tuple[str, ...] = ()
    scrambled: bool = False
    stage: tuple[tuple[str, str, int, float], ...] = ()
    joined: tuple[str, ...] = ()
    tied: tuple[tuple[str, int], ...] = ()
    control: tuple[tuple[str, str], ...] = ()
    stands: str = ""
    place: str = ""
    comes_and_goes: bool = False

    @property
    def group(self) -> tuple[str, str]:
        """The suspect that it belongs to."""
        return self.what, self.place or self.part
