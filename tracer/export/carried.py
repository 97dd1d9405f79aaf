"""Which nets and legs carry which bit of which colour: for programs that highlight nets, and for drawings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from tracer.base.names import natural_key
from tracer.bitmap.model import Bit, Colour, Role
from tracer.circuit.graph import Circuit
from tracer.export.values import WHOLE
from tracer.netlist.board import PinRef
from tracer.tracing.pipeline import Traced

__all__ = ["LegBit", "NetBit", "NetRole", "leg_bits", "net_bits", "stage_parts"]

#: Why a net is on the list: the role of the path, or that the whole colour passes.
NetRole = Literal["picture", "alternative", "write path", "output stage"]
#: The strongest last.
_ROLES: tuple[Role, ...] = ("write path", "alternative", "picture")


@dataclass(frozen=True, slots=True)
class NetBit:
    """A net, and a bit of a colour that it carries; bit is `WHOLE` where the whole colour passes."""

    net: str
    colour: str
    bit: int
    role: NetRole


@dataclass(frozen=True, slots=True)
class LegBit:
    """A leg that a bit passes on its way; bit is `WHOLE` at the connector."""

    leg: PinRef
    colour: str
    bit: int


def net_bits(traced: Traced) -> tuple[NetBit, ...]:
    """All nets of the colours' paths: colours in the order of the map, bits heaviest first, output stages last.

    A net of a bit is given once, in its strongest role. Supplies are left out.
    """
    found: list[NetBit] = []
    for colour in traced.bit_map.colours:
        carried: set[str] = set()
        for bit in colour.bits:
            roles = _roles_of_nets(traced.circuit, bit)
            for role in reversed(_ROLES):
                nets = sorted((net for net, own in roles.items() if own == role), key=natural_key)
                found += [NetBit(net, colour.name, bit.bit, role) for net in nets]
            carried |= {net for net, role in roles.items() if role != "write path"}
        stage = sorted(_stage_nets(traced, colour) - carried, key=natural_key)
        found += [NetBit(net, colour.name, WHOLE, "output stage") for net in stage]
    return tuple(found)


def leg_bits(traced: Traced) -> tuple[LegBit, ...]:
    """The legs that the bits pass, write paths left out; of a weighing resistor the leg on the bit's own net."""
    found: dict[LegBit, None] = {}
    for colour in traced.bit_map.colours:
        for bit in colour.bits:
            legs = [leg for role in _ROLES if role != "write path" for leg in _legs(bit, role)]
            driver = PinRef(bit.driver.part, bit.driver.pin)
            weighing = {resistor.part for resistor in bit.resistors}
            on_net = [pin for net in traced.circuit.nets_of(*driver) for pin in traced.circuit.pins_on(net)]
            legs += [driver, *(pin for pin in on_net if pin.part in weighing)]
            found.update(dict.fromkeys(LegBit(leg, colour.name, bit.bit) for leg in legs))
        if colour.pin.part and colour.pin.pin:
            found[LegBit(PinRef(colour.pin.part, colour.pin.pin), colour.name, WHOLE)] = None
    return tuple(found)


def stage_parts(traced: Traced, colour: str) -> frozenset[str]:
    """The parts of a colour's output stage."""
    return frozenset(traced.stages[colour].network.parts)


def _legs(bit: Bit, role: Role) -> Iterator[PinRef]:
    """The legs of a bit's paths of one role."""
    for path in bit.paths:
        if path.role == role:
            if path.source.part and path.source.pin:
                yield PinRef(path.source.part, path.source.pin)
            for step in path.steps:
                yield PinRef(step.part, step.source_pin)
                yield PinRef(step.part, step.target_pin)


def _roles_of_nets(circuit: Circuit, bit: Bit) -> dict[str, Role]:
    """Net -> the strongest role in which the bit passes it."""
    found: dict[str, Role] = {}
    legs: list[tuple[Role, PinRef]] = [(role, leg) for role in _ROLES for leg in _legs(bit, role)]
    for role, leg in [*legs, ("picture", PinRef(bit.driver.part, bit.driver.pin))]:
        found.update(dict.fromkeys(circuit.nets_of(*leg), role))
    return {net: role for net, role in found.items() if net not in circuit.rails}


def _stage_nets(traced: Traced, colour: Colour) -> frozenset[str]:
    """Nets between the drivers and the colour pin; those of drivers that are no bits (clamps) are left out."""
    stage = traced.stages[colour.name]
    bits = {PinRef(bit.driver.part, bit.driver.pin) for bit in colour.bits}
    others = {driver.net for driver in stage.drivers if not bits.intersection(driver.pins)}
    return stage.nets - set(traced.circuit.rails) - others
