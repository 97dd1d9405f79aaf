"""Analogue selectors in an output stage: several ways to one net, one at a time, by the levels that choose them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tracer.circuit.graph import Circuit
from tracer.netlist.board import PinRef

__all__ = ["SelectorWay", "choices", "open_ways", "way_taken"]


@dataclass(frozen=True, slots=True)
class SelectorWay:
    """A way over an analogue switch: the net behind it, the part, and the levels of nets that open it."""

    net: str
    part: str
    levels: Mapping[str, int]


def open_ways(
    circuit: Circuit, net: str, pins: Sequence[PinRef], selected: Mapping[str, int]
) -> list[SelectorWay]:
    """The ways from a net over the analogue switches whose `pins` stand on it, as far as levels that were `selected`
    let them be open.
    """
    ways = [
        SelectorWay(other, pin.part, circuit.open_levels(pin.part, arc))
        for pin in pins
        for arc in circuit.identified[pin.part].type.arcs_into(pin.pin, "data")
        if not circuit.is_shut(pin.part, arc)
        for other in circuit.nets_of(pin.part, arc.source)
        if other != net
    ]
    return [way for way in ways if _agree(way.levels, selected)]


def way_taken(circuit: Circuit, ways: Sequence[SelectorWay]) -> SelectorWay | None:
    """The first way behind which something drives, else the first; None of none."""
    return min(ways, key=lambda way: not _is_driven(circuit, way), default=None)


def choices(ways: Sequence[SelectorWay]) -> tuple[Mapping[str, int], ...]:
    """Of several ways, the levels that open each alone."""
    return tuple(_alone(way.levels, [other.levels for other in ways]) for way in ways)


def _is_driven(circuit: Circuit, way: SelectorWay) -> bool:
    # The switch's own leg there passes what stands on the net; it puts nothing out by itself.
    return any(pin.part != way.part for pin in circuit.drivers_of(way.net))


def _agree(levels: Mapping[str, int], others: Mapping[str, int]) -> bool:
    """Whether two sets of levels can hold at once."""
    return all(others.get(net, level) == level for net, level in levels.items())


def _alone(levels: Mapping[str, int], ways: Sequence[Mapping[str, int]]) -> Mapping[str, int]:
    """The levels that open one way, with those that shut the others."""
    found = dict(levels)
    for other in ways:
        if other is not levels and _agree(other, found):
            free = next((net for net in other if net not in found), None)
            if free is not None:
                found[free] = 1 - other[free]
    return found
