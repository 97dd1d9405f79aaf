"""Which nets are supplies and grounds.

A net is a rail by its name, by the supply legs of chips that stand on it, or
because a ferrite, coil, fuse or link joins it to a rail.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from tracer.names import last_part
from tracer.netlist import Netlist, PinRef
from tracer.parts.identify import Identified
from tracer.units import parse_volts

__all__ = ["Rail", "find_rails", "named_rail"]


@dataclass(frozen=True, slots=True)
class Rail:
    """A net that holds one level: its volts, 0 for ground, and how it is known."""

    volts: float
    known_by: str

    @property
    def is_ground(self) -> bool:
        """Whether it is ground."""
        return self.volts == 0.0


#: What a supply of unstated voltage holds on logic boards.
LOGIC_SUPPLY_VOLTS = 5.0

_GROUND_NAME = re.compile(
    r"(?:[ADPSV]?GND|GROUND|[AD]?VSS|0V|EARTH|MASSE|CHASSIS|SHIELD)(?:[_ \-./]?\w{0,12})?|\w{1,10}_GND|GNDREF",
    re.IGNORECASE,
)
_SUPPLY_NAME = re.compile(
    r"[+-]\d+(?:[.,]\d+)?|[+-]?\d+(?:[.,]\d+)?V(?:\d{0,2})?(?:[_ \-.]\w+|[DAP])?|"
    r"[+-]?[ADP]?V(?:CC|DD|EE|BB|PP|BUS|BAT|RAW)(?:[_ \-.]?\w{0,12})?|"
    r"(?:VCC|VDD|V|PWR)_?[+-]?\d+V?\d*|\w{1,8}_(?:VCC|VDD|[+]?\d+V\d?)",
    re.IGNORECASE,
)


def named_rail(net: str) -> Rail | None:
    """The rail that a net's name says it is, or None.

    >>> [named_rail(n) and named_rail(n).volts for n in ("GND", "/video/+5V", "VCC", "AGND", "+3V3", "-5V", "V0")]
    [0.0, 5.0, 5.0, 0.0, 3.3, -5.0, None]
    """
    net = net.rsplit(":", 1)[-1]
    name = last_part(net).strip()
    if net.startswith(("Net-(", "unconnected-(")):
        return None
    if _GROUND_NAME.fullmatch(name):
        return Rail(0.0, "name")
    if _SUPPLY_NAME.fullmatch(name):
        volts = parse_volts(name)
        if volts is None and (digits := re.fullmatch(r"([+-]\d+(?:[.,]\d+)?)", name)):
            volts = float(digits[1].replace(",", "."))
        if volts == 0.0:
            return Rail(0.0, "name")
        return Rail(LOGIC_SUPPLY_VOLTS if volts is None else volts, "name")
    return None


def find_rails(netlist: Netlist, identified: Mapping[str, Identified]) -> dict[str, Rail]:
    """Net name -> rail, for every net that is one."""
    rails = {net.name: rail for net in netlist.nets if (rail := named_rail(net.name))}
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
        if part is None or part.kind in ("connector", "power"):
            continue
        leg = part.type.by_number.get(pin.pin)
        if leg is not None and leg.direction == "power":
            yield leg.role


def _is_driven(pins: tuple[PinRef, ...], identified: Mapping[str, Identified]) -> bool:
    return any(
        part.type.drives(pin.pin)
        for pin in pins
        if (part := identified.get(pin.part)) is not None and part.kind not in ("connector", "unknown")
    )


def _spread(netlist: Netlist, identified: Mapping[str, Identified], rails: dict[str, Rail]) -> None:
    """Carry rails over ferrites, coils, fuses, links and zero-ohm resistors."""
    ways: list[tuple[str, str]] = []
    for reference, part in identified.items():
        if part.kind in ("inductor", "link") or (part.kind == "resistor" and part.ohm == 0.0):
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
