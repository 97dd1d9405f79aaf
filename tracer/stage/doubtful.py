"""Pins that may drive an output stage, and do where nothing better does."""

from __future__ import annotations

from tracer.base.findings import note
from tracer.circuit.graph import Circuit
from tracer.parts.kinds import Kind
from tracer.stage.collected import Collected
from tracer.stage.model import StageDriver

__all__ = ["settle_doubtful"]


def settle_doubtful(circuit: Circuit, found: Collected, beside: frozenset[str]) -> None:
    """Make drivers of pins of parts without an entry that the drawing calls passive, or even inputs.

    A resistor leg must end at something that drives it; where nothing better stands there, such a
    pin does, and it is said.
    """
    drives = {pin.part for d in found.drivers.values() for pin in d.pins}
    for net, pins in found.may_drive.items():
        if net not in found.drivers and net != found.start and net not in circuit.rails:
            found.drivers[net] = StageDriver(net, tuple(pins))
            drives |= {p.part for p in pins}
    nothing_drives = not found.drivers
    for net, pins in found.drawn_as_inputs.items():
        alone = nothing_drives or any(p.part in drives for p in pins)
        if net in found.drivers or net == found.start or not alone or net in circuit.rails:
            continue
        found.drivers[net] = StageDriver(net, tuple(pins))
        found.findings.append(
            note(
                "drawn-as-input",
                f"{pins[0]} is drawn as an input but is all that a leg of the output stage ends at; it was "
                "taken as its driver",
                str(pins[0]),
            )
        )
    if not found.drivers and found.start in found.may_drive:
        pins = found.may_drive[found.start]
        found.drivers[found.start] = StageDriver(found.start, tuple(pins))
    feeding = _feeding(found)
    if not feeding & set(found.drivers):
        _drivers_behind_connectors(circuit, found, feeding, beside)


def _feeding(found: Collected) -> set[str]:
    """Nets that can lift the colour: what only a diode pulls down by (blanking, a brightness) is not among them."""
    ways: dict[str, list[str]] = {}
    ends = [(r.a, r.b) for r in found.resistors.values()] + found.joins
    for a, b in [*ends, *((b, a) for a, b in ends)]:
        ways.setdefault(a, []).append(b)
    for d in found.diodes.values():
        ways.setdefault(d.cathode, []).append(d.anode)
    for q in found.transistors.values():
        for leg in (q.emitter, q.collector):
            ways.setdefault(leg, []).append(q.base)
    for amplifier in found.amplifiers.values():
        ways.setdefault(amplifier.out, []).extend((amplifier.plus, amplifier.minus))
    reached, front = set(found.pins), list(found.pins)
    while front:
        here = front.pop()
        if here in found.fixed or (here in found.drivers and here not in found.pins):
            continue
        new = set(ways.get(here, ())) - reached
        reached |= new
        front += new
    return reached


def _drivers_behind_connectors(
    circuit: Circuit, found: Collected, feeding: set[str], beside: frozenset[str]
) -> None:
    """With no output that feeds the colour, legs that end at another connector come from the board it leads to.

    Connectors side by side on one net are one way in.
    """
    for pin, net in found.connectors.items():
        parts = [p for p, part in circuit.parts_on(net) if part.kind != Kind.CONNECTOR]
        if net in feeding - beside and net != found.start and len(parts) == 1 and net not in circuit.rails:
            before = found.drivers[net].pins if net in found.drivers else ()
            found.drivers[net] = StageDriver(net, (*before, pin))
