"""One sheet being drawn: parts, their intended nets, and the wires that must bring them about.

`Cell.put` says where a section stands and which net each of its pins belongs to
(the intention). Wires, buses and labels are drawn by `wire`, `bus`, `bus_run`
and `label`. `finish` then gives every pin that no wire reached what its net
calls for: a wire with a label, a supply symbol, or a no-connect mark.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Literal

from tests.drawing.finishing import finish_pins
from tests.drawing.geometry import OPPOSITE, OUT, Point, Side, text_units
from tests.drawing.items import (
    Entry,
    Label,
    LabelKind,
    Note,
    Part,
    Placed,
    PlacedPin,
    Segment,
    SheetBlock,
    SheetPin,
)
from tests.drawing.names import expand_bus, is_bus, read_pairs
from tests.drawing.shapes import symbol

__all__ = ["Cell"]

_RAIL_TURN: dict[Side, int] = {"up": 0, "left": 90, "down": 180, "right": 270}
_GROUND_TURN: dict[Side, int] = {"down": 0, "right": 90, "up": 180, "left": 270}

Goal = Point | tuple[int, int] | str
Move = tuple[Literal["x", "y"], int]


class Cell:
    """A sheet and its intended nets.

    Parameters
    ----------
    file : str
        Stem of the file's name.
    title : str
        For the title block.
    paper : str
        ``A4``, ``A3``, ``A2``; landscape.
    rail : str
        The net of VCC pins that nothing else is said of.
    global_nets : sequence of str
        Nets that global labels carry to other sheets.
    aliases : dict
        Bus aliases: name -> members.
    """

    def __init__(
        self,
        file: str,
        title: str,
        paper: str = "A3",
        *,
        rail: str = "+5V",
        global_nets: Sequence[str] = (),
        aliases: dict[str, list[str]] | None = None,
        remarks: Sequence[str] = (),
    ) -> None:
        self.file, self.title, self.paper, self.rail = file, title, paper, rail
        self.global_nets = frozenset(global_nets)
        self.aliases = aliases or {}
        self.remarks = tuple(remarks)
        self.parts: dict[str, Part] = {}
        self.nets: dict[tuple[str, str], str | None] = {}
        self.placed: list[Placed] = []
        self.segments: list[Segment] = []
        self.labels: list[Label] = []
        self.entries: list[Entry] = []
        self.no_connects: list[Point] = []
        self.sheets: list[SheetBlock] = []
        self.notes: list[Note] = []
        self.ports: list[str] = []
        self._n_power = 0

    # Parts

    def part(
        self,
        reference: str,
        type_name: str,
        value: str,
        place: str = "",
        *,
        hidden_supply: bool = False,
        fitted: bool = True,
    ) -> None:
        """Declare a part; `put` then places its sections."""
        if reference in self.parts:
            raise ValueError(f"{reference} is declared twice")
        fields = (("Place", place),) if place else ()
        self.parts[reference] = Part(
            reference, symbol(type_name, value, hidden_supply), value, fields, fitted
        )

    def put(
        self, reference: str, x: int, y: int, nets: str, *, unit: int = 1, rot: int = 0, mirror: str = ""
    ) -> Placed:
        """Place a section and say the net of each of its pins; ``-`` = not connected, ``*`` = all other pins."""
        placed = Placed(self.parts[reference], unit, Point(x, y), rot, mirror)
        self.placed.append(placed)
        told = read_pairs(nets)
        rest = told.pop("*", None)
        used: set[str] = set()
        for placed_pin in placed.pins:
            pin = placed_pin.pin
            key = next((k for k in (f"#{pin.number}", pin.name) if k in told), None)
            if key is None and not self._defaulted(pin.name) and rest is None:
                raise ValueError(f"{reference}: nothing said of pin {pin.number} {pin.name}")
            net = told[key] if key else pin.name if pin.hidden else self._defaulted(pin.name) or rest
            used.add(key or "")
            self.nets[reference, pin.number] = None if net == "-" else net
        if unknown := set(told) - used:
            raise ValueError(f"{reference} section {unit} has no pin {sorted(unknown)}")
        return placed

    def _defaulted(self, pin_name: str) -> str | None:
        if pin_name in ("VCC", "VDD"):
            return self.rail
        return {"GND": "GND", "VSS": "GND", "NC": "-"}.get(pin_name)

    def chip(
        self, reference: str, type_name: str, value: str, place: str, x: int, y: int, nets: str, *,
        hidden_supply: bool = False, rot: int = 0, mirror: str = "",
    ) -> None:  # fmt: skip
        """Declare and place a chip of one section."""
        self.part(reference, type_name, value, place, hidden_supply=hidden_supply)
        self.put(reference, x, y, nets, rot=rot, mirror=mirror)

    def two(
        self, reference: str, type_name: str, value: str, x: int, y: int, first: str, second: str, *,
        rot: int = 0, mirror: str = "",
    ) -> None:  # fmt: skip
        """Declare and place a part of two legs."""
        self.part(reference, type_name, value)
        self.put(reference, x, y, f"#1={first} #2={second}", rot=rot, mirror=mirror)

    def power(self, net: str, at: Point, side: Side) -> None:
        """A supply symbol that names the net at a point, its head to `side`."""
        self._n_power += 1
        shape = symbol(net)
        part = Part(f"{shape.letter}{self._n_power:03d}", shape, net)
        turn = (_GROUND_TURN if net == "GND" else _RAIL_TURN)[side]
        self.placed.append(Placed(part, 1, at, turn))

    # Wires

    def pin(self, name: str) -> PlacedPin:
        """A placed pin by ``REF.number`` or ``REF.name``."""
        reference, _, key = name.partition(".")
        found = [p for placed in self.placed if placed.part.reference == reference for p in placed.pins]
        by_number = [p for p in found if p.pin.number == key]
        by_name = by_number or [p for p in found if p.pin.name == key]
        if len(by_name) != 1:
            raise ValueError(f"{len(by_name)} pins answer to {name}")
        return by_name[0]

    def leg(self, name: str) -> str:
        """``U9.O1`` -> ``U9.1``."""
        found = self.pin(name)
        return f"{found.reference}.{found.pin.number}"

    def _point(self, goal: Goal) -> Point:
        return self.pin(goal).at if isinstance(goal, str) else Point(*goal)

    def wire(self, start: Goal, *path: Goal | Move, bus: bool = False) -> Point:
        """Draw wires through points, pins and moves (``("x", 12)`` = sideways to 12); gives the last point."""
        here = self._point(start)
        for step in path:
            if isinstance(step, tuple) and step[0] == "x":
                there = Point(int(step[1]), here.y)
            elif isinstance(step, tuple) and step[0] == "y":
                there = Point(here.x, int(step[1]))
            else:
                there = self._point(step)  # type: ignore[arg-type]
            if here.x != there.x and here.y != there.y:
                raise ValueError(f"{self.file}: slanted wire from {here} to {there} ({step})")
            if here != there:
                self.segments.append(Segment(here, there, bus))
            here = there
        return here

    def fan(self, starts: Sequence[str], ends: Sequence[str], x: int, pitch: int = 1) -> None:
        """Wires from a column of pins to another, bent at columns from `x` on so that none cross."""
        pairs = [(self.pin(a).at, self.pin(b).at) for a, b in zip(starts, ends, strict=True)]
        rising = [p for p in pairs if p[1].y <= p[0].y]
        falling = [p for p in pairs if p[1].y > p[0].y]
        for group in (rising, falling[::-1]):
            for n, (a, b) in enumerate(group):
                self.wire(a, ("x", x + n * pitch), ("y", b.y), b)

    def label(
        self, text: str, at: Goal, side: Side, kind: LabelKind = "label", shape: str = "passive"
    ) -> None:
        """A label whose text runs to `side`."""
        self.labels.append(Label(kind, text, self._point(at), side, shape))

    def port(self, name: str, at: tuple[int, int], side: Side, shape: str = "input", wire: int = 0) -> Point:
        """A hierarchical label, and from it a wire or bus with the local name; gives that wire's end."""
        self.ports.append(name)
        start = Point(*at)
        self.label(name, start, side, "hierarchical_label", shape)
        if is_bus(name):
            return start
        inward = OPPOSITE[side]
        length = wire or math.ceil(text_units(name)) + 1
        end = self.wire(start, start.to(inward, length))
        self.label(name, end, side)
        return end

    def bus_run(
        self,
        pins: Sequence[str],
        length: int,
        lean: Literal["up", "down"] = "down",
        names: Sequence[str] = (),
    ) -> tuple[Point, Point]:
        """Wires with labels from a column of pins into a bus beside it; gives the bus's upper and lower end."""
        ends: list[Point] = []
        for index, name in enumerate(pins):
            found = self.pin(name)
            net = self.nets[found.reference, found.pin.number]
            end = self.wire(found.at, found.at.to(found.side, length))
            self.label(names[index] if names else str(net), found.at, found.side)
            dx, dy = OUT[found.side][0] * 2, -2 if lean == "up" else 2
            self.entries.append(Entry(end, Point(end.x + dx, end.y + dy)))
            ends.append(self.entries[-1].bus)
        top, bottom = min(ends, key=lambda p: p.y), max(ends, key=lambda p: p.y)
        if top != bottom:
            self.wire(top, bottom, bus=True)
        return top, bottom

    def taps(self, names: Sequence[str], x: int, y: int, side: Side, length: int = 8) -> tuple[Point, Point]:
        """Labelled wire ends that enter a bus to `side` of column `x`; gives the bus's upper and lower end."""
        ends: list[Point] = []
        for row, name in enumerate(names):
            start = Point(x, y + 2 * row)
            end = self.wire(start, start.to(side, length))
            self.label(name, start, side)
            self.entries.append(Entry(end, Point(end.x + 2 * OUT[side][0], end.y + 2)))
            ends.append(self.entries[-1].bus)
        self.wire(ends[0], ends[-1], bus=True)
        return ends[0], ends[-1]

    def sheet_pin(self, block: str, name: str) -> Point:
        """Where a pin of a sheet block stands."""
        return next(p.at for s in self.sheets if s.name == block for p in s.pins if p.name == name)

    def bus(self, start: Goal, *path: Goal | Move) -> Point:
        """A bus through points."""
        return self.wire(start, *path, bus=True)

    def sheet(
        self, name: str, cell: Cell, at: tuple[int, int], size: tuple[int, int],
        left: Sequence[tuple[str, str, int]], right: Sequence[tuple[str, str, int]],
        rename: Callable[[str], str] = str,
    ) -> None:  # fmt: skip
        """A sheet block; pins as (name below, net above, row from the top)."""
        x, y = at
        shapes = {label.text: label.shape for label in cell.labels if label.kind == "hierarchical_label"}
        pins = [SheetPin(p, net, Point(x, y + row), "left", shapes[p]) for p, net, row in left]
        pins += [SheetPin(p, net, Point(x + size[0], y + row), "right", shapes[p]) for p, net, row in right]
        if sorted(p.name for p in pins) != sorted(cell.ports):
            raise ValueError(f"{name}: pins {sorted(p.name for p in pins)} but ports {sorted(cell.ports)}")
        self.sheets.append(SheetBlock(name, cell, Point(x, y), size, tuple(pins), rename))

    def note(self, text: str, x: int, y: int, scale: float = 1.4) -> None:
        """A remark."""
        self.notes.append(Note(text, Point(x, y), scale))

    def finish(self) -> Cell:
        """Draw what is still missing at the pins; gives the cell."""
        finish_pins(self)
        return self

    def members(self, bus: str) -> list[str]:
        """The nets of a bus label on this sheet."""
        return expand_bus(bus, self.aliases)
