"""Which nets are supplies and grounds.

A net is a rail by its name, by the supply legs of chips that stand on it, or
because a ferrite, coil, fuse or link joins it to a rail.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from tracer.netlist.board import Netlist, PinRef
from tracer.netlist.rail_names import LOGIC_SUPPLY_VOLTS, Rail, named_rail
from tracer.parts.identify import Identified
from tracer.parts.kinds import Kind

__all__ = ["find_rails"]

#: Names of supplies that signals have too.
_SIGNAL_LIKE = re.compile(r"\d|P|V[+\-_]?\d", re.IGNORECASE)


def find_rails(netlist: Netlist, identified: Mapping[str, Identified]) -> dict[str, Rail]:
    """Net name -> rail, for every net that is one."""
    # The board of a joined one stands in front of the name. A net called 5V that a chip drives is a counter's bit, P3V one
    # of a port; GND, VCC and +5V stay rails though a drawing slips.
    rails = {
        net.name: rail
        for net in netlist.nets
        if (rail := named_rail(net))
        and not (
            _SIGNAL_LIKE.match(net.given_name.rsplit(":", 1)[-1])
            and _is_driven(net.pins, identified, drawn=True)
        )
    }
    for net in netlist.nets:
        if net.name in rails:
            continue
        votes = list(_supply_legs(net.pins, identified))
        grounds = votes.count("ground")
        if votes and not _is_driven(net.pins, identified):
            is_ground = grounds * 2 > len(votes)
            rails[net.name] = Rail(0.0 if is_ground else LOGIC_SUPPLY_VOLTS, "supply legs")
    _spread(netlist, identified, rails)
    return rails


def _supply_legs(pins: tuple[PinRef, ...], identified: Mapping[str, Identified]) -> Iterator[str]:
    for pin in pins:
        part = identified.get(pin.part)
        if part is None or part.kind in (Kind.CONNECTOR, Kind.POWER):
            continue
        leg = part.type.by_number.get(pin.pin)
        if leg is not None and leg.direction == "power":
            yield leg.role


def _is_driven(
    pins: tuple[PinRef, ...], identified: Mapping[str, Identified], *, drawn: bool = False
) -> bool:
    """Whether an output stands on a net: one that the library knows, with `drawn` also one that is only drawn so."""
    return any(
        part.type.by_number[pin.pin].direction in ("out", "three_state")
        or (drawn and part.type.drives(pin.pin))
        for pin in pins
        if (part := identified.get(pin.part)) is not None
        and pin.pin in part.type.by_number
        and part.kind not in (Kind.CONNECTOR, Kind.POWER)
        and (drawn or part.known_by == "library")
    )


def _spread(netlist: Netlist, identified: Mapping[str, Identified], rails: dict[str, Rail]) -> None:
    """Carry rails over ferrites, coils, fuses, links and zero-ohm resistors."""
    ways: list[tuple[str, str]] = []
    for reference, part in identified.items():
        if part.kind in (Kind.INDUCTOR, Kind.LINK) or (part.kind == Kind.RESISTOR and part.ohm == 0.0):
            for arc in part.type.arcs:
                ends = (
                    netlist.net_of(PinRef(reference, arc.source)),
                    netlist.net_of(PinRef(reference, arc.target)),
                )
                if ends[0] and ends[1] and part.part.fitted:
                    ways.append((ends[0], ends[1]))
    changed = True
    while changed:
        changed = False
        for a, b in ways:
            for known, other in ((a, b), (b, a)):
                if (
                    known in rails
                    and other not in rails
                    and not _is_driven(netlist.by_net_name[other].pins, identified)
                ):
                    rails[other] = Rail(rails[known].volts, f"joined to {known}")
                    changed = True
