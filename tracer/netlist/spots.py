"""Where parts sit on a board, as board drawings tell it: pads in millimetres, seen from the component side."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

__all__ = ["Pad", "Point", "Segment", "Spot", "arc_through", "chain", "coordinate", "turned"]

#: Millimetres, x to the right and y down.
Point = tuple[float, float]
Segment = tuple[Point, Point]
#: Straight pieces that stand for an arc.
_PIECES = 12


@dataclass(frozen=True, slots=True)
class Pad:
    """Where a pin meets the board."""

    pin: str
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a part sits.

    Attributes
    ----------
    pads : tuple of Pad
        At least one.
    is_below : bool
        The part itself sits on the solder side.
    """

    pads: tuple[Pad, ...]
    is_below: bool = False

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Least and greatest x and y of the pads: left, top, right, bottom."""
        xs, ys = [pad.x for pad in self.pads], [pad.y for pad in self.pads]
        return min(xs), min(ys), max(xs), max(ys)

    @property
    def middle(self) -> Point:
        """Of the box."""
        left, top, right, bottom = self.box
        return (left + right) / 2, (top + bottom) / 2

    def moved(self, x: float, y: float) -> Spot:
        """The same elsewhere."""
        return Spot(tuple(Pad(pad.pin, pad.x + x, pad.y + y) for pad in self.pads), self.is_below)


def coordinate(word: str) -> float | None:
    """A number as files have it; None where it is no number, or no finite one.

    >>> coordinate("-2.54"), coordinate("nan"), coordinate("")
    (-2.54, None, None)
    """
    try:
        number = float(word)
    except ValueError:
        return None
    return number if math.isfinite(number) else None


def turned(x: float, y: float, degrees: float) -> Point:
    """A point turned about the origin, counter-clockwise as a person sees it, y being down."""
    angle = math.radians(degrees)
    return x * math.cos(angle) + y * math.sin(angle), y * math.cos(angle) - x * math.sin(angle)


def chain(points: Iterable[Point], *, is_closed: bool = False) -> tuple[Segment, ...]:
    """Segments from each point to the next.

    >>> chain([(0, 0), (1, 0), (1, 1)], is_closed=True)[-1]
    ((1, 1), (0, 0))
    """
    found = list(points)
    ends = found[1:] + (found[:1] if is_closed and len(found) > 2 else [])
    return tuple(zip(found, ends, strict=False))


def arc_through(start: Point, middle: Point, end: Point) -> tuple[Segment, ...]:
    """An arc by three of its points, as short straight pieces; one straight piece where they lie in a line."""
    (ax, ay), (bx, by), (cx, cy) = start, middle, end
    d = 2 * (ax * (by - cy) + bx * (cy - ay) + cx * (ay - by))
    if abs(d) < 1e-9:
        return ((start, end),)
    a2, b2, c2 = ax * ax + ay * ay, bx * bx + by * by, cx * cx + cy * cy
    ux = (a2 * (by - cy) + b2 * (cy - ay) + c2 * (ay - by)) / d
    uy = (a2 * (cx - bx) + b2 * (ax - cx) + c2 * (bx - ax)) / d
    radius = math.hypot(ax - ux, ay - uy)
    first, through, last = (math.atan2(y - uy, x - ux) for x, y in (start, middle, end))
    sweep = (last - first) % math.tau
    if (through - first) % math.tau > sweep:
        sweep -= math.tau
    angles = (first + sweep * i / _PIECES for i in range(_PIECES + 1))
    return chain((ux + radius * math.cos(a), uy + radius * math.sin(a)) for a in angles)
