"""The index: the address lines of the memories that hold the colours, and what drives them."""

from __future__ import annotations

from collections.abc import Iterable

from tracer.base.names import natural_key
from tracer.bitmap.model import IndexLine, MemoryIndex, Source
from tracer.circuit.graph import Circuit
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
    return tuple(
        IndexLine(pin, known[pin].name, circuit.net_of(part, pin), _driven_by(circuit, part, pin))
        for pin in ordered
    )


def _driven_by(circuit: Circuit, part: str, pin: str) -> str:
    """What sets an address line, in a few words."""
    net = circuit.net_of(part, pin)
    if net is None:
        return "not stated"
    if net in circuit.rails:
        return "tied low" if circuit.rails[net].is_ground else "tied high"
    drivers = circuit.drivers_of(net)
    words = []
    for driver in drivers[:3]:
        known = circuit.identified[driver.part]
        leg = known.type.by_number[driver.pin]
        words.append(f"{driver} ({known.shown_type} {leg.name})".replace(" )", ")"))
    if len(drivers) > 3:
        words.append(f"and {len(drivers) - 3} more")
    if words:
        return ", ".join(words)
    level = circuit.tied_level(net)
    if level is not None:
        return "pulled high" if level else "pulled low"
    for pin_ref, known in circuit.parts_on(net):
        if known.kind == Kind.CONNECTOR:
            return f"{pin_ref} (connector)"
    for other, reference, _ in circuit.series_neighbours(net):
        if circuit.drivers_of(other):
            return f"{circuit.drivers_of(other)[0]} over {reference}"
    return "nothing"


def count_live_lines(index: Iterable[MemoryIndex]) -> int:
    """Number of different address lines that can change; one that is not stated counts as one of its own."""
    lines: set[str] = set()
    for memory in index:
        for line in memory.lines:
            if line.is_live:
                lines.add(line.net or f"{memory.part}.{line.pin}")
    return len(lines)
