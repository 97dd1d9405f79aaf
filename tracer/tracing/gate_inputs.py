"""Which inputs of a gate are its data, and which only gate it.

All are alike to the library. A net that gates more bits than the others is a
control (blanking, select); an input with a memory behind it is data; if neither
settles it, all are kept.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from tracer.base.findings import Finding, note
from tracer.circuit.graph import Circuit
from tracer.netlist.board import PinRef
from tracer.parts.kinds import Kind
from tracer.tracing.cone import Cones

__all__ = ["GateData", "find_gate_users", "gate_data", "open_finding", "split_gate_inputs"]

#: Chips and other ends behind a gate of which no input is settled as the data, up to which each is a way of its own.
#: A function of more, or of more bits of them, is no stored bit: it is made there.
MOST_UNDECIDED = 4
MOST_UNDECIDED_BITS = 16
#: Parts in a row up to which gates are counted: blanking stands near the output stage.
_CONE_DEPTH = 12


@dataclass(frozen=True, slots=True)
class GateData:
    """The input nets of a gate that are taken as its data.

    Attributes
    ----------
    data : tuple of str
    is_settled : bool
        Whether something tells them from what gates; else each could be the data.
    are_too_many : bool
        Whether more lies behind them than ways of a bit; False where it is settled.
    ends : frozenset of PinRef
        What lies behind them; empty where it is settled.
    """

    data: tuple[str, ...]
    is_settled: bool = True
    are_too_many: bool = False
    ends: frozenset[PinRef] = frozenset()


def gate_data(cones: Cones, live: Collection[str], users: Mapping[str, frozenset[str]]) -> GateData:
    """The data of a gate with the input nets `live`, none of them tied; `users` as in `split_gate_inputs`."""
    # A jumper or a pull-up sets an option; it brings no bit.
    moving = [net for net in live if not cones.behind(net).stands_still] or list(live)
    memory = {net: cones.behind(net).stores for net in moving}
    data, is_settled = split_gate_inputs(moving, memory, users)
    if is_settled:
        return GateData(tuple(data))
    behind = [cones.behind(net) for net in data]
    ends = frozenset[PinRef]().union(*(cone.ends for cone in behind))
    chips = {end.part for cone in behind for end in cone.memories}
    makers = frozenset[PinRef]().union(*(cone.makers for cone in behind))
    too_many = len(chips) + len(makers) > MOST_UNDECIDED or len(ends) > MOST_UNDECIDED_BITS
    return GateData(tuple(data), False, too_many, ends)


def open_finding(pin: PinRef, gate: GateData) -> Finding:
    """That it is not settled which input of the gate at `pin` is the data."""
    nets = ", ".join(gate.data)
    text = f"it is not settled which input of the gate at {pin} is the data ({nets}); all are in the map"
    return note("gate-undecided", text, str(pin))


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
