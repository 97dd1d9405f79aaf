"""What a card is drawn with: texts, lines, boxes; and the strips and blocks that pages are filled with.

All lengths are millimetres; x goes right, y down; a text stands on its baseline.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from tracer.card.chip_values import LegMark
from tracer.card.metrics import width

__all__ = [
    "INKS",
    "LEAST_LETTERS",
    "Block",
    "Box",
    "Line",
    "Look",
    "Page",
    "Shape",
    "Strip",
    "Text",
    "ink_of",
    "moved",
    "tag",
    "tag_width",
]

#: Dark enough that white letters on them stay readable in grey, and dark letters need none of them.
INKS = {"red": "#b00020", "green": "#00642c", "blue": "#0b3da6"}
_OTHER_INK = "#333333"


@dataclass(frozen=True, slots=True)
class Text:
    """A text; `x` is its left end."""

    x: float
    y: float
    text: str
    size: float
    bold: bool = False
    ink: str = "#000000"

    @property
    def width(self) -> float:
        """How wide it is."""
        return width(self.text, self.size, self.bold)


@dataclass(frozen=True, slots=True)
class Line:
    """A line through points; `fill` closes it."""

    points: tuple[tuple[float, float], ...]
    thick: float = 0.2
    ink: str = "#000000"
    fill: str | None = None


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle; `thick` 0 = no outline."""

    x: float
    y: float
    w: float
    h: float
    thick: float = 0.2
    fill: str | None = None
    ink: str = "#000000"


Shape = Text | Line | Box


def moved(shapes: Iterable[Shape], dx: float, dy: float) -> tuple[Shape, ...]:
    """The shapes elsewhere."""
    return tuple(
        replace(s, points=tuple((x + dx, y + dy) for x, y in s.points))
        if isinstance(s, Line)
        else replace(s, x=s.x + dx, y=s.y + dy)
        for s in shapes
    )


#: The smallest letters of a card: 8 points of 1/72 inch, what is still read beside a lit bench (common practice, no
#: source).
LEAST_LETTERS = 8 * 25.4 / 72


@dataclass(frozen=True, slots=True)
class Look:
    """Sizes of one card; all follow `scale`, which is 1 or more."""

    scale: float = 1.0

    @property
    def title(self) -> float:
        """Letters of the card's title."""
        return 5.6 * self.scale

    @property
    def head(self) -> float:
        """Letters of the titles of blocks."""
        return 3.5 * self.scale

    @property
    def body(self) -> float:
        """Letters of tables and sentences."""
        return 2.95 * self.scale

    @property
    def small(self) -> float:
        """Letters of legs and of the heads of columns."""
        return (LEAST_LETTERS + 0.005) * self.scale

    @property
    def row(self) -> float:
        """From line to line in tables and sentences."""
        return 4.0 * self.scale

    @property
    def pitch(self) -> float:
        """From leg to leg of a chip."""
        return 3.7 * self.scale

    @property
    def hand(self) -> float:
        """From line to line where a pen writes."""
        return 7.0 * self.scale

    @property
    def gap(self) -> float:
        """Between things that stand side by side."""
        return 4.0 * self.scale


@dataclass(frozen=True, slots=True)
class Strip:
    """What is never cut by the end of a page; shapes are relative to its upper left corner."""

    height: float
    shapes: tuple[Shape, ...]
    with_next: bool = False


@dataclass(frozen=True, slots=True)
class Block:
    """Strips under a title; the `head` (of a table) is repeated where the section goes on."""

    title: str
    strips: tuple[Strip, ...]
    head: Strip | None = None

    def height(self, look: Look) -> float:
        """How high it is when nothing cuts it."""
        own = sum(s.height for s in self.strips) + (self.head.height if self.head else 0.0)
        return own + (look.head * 1.75 if self.title else 0.0)


@dataclass(frozen=True, slots=True)
class Page:
    """One sheet."""

    width: float
    height: float
    shapes: tuple[Shape, ...]


def ink_of(colour: str) -> str:
    """The ink of a colour's tag."""
    return INKS.get(colour, INKS.get(colour.split("_")[0], _OTHER_INK))


def tag_width(mark: LegMark, look: Look) -> float:
    """How wide `tag` draws a mark."""
    return max(width(str(mark), look.body, True) + 1.4 * look.scale, 5.4 * look.scale)


def tag(mark: LegMark, x: float, y: float, look: Look) -> tuple[Shape, ...]:
    """A mark as a dark plate with white letters; y is the middle."""
    w, h = tag_width(mark, look), look.body * 1.08
    text = str(mark)
    return (
        Box(x, y - h / 2, w, h, 0.0, ink_of(mark.colour)),
        Text(
            x + (w - width(text, look.body, True)) / 2,
            y + look.body * 0.365,
            text,
            look.body,
            True,
            "#ffffff",
        ),
    )
