"""Which of several outputs on one net does what.

A memory's data pin is the picture; a buffer beside a RAM that
does not itself bring a stored bit is a write path; two memories, or two
three-state outputs, are alternatives, each with its enable. A register that
listens on a processor's data bus gets its bit from the processor, unless a
memory on that bus is addressed by something else than the processor alone.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from tracer.base.findings import Finding, note
from tracer.bitmap.model import Role, When
from tracer.circuit.graph import Circuit
from tracer.netlist.board import PinRef
from tracer.parts.kinds import Kind
from tracer.tracing.buses import addressed_by, bus_talkers
from tracer.tracing.cone import Cone, Cones

__all__ = ["NetDrivers", "Talker", "drivers_by_role"]

#: Outputs that a finding names at most.
_MOST_NAMED = 6


@dataclass(frozen=True, slots=True)
class Talker:
    """An output on a net: what it is there for, and the levels that open it."""

    pin: PinRef
    role: Role
    when: tuple[When, ...] = ()


@dataclass(frozen=True, slots=True)
class NetDrivers:
    """The outputs on one net that bring its bit, and what is odd about them."""

    talkers: tuple[Talker, ...]
    findings: tuple[Finding, ...] = ()


def drivers_by_role(cones: Cones, net: str, drivers: tuple[PinRef, ...]) -> NetDrivers:
    """Sort the outputs on a net by role."""
    if len(drivers) == 1:
        return NetDrivers((Talker(drivers[0], "picture"),))
    circuit = cones.circuit
    heard = bus_talkers(circuit, net, drivers)
    if len(heard) == 1:
        return NetDrivers((Talker(heard[0], "picture"),))
    memories = [p for p in heard if circuit.identified[p.part].kind.stores]
    if memories:
        return NetDrivers(tuple(_beside_memories(cones, net, memories, heard)))
    return _without_memory(cones, net, heard)


def _beside_memories(
    cones: Cones, net: str, memories: list[PinRef], drivers: tuple[PinRef, ...]
) -> list[Talker]:
    circuit = cones.circuit
    writable = any(circuit.identified[m.part].kind == Kind.RAM for m in memories)
    others: list[tuple[Role, PinRef]] = []
    for pin in drivers:
        if pin not in memories:
            shows = _shows_memory(circuit, cones.behind(pin, net), memories)
            others.append(("alternative" if shows or not writable else "write path", pin))
    several = len(memories) + sum(role == "alternative" for role, _ in others) > 1
    first: Role = "alternative" if several else "picture"
    found = [Talker(pin, first, open_when(circuit, pin) if several else ()) for pin in memories]
    return found + [
        Talker(pin, role, open_when(circuit, pin) if role == "alternative" else ()) for role, pin in others
    ]


def _shows_memory(circuit: Circuit, cone: Cone, beside: Collection[PinRef]) -> bool:
    """Whether a stored bit behind a buffer lies in a memory that the picture addresses, and not on the net itself."""
    return any(addressed_by(circuit, m) == "picture" for m in cone.memories if m not in beside)


def _without_memory(cones: Cones, net: str, drivers: tuple[PinRef, ...]) -> NetDrivers:
    circuit = cones.circuit
    directions = {circuit.identified[p.part].type.by_number[p.pin].direction for p in drivers}
    names = ", ".join(str(p) for p in drivers[:_MOST_NAMED])
    if directions == {"open_collector"}:
        text = f"open collectors are tied together on net {net}: {names}; any of them pulls it low"
        found = note("several-drivers", text, net, like="tied together")
        return NetDrivers(tuple(Talker(pin, "picture") for pin in drivers), (found,))
    stored = [pin for pin in drivers if cones.behind(pin, net).stores]
    addressing = [
        pin for pin in drivers if pin not in stored and _only_counts(circuit, cones.behind(pin, net))
    ]
    if stored and addressing and _addresses(circuit, net):
        drivers = tuple(pin for pin in drivers if pin not in addressing)
        if len(drivers) == 1:
            return NetDrivers((Talker(drivers[0], "picture"),))
        names = ", ".join(str(p) for p in drivers[:_MOST_NAMED])
    text = f"several outputs drive net {net}: {names}; only one may be on at a time, and the way of each is in the map"
    alone = len(stored) == 1 and _others_can_be_off(circuit, stored[0], drivers)
    return NetDrivers(
        tuple(
            Talker(pin, "picture" if alone and pin == stored[0] else "alternative", open_when(circuit, pin))
            for pin in drivers
        ),
        (note("several-drivers", text, net, like="one at a time"),),
    )


def _only_counts(circuit: Circuit, cone: Cone) -> bool:
    """Whether nothing but counters lies behind."""
    return bool(cone.makers) and all(circuit.identified[p.part].kind == Kind.COUNTER for p in cone.makers)


def _addresses(circuit: Circuit, net: str) -> bool:
    """Whether a net is an address line of a memory: what counts there chooses words, and is no colour itself."""
    return any(
        part.kind.stores and part.type.by_number[pin.pin].role == "address"
        for pin, part in circuit.parts_on(net)
        if pin.pin in part.type.by_number
    )


def _others_can_be_off(circuit: Circuit, pin: PinRef, drivers: tuple[PinRef, ...]) -> bool:
    """Whether the other outputs on the net can be switched off; else the drawing is at fault and all stay."""
    return all(circuit.can_be_off(p) for p in drivers if p != pin)


def open_when(circuit: Circuit, pin: PinRef) -> tuple[When, ...]:
    """Levels of the enable pins under which an output drives; those that are tied to it are left out."""
    part = circuit.identified[pin.part]
    found = []
    for arc in part.type.arcs_into(pin.pin, "control"):
        if arc.role != "enable":
            continue
        name = part.type.by_number[arc.source].name
        level = 0 if name.startswith("/") else 1
        if circuit.tied_level(circuit.net_of(pin.part, arc.source)) is None:
            found.append(When(pin.part, arc.source, name, level))
    return tuple(found)
