"""What stands on a sheet: placed symbols, wires, labels, bus entries, sheet blocks, notes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from tests.drawing.geometry import Box, Point, Side, box_around, text_units, turned, turned_side
from tests.drawing.symbols import Symbol, SymbolPin

if TYPE_CHECKING:
    from tests.drawing.cell import Cell

__all__ = [
    "Entry",
    "Label",
    "LabelKind",
    "Note",
    "Part",
    "Placed",
    "PlacedPin",
    "Segment",
    "SheetBlock",
    "SheetPin",
    "Text",
]

LabelKind = Literal["label", "global_label", "hierarchical_label"]


@dataclass(frozen=True)
class Part:
    """A part of a board: reference, symbol, value, further fields (``Place``)."""

    reference: str
    symbol: Symbol
    value: str
    fields: tuple[tuple[str, str], ...] = ()
    fitted: bool = True


@dataclass(frozen=True, slots=True)
class PlacedPin:
    """A pin on the sheet: where it ends and which way out."""

    reference: str
    pin: SymbolPin
    at: Point
    side: Side


@dataclass(frozen=True, slots=True)
class Text:
    """A text on the sheet: its middle, in grid steps; ``upright`` runs bottom to top."""

    text: str
    x: float
    y: float
    upright: bool = False
    scale: float = 1.0

    @property
    def box(self) -> Box:
        """About the space it takes."""
        half = text_units(self.text, self.scale) / 2
        high = 0.6 * self.scale
        w, h = (high, half) if self.upright else (half, high)
        return Box(self.x - w, self.y - h, self.x + w, self.y + h)


@dataclass(frozen=True)
class Placed:
    """One section of a part on the sheet."""

    part: Part
    unit: int
    at: Point
    rotation: int = 0
    mirror: str = ""

    def point(self, x: float, y: float) -> tuple[float, float]:
        """A point of the symbol (y up) on the sheet."""
        dx, dy = turned(x, y, self.rotation, self.mirror)
        return self.at.x + dx, self.at.y + dy

    @property
    def body(self) -> Box:
        """The section's outline on the sheet."""
        b = self.part.symbol.bodies[self.unit]
        return box_around([self.point(b.x0, b.y0), self.point(b.x1, b.y1)])

    @property
    def pins(self) -> list[PlacedPin]:
        """Pins of this section; those common to all sections stand on each of them."""
        found = []
        for pin in self.part.symbol.pins:
            if pin.unit in (0, self.unit):
                x, y = self.point(pin.x, pin.y)
                side = turned_side(pin.angle, self.rotation, self.mirror)
                found.append(PlacedPin(self.part.reference, pin, Point(int(x), int(y)), side))
        return found

    @property
    def shown_reference(self) -> str:
        """The reference with the section's letter."""
        if self.part.symbol.units == 1:
            return self.part.reference
        return self.part.reference + chr(ord("A") + self.unit - 1)


@dataclass(frozen=True, slots=True)
class Segment:
    """A straight wire or bus."""

    a: Point
    b: Point
    bus: bool = False


@dataclass(frozen=True, slots=True)
class Label:
    """A label; its text runs from `at` to `side`."""

    kind: LabelKind
    text: str
    at: Point
    side: Side
    shape: str = "passive"


@dataclass(frozen=True, slots=True)
class Entry:
    """A bus entry from a wire's end to a bus."""

    wire: Point
    bus: Point


@dataclass(frozen=True, slots=True)
class SheetPin:
    """A pin of a sheet block: its name below, the net it stands for above."""

    name: str
    net: str
    at: Point
    side: Side
    shape: str = "passive"


@dataclass(frozen=True)
class SheetBlock:
    """A sheet drawn as a block; `rename` makes this copy's references."""

    name: str
    cell: Cell
    at: Point
    size: tuple[int, int]
    pins: tuple[SheetPin, ...] = ()
    rename: Callable[[str], str] = field(default=str)


@dataclass(frozen=True, slots=True)
class Note:
    """A remark for the reader; left end of its base line."""

    text: str
    at: Point
    scale: float = 1.0
