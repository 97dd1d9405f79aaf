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
#: Voltages that supplies of logic boards have. Powers of two are left out: 1V 2V 4V ... 128V are the usual names
#: of a picture's vertical counter (common practice, no source), unless they carry a sign.
_VOLTS = r"(?:[+-]\d+(?:[.,]\d+)?|1[.,][258]|2[.,][58]|3[.,]3|3|5|6|7[.,]5|9|10|12|15|18|24|48)"
_SUPPLY_NAME = re.compile(
    rf"[+-]\d+(?:[.,]\d+)?|{_VOLTS}V(?:\d{{0,2}})?(?:[_ \-.]\w+|[DAP])?|"
    r"[+-]?[ADP]?V(?:CC|DD|EE|BB|PP|BUS|BAT|RAW)(?:[_ \-.]?\w{0,12})?|"
    rf"(?:VCC|VDD|PWR|P|V(?=[_+-]))_?{_VOLTS}V?\d*|\w{{1,8}}_(?:VCC|VDD|{_VOLTS}V\d?)",
    re.IGNORECASE,
)


def named_rail(net: str) -> Rail | None:
    """The rail that a net's name says it is, or None.

    >>> [named_rail(n) and named_rail(n).volts for n in ("GND", "/video/+5V", "VCC", "AGND", "+3V3", "-5V", "8V")]
    [0.0, 5.0, 5.0, 0.0, 3.3, -5.0, None]
    >>> [n for n in ("V0", "5V", "12V", "VIDEO", "VCC_5V", "V+5", "16V", "3V3", "VSYNC", "5VID") if named_rail(n)]
    ['5V', '12V', 'VCC_5V', 'V+5', '3V3']
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
    # A net called 5V that a chip drives is a counter's bit; GND and VCC stay rails though a drawing slips.
    rails = {
        net.name: rail
        for net in netlist.nets
        if (rail := named_rail(net.name))
        and not (last_part(net.name)[:1].isdigit() and _is_driven(net.pins, identified))
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
        if part is None or part.kind in ("connector", "power"):
            continue
        leg = part.type.by_number.get(pin.pin)
        if leg is not None and leg.direction == "power":
            yield leg.role


def _is_driven(pins: tuple[PinRef, ...], identified: Mapping[str, Identified]) -> bool:
    """Whether an output that the library knows stands on a net."""
    return any(
        part.type.drives(pin.pin)
        for pin in pins
        if (part := identified.get(pin.part)) is not None
        and part.known_by == "library"
        and pin.pin in part.type.by_number
        and part.type.by_number[pin.pin].direction in ("out", "three_state")
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
