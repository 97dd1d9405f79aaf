"""Wires of a legacy sheet as KiCad 5.1.9 tidies them up before it writes a netlist.

Tried with its eeschema: wires are cut at junctions, and two of one line that
overlap become one, so that an end inside the other is no end any more. They
stay two where they end at one point with a junction or with what needs one:
three ways lead away from it, or two and a pin lies there.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import gcd

from tracer.base.errors import NetlistError
from tracer.importers.kicad.geometry import MOST_LOOKS
from tracer.importers.kicad.sheet_file import Point

__all__ = ["tidied"]

Segment = tuple[Point, Point]
#: Direction, and how far off the origin: the line that a segment lies on.
Line = tuple[int, int, int]


def tidied(segments: Iterable[Segment], junctions: Iterable[Point], pins: Iterable[Point]) -> list[Segment]:
    """Wires (or buses) cut at junctions, with overlapping ones merged.

    >>> tidied([((0, 0), (4, 0)), ((2, 0), (6, 0))], [], [])
    [((0, 0), (6, 0))]
    >>> tidied([((0, 0), (4, 0)), ((4, 0), (6, 0))], [], [])
    [((0, 0), (4, 0)), ((4, 0), (6, 0))]
    """
    dots = set(junctions)
    lines: dict[Line, list[Segment]] = defaultdict(list)
    for start, end in segments:
        a, b = sorted((start, end))
        if a != b:
            lines[_line(a, b)].append((a, b))
    _check_size(lines, len(dots))
    dots_of = _by_line(dots, lines)
    for line, found in lines.items():
        on_it = dots_of.get(line, [])
        cut = [piece for segment in found for piece in _cut(segment, on_it)] if on_it else found
        lines[line] = sorted(set(cut))
    ends = {p for found in lines.values() for segment in found for p in segment}
    ways: dict[Point, set[tuple[int, int]]] = defaultdict(set)
    _check_size(lines, len(ends))
    ends_of = _by_line(ends, lines)
    for line, found in lines.items():
        on_it = ends_of[line]
        for a, b in found:
            for p in on_it[bisect_left(on_it, a) : bisect_right(on_it, b)]:
                ways[p] |= {line[:2]} if p != b else set()
                ways[p] |= {(-line[0], -line[1])} if p != a else set()
    taken = set(pins)
    needed = dots | {p for p, out in ways.items() if len(out) + (p in taken) > 2}
    return [segment for found in lines.values() for segment in _merged(found, needed)]


def _by_line(points: Iterable[Point], lines: Iterable[Line]) -> dict[Line, list[Point]]:
    """The points on each line, in order."""
    wanted = set(lines)
    directions = {line[:2] for line in wanted}
    found: dict[Line, list[Point]] = defaultdict(list)
    for point in sorted(points):
        for dx, dy in directions:
            line = (dx, dy, _offset((dx, dy, 0), point))
            if line in wanted:
                found[line].append(point)
    return found


def _check_size(lines: dict[Line, list[Segment]], n_points: int) -> None:
    """The work grows with wires on one line, and with directions that wires have."""
    n_directions = len({line[:2] for line in lines})
    most = max(map(len, lines.values()), default=0)
    if most * most > MOST_LOOKS or n_directions * n_points > MOST_LOOKS:
        raise NetlistError(
            "the wires of a sheet lie over one another, or slanted, too often to tell what they join",
            fix="draw it anew, or export its netlist from the program that drew it",
        )


def _line(a: Point, b: Point) -> Line:
    step = gcd(b[0] - a[0], b[1] - a[1])
    dx, dy = (b[0] - a[0]) // step, (b[1] - a[1]) // step
    return dx, dy, _offset((dx, dy, 0), a)


def _offset(line: Line, point: Point) -> int:
    return line[0] * point[1] - line[1] * point[0]


def _cut(segment: Segment, points: Sequence[Point]) -> list[Segment]:
    a, b = segment
    stops = [a, *(p for p in points if a < p < b), b]
    return list(pairwise(stops))


def _merged(segments: Sequence[Segment], needed: set[Point]) -> list[Segment]:
    """Segments of one line in order; each is merged into the first that it overlaps and may be merged with."""
    found: list[Segment] = []
    for a, b in segments:
        begin, end = a, b
        kept: list[Segment] = []
        for other in found:
            c, d = other
            shared = {begin, end} & {c, d}
            if c < end and begin < d and not shared & needed:
                begin, end = min(begin, c), max(end, d)
            else:
                kept.append(other)
        found = [*kept, (begin, end)]
    return found
