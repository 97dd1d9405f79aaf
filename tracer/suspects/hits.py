"""Where faults enter the path of a bit, and what becomes of the bit at its driver.

The level at a leg passes the inverting steps behind it as the picture would; an open leg leaves the next input to itself,
which reads high in bipolar families and floats in CMOS ones (`tracer.parts.families`); an open output of the stage itself
lets its net go.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tracer.levels.leg_paths import LegPath

__all__ = ["AtDriver", "BitId", "Hit", "at_driver", "by_bit", "hit_at", "in_bank", "stands_from"]

#: Colour and bit.
BitId = tuple[str, int]


@dataclass(frozen=True, slots=True)
class Hit:
    """Where a fault enters the path of a bit.

    Attributes
    ----------
    at : int
        Place among the legs of the path, from the memory to the driver.
    level : int or None
        The level from there on, as at that leg; None: it floats or comes and goes.
    is_open : bool
        The leg is fine before it; what follows hears nothing.
    let_go : bool
        The driver holds its net no longer.
    bank : int
        Of the path (`tracer.levels.leg_paths.LegPath`).
    """

    at: int
    level: int | None
    is_open: bool = False
    let_go: bool = False
    bank: int = 0


@dataclass(frozen=True, slots=True)
class AtDriver:
    """What becomes of a bit at its driver.

    Attributes
    ----------
    level : int or None
        The level that the driver then always has; None: not told (an input that floats), or let go.
    let_go : bool
        The driver holds nothing; the stage stands without it.
    """

    level: int | None
    let_go: bool = False

    @property
    def is_told(self) -> bool:
        """Whether the fault alone tells what the driver does."""
        return self.let_go or self.level is not None


def by_bit(hits: Iterable[tuple[BitId, Hit]]) -> dict[BitId, tuple[Hit, ...]]:
    """Hits of one fault by the bits they are on, from the memory on."""
    found: dict[BitId, list[Hit]] = {}
    for key, hit in hits:
        found.setdefault(key, []).append(hit)
    return {key: tuple(sorted(own, key=lambda h: h.at)) for key, own in found.items()}


def in_bank(hits: Sequence[Hit], bank: int) -> tuple[Hit, ...]:
    """Those on the path of one bank."""
    return tuple(h for h in hits if h.bank == bank)


def hit_at(hits: Sequence[Hit], at: int) -> Hit | None:
    """The hit that decides what a leg reads: the last one up to it."""
    return next((h for h in reversed(hits) if h.at <= at), None)


def stands_from(path: LegPath, hit: Hit) -> int:
    """The leg at which a hit's level stands: behind an open output it is the next input."""
    goes_on = hit.is_open and path.legs[hit.at].is_output and hit.at + 1 < len(path.legs)
    return hit.at + 1 if goes_on else hit.at


def at_driver(path: LegPath, hits: Sequence[Hit]) -> AtDriver:
    """What the hits of a fault make of a bit: the one nearest to the driver decides."""
    hit = hits[-1]
    if hit.let_go or hit.level is None:
        return AtDriver(None, hit.let_go)
    return AtDriver(path.level_at(stands_from(path, hit), hit.level, len(path.legs) - 1))
