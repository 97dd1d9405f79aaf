"""What a diagram joins, leg by leg.

A box is a part as drawn; a part that a bit passes twice, at different depths,
becomes one box a depth, so that all lines run one way. An output of a box
brings bits over its inputs; a wire runs from an output to a `Head`: an input,
a row of a colour's resistors, or (for a write path) the memory leg that shares
its net.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from tracer.bitmap.model import Role, When

__all__ = ["BitId", "Box", "BoxKey", "BoxKind", "Head", "In", "Network", "Out", "OutKey", "Wire"]

BoxKind = Literal["step", "small", "memory", "stop", "write"]


class BitId(NamedTuple):
    """A bit in drawing order: index of its colour, minus its number (heaviest first)."""

    colour: int
    minus_bit: int

    @property
    def bit(self) -> int:
        """Its number."""
        return -self.minus_bit


class BoxKey(NamedTuple):
    """One box: kind, part (or what stands for it), and what tells apart the boxes of one part."""

    kind: BoxKind
    part: str
    which: str = ""


class OutKey(NamedTuple):
    """An output leg of a box."""

    box: BoxKey
    pin: str


class Head(NamedTuple):
    """Where a wire ends."""

    kind: Literal["in", "stage", "leg"]
    box: BoxKey | None = None
    pin: str = ""
    in_pin: str = ""
    bit: BitId | None = None


@dataclass
class In:
    """An input leg of an output: the levels under which it is the one that counts."""

    pin: str
    inverts: bool
    when: dict[tuple[When, ...], None] = field(default_factory=dict)


@dataclass
class Out:
    """An output leg with its inputs; for an end, why the way stops there."""

    key: OutKey
    name: str = ""
    how: str = ""
    ins: dict[str, In] = field(default_factory=dict)
    bits: set[BitId] = field(default_factory=set)
    when: dict[tuple[When, ...], None] = field(default_factory=dict)
    because: dict[str, None] = field(default_factory=dict)
    picture: bool = False

    @property
    def inverts(self) -> bool:
        """Whether every way through it turns the level over."""
        return bool(self.ins) and all(i.inverts for i in self.ins.values())


@dataclass
class Box:
    """A box: what stands in its head and foot."""

    key: BoxKey
    sold_as: str = ""
    place: str | None = None
    does: str = ""
    controls: dict[str | None, dict[str, str]] = field(default_factory=dict)
    behind: dict[str, None] = field(default_factory=dict)


@dataclass
class Wire:
    """Bits that run from an output to a head, each with how many of its ways do; in their strongest role."""

    bits: dict[BitId, int] = field(default_factory=dict)
    role: Role = "write path"


@dataclass
class Network:
    """All boxes, outputs and wires, each in the order found; how many ways back each bit has."""

    boxes: dict[BoxKey, Box] = field(default_factory=dict)
    outs: dict[OutKey, Out] = field(default_factory=dict)
    wires: dict[tuple[OutKey, Head], Wire] = field(default_factory=dict)
    n_ways: dict[BitId, int] = field(default_factory=dict)
