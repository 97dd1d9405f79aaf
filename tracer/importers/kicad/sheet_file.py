"""What one schematic file of KiCad holds: symbols, wires, labels, sheets.

Lengths are integers of 0.1 micrometre, so that two points are equal or not.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from tracer.netlist.board import Origin

__all__ = [
    "KICAD_7",
    "STEPS_PER_MM",
    "Body",
    "BodyPin",
    "Label",
    "Point",
    "Segment",
    "SheetFile",
    "SheetPin",
    "SheetSymbol",
    "Symbol",
]

Point = tuple[int, int]
Segment = tuple[Point, Point]

#: Drawing programs write millimetres; this many steps make one.
STEPS_PER_MM = 10000

#: KiCad 7 (version stamp of its first release, 2023-01-21) names a supply net by a symbol's Value, KiCad 6 by its pin.
KICAD_7 = 20230121


@dataclass(frozen=True, slots=True)
class BodyPin:
    """A pin of a symbol's body, before it is placed; `angle`, turning left, is the way from its end to the body."""

    number: str
    name: str
    kind: str
    hidden: bool
    at: Point
    unit: int
    body: int
    alternates: tuple[tuple[str, str], ...] = ()
    angle: int = 0


@dataclass(frozen=True, slots=True)
class Body:
    """A symbol as the library draws it."""

    name: str
    power: str
    pins: tuple[BodyPin, ...]


@dataclass(frozen=True, slots=True)
class Symbol:
    """A placed symbol. `instances` maps a sheet path to (reference, unit)."""

    uuid: str
    body: Body
    library: str
    at: Point
    angle: int
    mirror: str
    unit: int
    body_style: int
    fields: dict[str, str]
    instances: dict[str, tuple[str, int]]
    alternates: dict[str, str]
    fitted: bool
    origin: Origin


@dataclass(frozen=True, slots=True)
class Label:
    """A label: kind is local, global or hierarchical."""

    kind: str
    text: str
    at: Point


@dataclass(frozen=True, slots=True)
class SheetPin:
    """A pin of a sheet symbol."""

    name: str
    at: Point


@dataclass(frozen=True, slots=True)
class SheetSymbol:
    """A sheet placed in another."""

    uuid: str
    name: str
    file: str
    pins: tuple[SheetPin, ...]
    origin: Origin


@dataclass
class SheetFile:
    """All that one file holds."""

    file: str
    path: Path
    data: bytes
    version: int
    uuid: str
    symbols: list[Symbol] = field(default_factory=list)
    wires: list[Segment] = field(default_factory=list)
    buses: list[Segment] = field(default_factory=list)
    bus_entries: list[Segment] = field(default_factory=list)
    junctions: list[Point] = field(default_factory=list)
    no_connects: list[Point] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)
    sheets: list[SheetSymbol] = field(default_factory=list)
    aliases: dict[str, list[str]] = field(default_factory=dict)
    root_instances: dict[str, tuple[str, int]] = field(default_factory=dict)
