"""Gives every pin that no wire reached what its net calls for: a labelled wire, a supply symbol, a no-connect mark."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

from tests.drawing.geometry import OPPOSITE, OUT, Point, Side, on_segment, text_units
from tests.drawing.items import PlacedPin
from tests.drawing.names import RAILS

if TYPE_CHECKING:
    from tests.drawing.cell import Cell

__all__ = ["finish_pins"]


def finish_pins(cell: Cell) -> None:
    """Draw what is missing, side by side of each placed section."""
    for placed in list(cell.placed):
        if placed.part.symbol.power:
            continue
        for side in OUT:
            pins = [
                p for p in placed.pins if p.side == side and not p.pin.hidden and not _reached(cell, p.at)
            ]
            _finish_side(cell, pins, side)


def _reached(cell: Cell, at: Point) -> bool:
    return any(on_segment(at, s.a, s.b) for s in cell.segments if not s.bus)


def _finish_side(cell: Cell, pins: list[PlacedPin], side: Side) -> None:
    nets = [cell.nets[p.reference, p.pin.number] for p in pins]
    length = max((math.ceil(text_units(net)) + 1 for net in nets if net and net not in RAILS), default=0)
    level = side in ("left", "right")
    index = 0
    while index < len(pins):
        pin, net = pins[index], nets[index]
        last = index
        while last + 1 < len(pins) and nets[last + 1] == net and _next_row(pins[last], pins[last + 1]):
            last += 1
        if net is None:
            cell.no_connects.append(pin.at)
        elif net in RAILS:
            tied = pins[index : last + 1] if level else [pin]
            _rail(cell, tied, net, side, beside=length if level and _over_label(pins, nets, last) else 0)
            index += len(tied) - 1
        else:
            _stub(cell, pin, net, length)
        index += 1


def _over_label(pins: list[PlacedPin], nets: list[str | None], index: int) -> bool:
    """Whether the next row carries a label that a supply symbol here would touch."""
    below = index + 1
    return below < len(pins) and _next_row(pins[index], pins[below]) and nets[below] not in (None, *RAILS)


def _rail(cell: Cell, pins: list[PlacedPin], net: str, side: Side, beside: int) -> None:
    """One supply symbol for neighbours on the same supply; `beside` steps out, past the labels of other rows."""
    rows = sorted((p.at for p in pins), key=lambda p: p.y)
    reach = int(len(rows) > 1)
    for at in rows:
        cell.wire(at, at.to(side, reach))
    for a, b in pairwise(rows):
        cell.wire(a.to(side, reach), b.to(side, reach))
    joint = (rows[-1] if net == "GND" else rows[0]).to(side, reach)
    cell.power(net, cell.wire(joint, joint.to(side, beside)), side)


def _stub(cell: Cell, pin: PlacedPin, net: str, length: int) -> None:
    end = cell.wire(pin.at, pin.at.to(pin.side, length))
    if net in cell.global_nets:
        cell.label(net, end, pin.side, "global_label", "bidirectional")
    else:
        cell.label(net, end, OPPOSITE[pin.side])


def _next_row(a: PlacedPin, b: PlacedPin) -> bool:
    return a.at.x == b.at.x and abs(a.at.y - b.at.y) <= 2
