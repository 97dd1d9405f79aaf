"""Chips and connectors as a person at the bench sees them, as values."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from tracer.base.text import bits_words

__all__ = [
    "DIP_COUNTS",
    "ChipView",
    "ConnectorPin",
    "ConnectorView",
    "LegMark",
    "LegView",
    "Outline",
    "mark_text",
]

#: How a chip is drawn: two rows of legs seen from above, or a plain list.
Outline = Literal["dip", "list"]

#: Numbers of legs of dual-in-line packages (JEDEC MS-001 and MS-011 families; common practice, from memory).
DIP_COUNTS: frozenset[int] = frozenset({6, 8, 14, 16, 18, 20, 22, 24, 28, 32, 36, 40, 42, 48, 64})


@dataclass(frozen=True, slots=True)
class LegMark:
    """A bit of a colour that passes a leg (0 = lightest); never in short, as ``R3`` is a resistor."""

    colour: str
    bit: int

    def __str__(self) -> str:
        return f"{self.colour} {self.bit}"


def mark_text(marks: Iterable[LegMark]) -> str:
    """Marks in few words, runs of bits joined.

    >>> mark_text([LegMark("red", 3), LegMark("red", 2), LegMark("green", 0)])
    'red 3-2, green 0'
    """
    return bits_words((mark.colour, mark.bit) for mark in marks)


@dataclass(frozen=True, slots=True)
class LegView:
    """One leg.

    Attributes
    ----------
    number, name : str
        name is empty where it is not known; a leading slash means active low.
    role : str
        What the leg is for: data in, data out, data io, address, clock, clear, preset, enable, select, load,
        direction, write enable, supply, ground, nc ...; empty where it is not known.
    marks : tuple of LegMark
        Bits that pass it as data; by colour in the map's order, heaviest first.
    is_control : bool
        A step of the path is clocked, cleared, selected or enabled by it.
    net : str or None
        None where it is not stated.
    tied : int or None
        Level at which a rail holds its net, straight or over a resistor.
    driver : str
        The leg of another part that sets its net, or the connector pin it comes by, where it is one alone: ``U21.5``.
    """

    number: str
    name: str
    role: str
    marks: tuple[LegMark, ...] = ()
    is_control: bool = False
    net: str | None = None
    tied: int | None = None
    driver: str = ""


@dataclass(frozen=True, slots=True)
class ChipView:
    """A chip of the path.

    Attributes
    ----------
    part, type : str
    marking : str
        What is printed on it, or what it is sold as where the drawing has no marking.
    place : str or None
    does : str
        palette, latch, multiplexer, write path ...
    what : str
        The type in a few words; empty where it has no entry.
    outline : {'dip', 'list'}
        dip: legs are 1 to n, n even, and nothing speaks against two rows.
    legs : tuple of LegView
        In order of their numbers; for dip all of them, 1 to n.
    marks : tuple of LegMark
        All bits that it feeds.
    is_whole : bool
        Whether `legs` are all legs of the chip; False where the input tells only some.
    confirmed : bool
        Whether a second source confirms the leg table, or the drawing itself gave it.
    """

    part: str
    type: str
    marking: str
    place: str | None
    does: str
    what: str
    outline: Outline
    legs: tuple[LegView, ...]
    marks: tuple[LegMark, ...]
    is_whole: bool = True
    confirmed: bool = True

    @property
    def rows(self) -> tuple[tuple[LegView, LegView], ...]:
        """Pairs of legs seen from above, notch up: 1 and n, 2 and n - 1 ...; only for dip."""
        half = len(self.legs) // 2
        return tuple(zip(self.legs[:half], reversed(self.legs[half:]), strict=True))

    @property
    def notable_legs(self) -> tuple[LegView, ...]:
        """The legs that matter on the way: those with marks, controls, supply and ground."""
        return tuple(g for g in self.legs if g.marks or g.is_control or g.role in ("supply", "ground"))


@dataclass(frozen=True, slots=True)
class ConnectorPin:
    """A pin of a connector with colours: `colour` is empty where it carries none.

    `use` is colour, ground, supply, sync or empty.
    """

    number: str
    name: str
    net: str | None
    use: str
    colour: str = ""


@dataclass(frozen=True, slots=True)
class ConnectorView:
    """A connector that a colour leaves by.

    `part` is None where the drawing has no connector; `is_whole` says whether all its pins are known.
    """

    part: str | None
    marking: str
    place: str | None
    pins: tuple[ConnectorPin, ...]
    is_whole: bool = True
