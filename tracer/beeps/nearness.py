"""How near the parts of a board sit to one another.

Distance is a share of the board's diagonal, so that one number serves both measures: millimetres between the middles of
parts (`Part.spot`), or steps of the grid that boards print (`Part.place`: 7E is next to 8E and to 7F).
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Literal

from tracer.beeps.places import grid_place
from tracer.netlist.board import Netlist, Part, PinRef
from tracer.netlist.spots import Point

__all__ = ["Nearness"]

#: A grid of fewer steps than this along its diagonal is not the whole board's: few places are noted (guess).
LEAST_GRID = 8.0
#: Less than this between two middles is called beside (guess): chips in a row lie 20 to 30 mm apart.
BESIDE_MM = 25.0
#: The same in steps of the grid: the next place, straight or aslant.
BESIDE_STEPS = 1.5

_Measure = Literal["mm", "steps"]


class Nearness:
    """The distances of one board."""

    def __init__(self, netlist: Netlist) -> None:
        self._middles: dict[str, Point] = {}
        self._steps: dict[str, Point] = {}
        self._pads: dict[PinRef, Point] = {}
        for part in netlist.parts:
            self._locate(part)
        edge = [point for segment in netlist.outline for point in segment]
        self._size: dict[_Measure, float] = {
            "mm": _diagonal([*self._pads.values(), *edge]),
            "steps": max(_diagonal(self._steps.values()), LEAST_GRID),
        }

    def _locate(self, part: Part) -> None:
        if part.spot is not None:
            self._middles[part.reference] = part.spot.middle
            self._pads.update((PinRef(part.reference, p.pin), (p.x, p.y)) for p in part.spot.pads)
        if (place := grid_place(part.place)) is not None:
            self._steps[part.reference] = place

    @property
    def located(self) -> int:
        """How many parts have a position."""
        return len(self._middles.keys() | self._steps.keys())

    def knows(self, where: str | PinRef) -> bool:
        """Whether a part has a position."""
        return _part(where) in self._middles or _part(where) in self._steps

    def between(self, a: str | PinRef, b: str | PinRef) -> float | None:
        """From one part, or one leg, to another as a share of the board's diagonal; None where it is not known."""
        far = self._far(a, b)
        return far[0] / self._size[far[1]] if far and self._size[far[1]] else None

    def _far(self, a: str | PinRef, b: str | PinRef) -> tuple[float, _Measure] | None:
        here, there = self._point(a), self._point(b)
        if here is not None and there is not None:
            return math.dist(here, there), "mm"
        here, there = self._steps.get(_part(a)), self._steps.get(_part(b))
        return (math.dist(here, there), "steps") if here is not None and there is not None else None

    def _point(self, where: str | PinRef) -> Point | None:
        own = self._pads.get(where) if isinstance(where, PinRef) else None
        return own or self._middles.get(_part(where))

    def words(self, a: str, b: str, name: str) -> str:
        """How far a part is from another, which is called `name`; empty where it is not known."""
        far = self._far(a, b)
        if far is None:
            return ""
        if far[1] == "mm":
            return f"beside {name}" if far[0] < BESIDE_MM else f"{far[0]:.0f} mm from {name}"
        if far[0] < BESIDE_STEPS:
            return f"beside {name}"
        columns, rows = (round(abs(m - n)) for m, n in zip(self._steps[a], self._steps[b], strict=True))
        steps = [f"{n} {w}{'s' if n > 1 else ''}" for n, w in ((columns, "column"), (rows, "row")) if n]
        return f"{' and '.join(steps)} from {name}"


def _part(where: str | PinRef) -> str:
    return where.part if isinstance(where, PinRef) else where


def _diagonal(points: Iterable[Point]) -> float:
    found = list(points)
    if not found:
        return 0.0
    xs, ys = [x for x, _ in found], [y for _, y in found]
    return math.hypot(max(xs) - min(xs), max(ys) - min(ys))
