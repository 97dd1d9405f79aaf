"""The index: the address lines of the memories that hold the colours, and what drives them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from tracer.base.names import natural_key
from tracer.bitmap.model import Driver, IndexLine, MemoryIndex, Source
from tracer.circuit.graph import Circuit
from tracer.netlist.board import PinRef
from tracer.parts.kinds import Kind

__all__ = ["count_live_lines", "index_of"]


def index_of(circuit: Circuit, sources: Iterable[Source]) -> tuple[MemoryIndex, ...]:
    """Address pins of each memory among the sources, in the order of the memories' references."""
    by_part: dict[str, set[str]] = {}
    for source in sources:
        if (source.is_memory or source.kind == "dac") and source.part and source.pin:
            part = circuit.identified[source.part]
            # A converter with a palette of its own is addressed by its pixel inputs.
            pins = {
                a.source for a in part.type.arcs_into(source.pin, "address" if source.is_memory else "data")
            }
            by_part.setdefault(source.part, set()).update(pins)
    return tuple(
        MemoryIndex(part, _lines(circuit, part, pins))
        for part, pins in sorted(by_part.items(), key=lambda item: natural_key(item[0]))
        if pins
    )


def _lines(circuit: Circuit, part: str, pins: set[str]) -> tuple[IndexLine, ...]:
    known = circuit.identified[part].type.by_number
    ordered = sorted(pins, key=lambda p: (natural_key(known[p].name), natural_key(p)))
    return tuple(_line(circuit, part, pin, known[pin].name) for pin in ordered)


def _line(circuit: Circuit, part: str, pin: str, name: str) -> IndexLine:
    """An address line and what sets it."""
    net = circuit.net_of(part, pin)
    line = IndexLine(pin, name, net, "nothing")
    if net is None:
        return replace(line, set_by="not stated")
    level = circuit.tied_level(net)
    if net in circuit.rails:
        return replace(line, set_by="rail", level=level)
    if drivers := circuit.drivers_of(net):
        return replace(line, set_by="output", drivers=_drivers(circuit, drivers))
    if level is not None:
        return replace(line, set_by="pull", level=level)
    for pin_ref, known in circuit.parts_on(net):
        if known.kind == Kind.CONNECTOR:
            return replace(line, set_by="connector", drivers=_drivers(circuit, [pin_ref]))
    for pin_ref, known in circuit.parts_on(net):
        if known.kind == Kind.SWITCH:
            return replace(line, set_by="switch", over=pin_ref.part)
    for other, reference, _ in circuit.series_neighbours(net):
        if drivers := circuit.drivers_of(other):
            return replace(line, set_by="output", drivers=_drivers(circuit, drivers), over=reference)
    return line


def _drivers(circuit: Circuit, pins: Iterable[PinRef]) -> tuple[Driver, ...]:
    known = [(pin, circuit.identified[pin.part]) for pin in pins]
    return tuple(
        Driver(
            pin.part,
            part.shown_type,
            pin.pin,
            leg.name if (leg := part.type.by_number.get(pin.pin)) else "",
            part.sold_as,
        )
        for pin, part in known
    )


def count_live_lines(index: Iterable[MemoryIndex]) -> int:
    """Number of different address lines that can change; one that is not stated counts as one of its own."""
    lines: set[str] = set()
    for memory in index:
        for line in memory.lines:
            if line.is_live:
                lines.add(line.net or f"{memory.part}.{line.pin}")
    return len(lines)
