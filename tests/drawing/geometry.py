"""Grid geometry: points, turns and mirrors, and the way out of a pin.

All lengths are whole grid steps of 50 mil (1.27 mm); on a sheet y runs down, in
a symbol y runs up, as in KiCad's files.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

__all__ = [
    "OPPOSITE",
    "OUT",
    "Box",
    "Point",
    "Side",
    "box_around",
    "on_segment",
    "text_units",
    "turned",
    "turned_side",
]

Side = Literal["left", "right", "up", "down"]


class Point(NamedTuple):
    """A place on a sheet, in grid steps."""

    x: int
    y: int

    def to(self, side: Side, steps: int) -> Point:
        """The point `steps` away."""
        dx, dy = OUT[side]
        return Point(self.x + dx * steps, self.y + dy * steps)


#: One step to each side, on the sheet.
OUT: dict[Side, tuple[int, int]] = {"left": (-1, 0), "right": (1, 0), "up": (0, -1), "down": (0, 1)}


OPPOSITE: dict[Side, Side] = {"left": "right", "right": "left", "up": "down", "down": "up"}


class Box(NamedTuple):
    """A rectangle: left, top, right, bottom."""

    x0: float
    y0: float
    x1: float
    y1: float

    def overlaps(self, other: Box, slack: float = 0.05) -> bool:
        """Whether the two share more than an edge."""
        return (
            self.x0 < other.x1 - slack
            and other.x0 < self.x1 - slack
            and self.y0 < other.y1 - slack
            and other.y0 < self.y1 - slack
        )


def box_around(points: list[tuple[float, float]]) -> Box:
    """The smallest box that holds all points."""
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return Box(min(xs), min(ys), max(xs), max(ys))


def turned(x: float, y: float, rotation: int, mirror: str) -> tuple[float, float]:
    """A symbol's point (y up) as an offset on the sheet (y down).

    The symbol is turned counter-clockwise by `rotation` degrees, then mirrored:
    ``x`` swaps top and bottom, ``y`` swaps left and right.

    >>> turned(0, 3, 90, "")
    (-3, 0)
    >>> turned(-4, 0, 0, "y")
    (4, 0)
    """
    for _ in range(rotation // 90):
        x, y = -y, x
    if mirror == "y":
        x = -x
    if mirror == "x":
        y = -y
    return (x or 0), (-y or 0)


_BODY_TO_OUT: dict[int, Side] = {0: "left", 90: "down", 180: "right", 270: "up"}


def turned_side(angle: int, rotation: int, mirror: str) -> Side:
    """Which way out a pin lies on the sheet; `angle` points from its end to the body."""
    side = _BODY_TO_OUT[angle]
    dx, dy = OUT[side]
    x, y = turned(dx, -dy, rotation, mirror)
    return next(s for s, out in OUT.items() if out == (x, y))


def on_segment(p: Point, a: Point, b: Point) -> bool:
    """Whether `p` lies on the straight line from `a` to `b`, ends included."""
    if a.x == b.x:
        return p.x == a.x and min(a.y, b.y) <= p.y <= max(a.y, b.y)
    return a.y == b.y == p.y and min(a.x, b.x) <= p.x <= max(a.x, b.x)


def text_units(text: str, scale: float = 1.0) -> float:
    """About how many grid steps a text is wide at KiCad's usual size of 50 mil, or `scale` times that."""
    shown = text.replace("~{", "").replace("{slash}", "/")
    return 0.9 * scale * sum(c != "}" for c in shown)
