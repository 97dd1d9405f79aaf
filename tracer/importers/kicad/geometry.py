"""Where the pins of a placed symbol are, and which points wires join."""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Iterator
from itertools import accumulate

from tracer.base.errors import NetlistError
from tracer.importers.kicad.sheet_file import BodyPin, Point, Segment, Symbol
from tracer.netlist.union_find import UnionFind

__all__ = ["PointGroups", "pins_in_place", "turned"]

#: Pairs of a point and a wire that are looked at on one sheet: a drawing of 10,000 wires needs 100,000.
MOST_LOOKS = 10_000_000


def pins_in_place(symbol: Symbol, unit: int) -> Iterator[tuple[BodyPin, Point]]:
    """The pins of one section of a placed symbol, with their places on the sheet.

    Library bodies have y upwards, sheets have y downwards. A symbol is turned
    first and mirrored then (compared with the nets of real boards, where the
    other order fails).
    """
    for pin in symbol.body.pins:
        if pin.unit in (0, unit) and pin.body in (0, symbol.body_style):
            x, y = turned((pin.at[0], -pin.at[1]), symbol.angle, symbol.mirror)
            yield pin, (x + symbol.at[0], y + symbol.at[1])


def turned(point: Point, angle: int, mirror: str) -> Point:
    """A point (y downwards) turned by an angle and then mirrored at the x or y axis."""
    x, y = point
    x, y = {0: (x, y), 90: (y, -x), 180: (-x, -y), 270: (-y, x)}.get(angle, (x, y))
    return {"x": (x, -y), "y": (-x, y)}.get(mirror, (x, y))


class PointGroups:
    """Wires (or buses) of one sheet, and which of them hang together.

    Wires join where they end on one point, and where a junction lies. A pin or a wire that ends on
    the inside of another wire is not joined to it without a junction; a label and a sheet pin are.
    (Tried with KiCad 9.0.2, which exports such drawings so, but for a junction on two wires that both run
    on: KiCad always cuts wires at a junction, so no file of its own has one.)
    """

    def __init__(self, segments: Iterable[Segment], junctions: Iterable[Point]) -> None:
        self._segments = list(dict.fromkeys(segments))
        self._joined = UnionFind()
        self._level: dict[int, list[int]] = defaultdict(list)
        self._upright: dict[int, list[int]] = defaultdict(list)
        self._slanted: list[int] = []
        self._lines: dict[tuple[str, int], _Line] = {}
        self._looks = 0
        self._ends: dict[Point, list[int]] = defaultdict(list)
        self._junctions: set[Point] = set()
        for index, ((ax, ay), (bx, by)) in enumerate(self._segments):
            if ay == by:
                self._level[ay].append(index)
            elif ax == bx:
                self._upright[ax].append(index)
            else:
                self._slanted.append(index)
        for index, (start, end) in enumerate(self._segments):
            self._ends[start].append(index)
            self._ends[end].append(index)
        for touching in self._ends.values():
            self._join(touching)
        for point in junctions:
            self._junctions.add(point)
            self._join(self._touching(point))

    def _join(self, segments: list[int]) -> None:
        for other in segments[1:]:
            self._joined.union(segments[0], other)

    def _touching(self, point: Point) -> list[int]:
        """Segments on which a point lies, ends included."""
        return sorted(self._passing(point))

    def _passing(self, point: Point) -> Iterator[int]:
        """The same one by one, so that who wants to know of one need not wait for all."""
        x, y = point
        for kind, at, along, indices in (
            ("level", y, x, self._level.get(y)),
            ("upright", x, y, self._upright.get(x)),
            ("slanted", 0, x, self._slanted),
        ):
            if not indices:
                continue
            line = self._lines.get((kind, at))
            if line is None:
                axis = 1 if kind == "upright" else 0
                line = self._lines[kind, at] = _Line(self._segments, indices, axis)
            for index in line.over(along):
                self._looks += 1
                if self._looks > MOST_LOOKS:
                    raise NetlistError(
                        "the wires of a sheet lie over one another too often to tell what they join",
                        fix="draw it anew, or export its netlist from the program that drew it",
                    )
                (ax, ay), (bx, by) = self._segments[index]
                inside = min(ay, by) <= y <= max(ay, by) and min(ax, bx) <= x <= max(ax, bx)
                if inside and (bx - ax) * (y - ay) == (by - ay) * (x - ax):
                    yield index

    def ends(self) -> Iterator[tuple[Point, object]]:
        """Every point at which a wire ends, with the group of that wire."""
        return ((point, self._joined.find(touching[0])) for point, touching in self._ends.items())

    def group_at_end(self, point: Point) -> object | None:
        """The group whose wires end at a point, or pass a junction there: what a pin joins."""
        if point in self._ends:
            return self._joined.find(self._ends[point][0])
        if point in self._junctions and (touching := self._touching(point)):
            return self._joined.find(touching[0])
        return None

    def group_at(self, point: Point) -> object | None:
        """The group that has a wire through a point: what a label or a sheet pin joins."""
        ended = self.group_at_end(point)
        if ended is not None:
            return ended
        touching = self._touching(point)
        return self._joined.find(min(touching)) if touching else None

    def bare_touches(self, points: Iterable[Point]) -> list[Point]:
        """Of `points` and the wire ends, those on the inside of a wire without a junction: they look joined."""
        return [
            point
            for point in sorted({*points, *self._ends})
            if point not in self._junctions and self._is_passed(point)
        ]

    def _is_passed(self, point: Point) -> bool:
        """Whether a segment goes on beyond a point."""
        ending = set(self._ends.get(point, ()))
        return any(index not in ending for index in self._passing(point))


class _Line:
    """Segments of one line, by where they begin, to find those over a place without looking at all."""

    def __init__(self, segments: list[Segment], indices: list[int], axis: int) -> None:
        spans = sorted((*sorted((segments[i][0][axis], segments[i][1][axis])), i) for i in indices)
        self._starts = [start for start, _, _ in spans]
        self._indices = [index for _, _, index in spans]
        #: The farthest end among a segment and those before it.
        self._reach = list(accumulate((end for _, end, _ in spans), max))

    def over(self, place: int) -> Iterator[int]:
        """Segments that begin at or before a place, as far as any of them can reach it."""
        for at in range(bisect_right(self._starts, place) - 1, -1, -1):
            if self._reach[at] < place:
                return
            yield self._indices[at]
