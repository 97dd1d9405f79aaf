"""Nets that several outputs drive in turn: memories on one bus, and chips whose controls let their outputs go."""

from __future__ import annotations

from collections.abc import Mapping

from tracer.base.names import natural_key
from tracer.beeps.bench import Bench
from tracer.beeps.standing import rails_left
from tracer.beeps.wanted import Connection, Want, Wanted
from tracer.netlist.board import PinRef

__all__ = ["data_legs", "find_banks", "is_one_way"]

#: Controls by which an output lets go of its net.
_LETS_GO = frozenset({"enable", "direction"})


def data_legs(bench: Bench, part: str) -> list[PinRef]:
    """The data legs of a memory that can let go of their net, in the order of their names."""
    pins = [
        p
        for p in bench.circuit.identified[part].type.pins
        if p.role in ("data_io", "data_out")
        and p.direction in ("three_state", "bidirectional", "open_collector")
    ]
    return [PinRef(part, p.number) for p in sorted(pins, key=lambda p: natural_key(p.name or p.number))]


def find_banks(bench: Bench, wanted: Wanted, may_share: Mapping[PinRef, str]) -> None:
    """Outputs that can let go may share a net with a memory: one of each chip is tried against every other memory.

    Where one leg shares its net, so may all others of that chip.
    """
    identified = bench.circuit.identified
    memories = [r for r, part in identified.items() if part.kind.stores and part.part.fitted]
    pins = {**wanted.memories, **may_share}
    pins = {pin: colour for pin, colour in pins.items() if _may_let_go(bench, wanted, pin, colour)}
    first: dict[str, PinRef] = {}
    for pin in pins:
        first.setdefault(pin.part, pin)
    partners = {pin: [r for r in memories if r != pin.part and _met_on_bus(bench, pin, r)] for pin in pins}
    sharing = {pin.part for pin, others in partners.items() if others}
    for pin, colour in pins.items():
        for other in memories:
            legs = data_legs(bench, other)
            if other == pin.part or not legs:
                continue
            if other in partners[pin]:
                for leg in legs:
                    if bench.net(leg) == bench.net(pin):
                        wanted.met(Connection(Want("bank", pin, colour, like=other), leg))
                continue
            is_due = pin == first[pin.part] or (
                pin.part in sharing and (not partners[pin] or _shares_bus(bench, pin.part, other))
            )
            if is_due and not all(bench.touched(pin, leg) for leg in legs):
                wanted.open.append(Want("bank", pin, colour, like=other))


def _controls(bench: Bench, pin: PinRef) -> list[PinRef]:
    """The legs that let an output go, or turn it round."""
    part = bench.circuit.identified[pin.part].type
    legs = {a.source for a in part.arcs if a.kind == "control" and a.target == pin.pin and a.role in _LETS_GO}
    return [PinRef(pin.part, leg) for leg in sorted(legs, key=natural_key)]


def _untried(bench: Bench, pin: PinRef) -> list[PinRef]:
    """Its controls that may still be tied to a supply."""
    return [leg for leg in _controls(bench, pin) if not bench.is_rail(leg) and rails_left(bench, leg)]


def _may_let_go(bench: Bench, wanted: Wanted, pin: PinRef, colour: str) -> bool:
    """Whether an output may share its net: a memory's, and one whose controls are not all tied."""
    if pin in wanted.memories:
        return True
    untried = _untried(bench, pin)
    for leg in untried:
        wanted.ask(Want("tied", leg, colour))
    controls = _controls(bench, pin)
    return not untried and not (controls and all(bench.is_rail(leg) for leg in controls))


def is_one_way(bench: Bench, pin: PinRef) -> bool:
    """Whether a two-way buffer always hands on to a leg: its controls are tied, or its net has no memory."""
    controls = _controls(bench, pin)
    if controls and all(bench.is_rail(leg) for leg in controls):
        return True
    memories = [r for r, part in bench.circuit.identified.items() if part.kind.stores and part.part.fitted]
    legs = [leg for r in memories for leg in data_legs(bench, r)]
    return not _untried(bench, pin) and all(bench.touched(pin, leg) for leg in legs)


def _met_on_bus(bench: Bench, pin: PinRef, memory: str) -> bool:
    return any(bench.net(leg) == bench.net(pin) for leg in data_legs(bench, memory))


def _shares_bus(bench: Bench, a: str, b: str) -> bool:
    nets = {bench.net(leg) for leg in data_legs(bench, a)}
    return any(bench.net(leg) in nets for leg in data_legs(bench, b))
