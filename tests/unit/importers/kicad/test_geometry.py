"""Groups of wires, as sets of segments and points; drawings as KiCad sees them are in ``test_schematic.py``."""

from __future__ import annotations

import math
import random

from tracer.importers.kicad.geometry import PointGroups
from tracer.importers.kicad.sheet_file import Point, Segment
from tracer.netlist.union_find import UnionFind


def test_ends_middles_and_points_beside() -> None:
    groups = PointGroups([((0, 0), (10, 0)), ((10, 0), (10, 10)), ((20, 0), (30, 10))], [])
    first = groups.group_at_end((0, 0))
    assert first is not None
    assert groups.group_at_end((10, 10)) == first
    assert groups.group_at_end((5, 0)) is None
    assert groups.group_at((5, 0)) == first
    assert groups.group_at((25, 5)) == groups.group_at_end((20, 0)) != first
    for beside in ((5, 1), (-1, 0), (11, 0), (25, 6), (31, 11), (10, 11)):
        assert groups.group_at(beside) is None


def test_junctions() -> None:
    cross: list[Segment] = [((0, 5), (10, 5)), ((5, 0), (5, 10))]
    assert PointGroups(cross, []).group_at_end((0, 5)) != PointGroups(cross, []).group_at_end((5, 0))
    joined = PointGroups(cross, [(5, 5), (100, 100)])
    assert joined.group_at_end((0, 5)) == joined.group_at_end((5, 0)) == joined.group_at_end((5, 5))
    assert joined.group_at_end((100, 100)) is None


def test_touches_without_a_junction() -> None:
    segments: list[Segment] = [((0, 0), (10, 0)), ((5, 0), (5, 5)), ((10, 0), (20, 0))]
    assert PointGroups(segments, []).bare_touches([(3, 0), (10, 0), (3, 3)]) == [(3, 0), (5, 0)]
    assert PointGroups(segments, [(5, 0)]).bare_touches([(3, 0)]) == [(3, 0)]


def test_against_every_pair_of_segments() -> None:
    """The look-up by rows and columns finds what comparing all pairs finds, on random drawings."""
    random_ = random.Random(7)
    for _ in range(60):
        points: list[Point] = [(random_.randrange(6), random_.randrange(6)) for _ in range(24)]
        segments = [(a, b) for a, b in zip(points[::2], points[1::2], strict=True) if a != b]
        junctions = points[:3]
        groups = PointGroups(segments, junctions)
        joined = UnionFind()
        for i, one in enumerate(segments):
            for j, other in enumerate(segments):
                shared = set(one) & set(other)
                crossed = any(_on(point, one) and _on(point, other) for point in junctions)
                if shared or crossed:
                    joined.union(i, j)
        for i, one in enumerate(segments):
            for j, other in enumerate(segments):
                same = groups.group_at_end(one[0]) == groups.group_at_end(other[0])
                assert same == (joined.find(i) == joined.find(j))
        for x in range(6):
            for y in range(6):
                assert (groups.group_at((x, y)) is not None) == any(_on((x, y), s) for s in segments)


def _on(point: Point, segment: Segment) -> bool:
    """Whether a point lies on a segment: the two parts of it are as long as the whole."""
    (ax, ay), (bx, by) = segment
    x, y = point
    whole = math.dist((ax, ay), (bx, by))
    return math.isclose(math.dist((ax, ay), (x, y)) + math.dist((x, y), (bx, by)), whole, abs_tol=1e-9)
