"""The walked circuit as a list of edges: memory leg -> ... -> colour pin, and the parts of the output stages."""

from __future__ import annotations

from collections.abc import Iterator

from tracer.bitmap.model import Bit
from tracer.export.values import WHOLE, Node, WalkedEdge
from tracer.tracing.pipeline import Traced

__all__ = ["walked_edges"]


def walked_edges(traced: Traced) -> tuple[WalkedEdge, ...]:
    """All edges, each once, with the bits that pass it; stable order."""
    found: dict[tuple[Node, Node, str, str, float | None, bool], list[tuple[str, int]]] = {}

    def add(edge: WalkedEdge) -> None:
        key = (edge.source, edge.target, edge.part, edge.kind, edge.ohm, edge.inverts)
        passing = found.setdefault(key, [])
        passing += [c for c in edge.colours if c not in passing]

    for colour in traced.bit_map.colours:
        for bit in colour.bits:
            for edge in _path_edges(colour.name, bit):
                add(edge)
        for edge in _stage(traced, colour.name):
            add(edge)
        if colour.pin.part:
            node = _net(traced.stages[colour.name].node(colour.pin.net))
            add(WalkedEdge(node, _leg(colour.pin.part, colour.pin.pin), "", "track", ((colour.name, WHOLE),)))
    return tuple(
        WalkedEdge(source, target, part, kind, tuple(colours), ohm, inverts)
        for (source, target, part, kind, ohm, inverts), colours in found.items()
    )


def _leg(part: str, pin: str | None) -> Node:
    return Node(f"{part}.{pin}")


def _net(name: str) -> Node:
    return Node(name, is_net=True)


def _path_edges(colour: str, bit: Bit) -> Iterator[WalkedEdge]:
    """From the memory leg to the driver leg, over every path of the picture."""
    passing = ((colour, bit.bit),)
    for path in bit.paths:
        if path.role == "write path":
            continue
        here = _leg(bit.driver.part, bit.driver.pin)
        for step in path.steps:
            leaves, enters = _leg(step.part, step.target_pin), _leg(step.part, step.source_pin)
            if leaves != here:
                yield WalkedEdge(leaves, here, "", "track", passing)
            yield WalkedEdge(enters, leaves, step.part, step.how, passing, inverts=step.inverts)
            here = enters
        source = path.source
        end = _leg(source.part, source.pin) if source.part else Node(source.name or source.kind)
        if end != here:
            yield WalkedEdge(end, here, "", "track", passing)


def _stage(traced: Traced, colour: str) -> Iterator[WalkedEdge]:
    """The parts of an output stage, and the tracks from its drivers' legs to its nets."""
    stage = traced.stages[colour]
    whole = ((colour, WHOLE),)
    for driver in stage.drivers:
        for pin in driver.pins:
            yield WalkedEdge(_leg(*pin), _net(stage.node(driver.net)), "", "track", whole)
    for r in stage.network.resistors:
        yield WalkedEdge(_net(r.a), _net(r.b), r.part, "resistor", whole, r.ohm)
    for d in stage.network.diodes:
        yield WalkedEdge(_net(d.anode), _net(d.cathode), d.part, "diode", whole)
    for q in stage.network.transistors:
        for end in (q.emitter, q.collector):
            yield WalkedEdge(_net(q.base), _net(end), q.part, "transistor", whole)
    for a in stage.network.amplifiers:
        yield WalkedEdge(_net(a.plus), _net(a.out), a.part, "buffer", whole)
        if a.minus != a.out:
            yield WalkedEdge(_net(a.minus), _net(a.out), a.part, "buffer", whole, inverts=True)
