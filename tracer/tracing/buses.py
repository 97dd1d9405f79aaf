"""Lines of a processor's bus: who talks on them for whoever only reads them.

What reads a line of a processor's data bus (a colour register, a write buffer) gets its bit from the processor, not
from the ROM, the work RAM or the other chips on that line. Only a memory that something else than the processor
addresses (a counter, a multiplexer, another memory) shows the picture there.
"""

from __future__ import annotations

from typing import Literal

from tracer.circuit.graph import Circuit
from tracer.netlist.board import PinRef
from tracer.parts.kinds import Kind

__all__ = ["addressed_by", "bus_talkers"]

#: What may stand on a processor's address bus beside it, and what carries that bus on.
_BUS_MASTERS = frozenset({Kind.CPU, Kind.CONNECTOR, Kind.UNKNOWN, Kind.LOGIC, Kind.TRANSCEIVER})
_BUS_PASSERS = frozenset({Kind.BUFFER, Kind.TRANSCEIVER, Kind.LATCH, Kind.REGISTER})
#: Buffers in a row between a processor and a line of its bus.
_MOST_BUFFERS = 4
_MOST_DATA_BUFFERS = 3


def bus_talkers(circuit: Circuit, net: str, drivers: tuple[PinRef, ...]) -> tuple[PinRef, ...]:
    """Of several outputs on a net, those from which a reader of the net can get its bit."""
    if len(drivers) < 2:
        return drivers
    kinds = {pin: circuit.identified[pin.part].kind for pin in drivers}
    memories = [p for p in drivers if kinds[p].stores]
    shown = [m for m in memories if addressed_by(circuit, m) == "picture"]
    processors = [p for p in drivers if kinds[p] == Kind.CPU]
    if processors and not shown:
        return (processors[0],)
    if shown and (processors or len(memories) > 1):
        kept = shown if processors else [m for m in memories if addressed_by(circuit, m) != "processor"]
        return tuple(p for p in drivers if p in kept or not kinds[p].stores)
    if not shown and memories:
        writers = [p for p in drivers if kinds[p] in _BUS_PASSERS and _brings_processor(circuit, p, net)]
        if writers and all(addressed_by(circuit, m) == "processor" for m in memories):
            return tuple(writers)
        kept = [m for m in memories if addressed_by(circuit, m) != "processor"] or memories
        return tuple(p for p in drivers if p in kept or not kinds[p].stores)
    return drivers


def _brings_processor(circuit: Circuit, pin: PinRef, line: str, hops: int = _MOST_DATA_BUFFERS) -> bool:
    """Whether a buffer on a line brings it what a processor puts out."""
    for arc in circuit.open_arcs(pin):
        net = circuit.net_of(pin.part, arc.source)
        if net is None or net == line:
            continue
        drivers = circuit.drivers_of(net)
        kinds = {p: circuit.identified[p.part].kind for p in drivers}
        if Kind.CPU in kinds.values():
            return True
        if hops and any(
            kinds[p] in _BUS_PASSERS and p.part != pin.part and _brings_processor(circuit, p, net, hops - 1)
            for p in drivers
        ):
            return True
    return False


def addressed_by(circuit: Circuit, memory: PinRef) -> Literal["picture", "processor", "unknown"]:
    """Who chooses what a memory shows.

    "processor" when every live address line comes from one, straight or over buffers: such a memory holds its
    program or data. "picture" when some line comes over a multiplexer, counter, latch or another memory;
    "unknown" when nothing that is known drives them.
    """
    part = circuit.identified[memory.part]
    nets = [circuit.net_of(memory.part, a.source) for a in part.type.arcs_into(memory.pin, "address")]
    live = [n for n in nets if n is not None and circuit.tied_level(n) is None]
    if live and all(_comes_from_processor(circuit, net, _MOST_BUFFERS) for net in live):
        return "processor"
    kinds = {circuit.identified[p.part].kind for net in live for p in circuit.drivers_of(net)}
    return "picture" if any(kind.makes_picture for kind in kinds) else "unknown"


def _comes_from_processor(circuit: Circuit, net: str, depth: int) -> bool:
    drivers = circuit.drivers_of(net)
    if not drivers:
        return any(part.kind == Kind.CPU for _, part in circuit.parts_on(net))
    kinds = {circuit.identified[p.part].kind for p in drivers}
    if Kind.CPU in kinds:
        # Other outputs on a processor's address bus are bus masters or picture counters.
        return kinds <= _BUS_MASTERS
    if depth == 0 or not kinds <= _BUS_PASSERS:
        return False
    sources = []
    for pin in drivers:
        for arc in circuit.identified[pin.part].type.arcs_into(pin.pin, "data"):
            source = circuit.net_of(pin.part, arc.source)
            if source is not None and source != net:
                sources.append(_comes_from_processor(circuit, source, depth - 1))
    return bool(sources) and all(sources)
