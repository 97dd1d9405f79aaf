"""Who of several does what: outputs on one net, inputs of one gate.

Outputs on a net. A memory's data pin is the picture; a buffer beside a RAM that
does not itself bring a stored bit is a write path; two memories, or two
three-state outputs, are alternatives, each with its enable. A register that
listens on a processor's data bus gets its bit from the processor, unless a
memory on that bus is addressed by something else than the processor alone.

Inputs of a gate. All are alike to the library. A net that gates more bits than
the others is a control (blanking, select); an input with a memory behind it is
data; if neither settles it, all are kept.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal, Protocol

from tracer.base.findings import Finding, note
from tracer.bitmap.model import Path, Role, When
from tracer.circuit.graph import Circuit
from tracer.netlist.board import PinRef
from tracer.parts.kinds import Kind

__all__ = ["NetDrivers", "WaysBack", "drivers_by_role", "find_gate_users", "split_gate_inputs"]


class WaysBack(Protocol):
    """Whoever walks: gives the ways back from one output."""

    @property
    def circuit(self) -> Circuit:
        """The board."""

    def from_output(self, pin: PinRef, passed: frozenset[str], depth: int) -> tuple[Path, ...]:
        """Ways back from one output."""


@dataclass
class NetDrivers:
    """Ways back from one net: role, output, levels that open it, paths."""

    ways: list[tuple[Role, PinRef, tuple[When, ...], tuple[Path, ...]]] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)


def drivers_by_role(
    walker: WaysBack, net: str, drivers: list[PinRef], passed: frozenset[str], depth: int
) -> NetDrivers:
    """Sort the outputs on a net by role."""
    circuit = walker.circuit
    found = NetDrivers()
    if len(drivers) == 1:
        found.ways.append(("picture", drivers[0], (), walker.from_output(drivers[0], passed, depth)))
        return found
    kinds = {pin: circuit.identified[pin.part].kind for pin in drivers}
    memories = [p for p in drivers if kinds[p].stores]
    processors = [p for p in drivers if kinds[p] == Kind.CPU]
    if processors:
        shown = [m for m in memories if _addressed_by(circuit, m) == "picture"]
        if not shown:
            found.ways.append(
                ("picture", processors[0], (), walker.from_output(processors[0], passed, depth))
            )
            return found
        memories = shown
    elif len(memories) > 1:
        # Memories that only the processor's side addresses share the bus, but do not show the picture.
        shown = [m for m in memories if _addressed_by(circuit, m) != "processor"]
        memories = shown or memories
    if memories:
        _beside_memories(walker, found, memories, drivers, passed, depth)
    else:
        _without_memory(walker, found, net, drivers, passed, depth)
    return found


def _beside_memories(
    walker: WaysBack,
    found: NetDrivers,
    memories: list[PinRef],
    drivers: list[PinRef],
    passed: frozenset[str],
    depth: int,
) -> None:
    circuit = walker.circuit
    others: list[tuple[Role, PinRef, tuple[Path, ...]]] = []
    for pin in drivers:
        if circuit.identified[pin.part].kind.stores:
            continue
        paths = walker.from_output(pin, passed, depth)
        writable = any(circuit.identified[m.part].kind == Kind.RAM for m in memories)
        stored = any(p.source.is_memory and p.role != "write path" for p in paths)
        if stored and not _shares_bus_memory(circuit, paths):
            others.append(("alternative", pin, paths))
        elif writable:
            others.append(("write path", pin, paths))
        else:
            others.append(("alternative", pin, paths))
    several = len(memories) + sum(role == "alternative" for role, _, _ in others) > 1
    for pin in memories:
        when = open_when(circuit, pin) if several else ()
        role: Role = "alternative" if several else "picture"
        found.ways.append((role, pin, when, walker.from_output(pin, passed, depth)))
    for role, pin, paths in others:
        found.ways.append((role, pin, open_when(circuit, pin) if role == "alternative" else (), paths))


def _shares_bus_memory(circuit: Circuit, paths: tuple[Path, ...]) -> bool:
    """Whether no stored bit behind a buffer lies in a memory that the picture addresses: it is a bus of its own."""
    stored = [p.source for p in paths if p.source.is_memory and p.source.part and p.source.pin]
    return all(_addressed_by(circuit, PinRef(s.part or "", s.pin or "")) != "picture" for s in stored)


def _without_memory(
    walker: WaysBack,
    found: NetDrivers,
    net: str,
    drivers: list[PinRef],
    passed: frozenset[str],
    depth: int,
) -> None:
    circuit = walker.circuit
    directions = {circuit.identified[p.part].type.by_number[p.pin].direction for p in drivers}
    names = ", ".join(str(p) for p in drivers[:6])
    if directions == {"open_collector"}:
        found.findings.append(
            note(
                "several-drivers",
                f"open collectors are tied together on net {net}: {names}; any of them pulls it low",
                net,
            )
        )
        for pin in drivers:
            found.ways.append(("picture", pin, (), walker.from_output(pin, passed, depth)))
        return
    ways = [(pin, walker.from_output(pin, passed, depth)) for pin in drivers]
    stored = [pin for pin, paths in ways if any(p.source.is_memory and p.role != "write path" for p in paths)]
    found.findings.append(
        note(
            "several-drivers",
            f"several outputs drive net {net}: {names}; only one may be on at a time, and the way of each is in the map",
            net,
        )
    )
    for pin, paths in ways:
        role: Role = "alternative"
        if len(stored) == 1 and pin == stored[0] and _never_meets(circuit, pin, drivers):
            role = "picture"
        found.ways.append((role, pin, open_when(circuit, pin), paths))


def _never_meets(circuit: Circuit, pin: PinRef, drivers: list[PinRef]) -> bool:
    """Whether the other outputs on the net cannot be switched off: then the drawing is at fault and all stay."""
    return all(
        circuit.identified[p.part].type.by_number[p.pin].direction in ("three_state", "bidirectional")
        for p in drivers
        if p != pin
    )


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


def _addressed_by(circuit: Circuit, memory: PinRef) -> Literal["picture", "processor", "unknown"]:
    """Who chooses what a memory shows.

    "processor" when every live address line comes from one, straight or over buffers: such a memory holds its
    program or data. "picture" when some line comes over a multiplexer, counter, latch or another memory;
    "unknown" when nothing that is known drives them.
    """
    part = circuit.identified[memory.part]
    nets = [circuit.net_of(memory.part, a.source) for a in part.type.arcs_into(memory.pin, "address")]
    live = [n for n in nets if n is not None and circuit.tied_level(n) is None]
    if live and all(_comes_from_processor(circuit, net, 4) for net in live):
        return "processor"
    kinds = {circuit.identified[p.part].kind for net in live for p in circuit.drivers_of(net)}
    return "picture" if any(kind.makes_picture for kind in kinds) else "unknown"


#: What may stand on a processor's address bus beside it, and what carries that bus on.
_BUS_MASTERS = frozenset({Kind.CPU, Kind.CONNECTOR, Kind.UNKNOWN, Kind.LOGIC, Kind.TRANSCEIVER})
_BUS_PASSERS = frozenset({Kind.BUFFER, Kind.TRANSCEIVER, Kind.LATCH, Kind.REGISTER})


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


def split_gate_inputs(
    inputs: Collection[str], memory: Mapping[str, bool], users: Mapping[str, frozenset[str]]
) -> tuple[list[str], bool]:
    """Which input nets of a gate are data, and whether that is settled.

    Parameters
    ----------
    inputs : collection of str
        The gate's input nets, none of them tied.
    memory : mapping of str to bool
        Net -> whether a stored bit lies behind it.
    users : mapping of str to frozenset of str
        Net -> the drivers whose gates take it.

    Examples
    --------
    >>> split_gate_inputs(["pixel", "blank"], {"pixel": True, "blank": True},
    ...                   {"pixel": frozenset({"a"}), "blank": frozenset({"a", "b", "c"})})
    (['pixel'], True)
    >>> split_gate_inputs(["x", "y"], {"x": False, "y": False}, {})
    (['x', 'y'], False)
    """
    counts = {net: len(users.get(net, ())) for net in inputs}
    least = min(counts.values())
    data = [net for net in inputs if counts[net] < 2 or counts[net] <= least]
    stored = [net for net in data if memory[net]]
    if stored:
        return stored, len(stored) == 1
    # No stored bit on the nets of this bit alone, but one on a net that gates others too: keep both.
    shared = [net for net in inputs if memory[net]]
    return [*shared, *data], not shared and len(data) == 1


def find_gate_users(circuit: Circuit, drivers: Iterable[PinRef]) -> dict[str, frozenset[str]]:
    """Net -> drivers in whose cone a gate takes it as an input."""
    found: dict[str, set[str]] = {}
    for driver in drivers:
        for net in _gate_inputs_in_cone(circuit, driver):
            found.setdefault(net, set()).add(str(driver))
    return {net: frozenset(users) for net, users in found.items()}


#: Parts in a row up to which gates are counted: blanking stands near the output stage.
_CONE_DEPTH = 12


def _gate_inputs_in_cone(circuit: Circuit, driver: PinRef) -> set[str]:
    found: set[str] = set()
    seen: set[PinRef] = set()
    front = [driver]
    for _ in range(_CONE_DEPTH):
        new: list[PinRef] = []
        for pin in front:
            part = circuit.identified[pin.part]
            if pin in seen or not part.kind.passes:
                continue
            seen.add(pin)
            for arc in part.type.arcs_into(pin.pin, "data"):
                net = circuit.net_of(pin.part, arc.source)
                if net is None or net in circuit.rails:
                    continue
                if part.kind == Kind.GATE:
                    found.add(net)
                new += circuit.drivers_of(net)
        front = new
    return found
