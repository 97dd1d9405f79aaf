"""Where wires meet: junctions, and wires broken at them as KiCad keeps them."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

from tests.drawing.cell import Cell
from tests.drawing.geometry import Point, on_segment
from tests.drawing.items import Segment

__all__ = ["joints", "split_at_joints"]


def _pin_ends(cell: Cell) -> list[Point]:
    return [pin.at for placed in cell.placed for pin in placed.pins]


def split_at_joints(cell: Cell) -> list[Segment]:
    """The sheet's wires and buses, each broken where another one or a pin ends on it."""
    pieces: list[Segment] = []
    for bus in (False, True):
        wires = [s for s in cell.segments if s.bus is bus]
        stops = {p for s in wires for p in (s.a, s.b)}
        if not bus:
            stops |= set(_pin_ends(cell))
        for wire in wires:
            on = sorted({p for p in stops if on_segment(p, wire.a, wire.b)})
            pieces += [Segment(a, b, bus) for a, b in pairwise(on)]
    return list(dict.fromkeys(pieces))


def joints(cell: Cell) -> list[Point]:
    """Places where three or more ends meet."""
    ends: Counter[Point] = Counter()
    for piece in split_at_joints(cell):
        ends.update((piece.a, piece.b))
    on_wires = set(ends)
    ends.update(p for p in _pin_ends(cell) if p in on_wires)
    return sorted(p for p, n in ends.items() if n >= 3)
