"""Filters of three legs: a coil or a feed-through capacitor between two lines, its third leg on ground.

Their symbols number the legs and say no more (Debian kicad-symbols 6.0.10, Device: `Filter_EMI_LCL`, `C_Feedthrough`), so
which leg is the one to ground follows from the nets.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from tracer.netlist.board import Netlist, PinRef
from tracer.netlist.rail_names import Rail
from tracer.parts.identify import Identified
from tracer.parts.kinds import Kind
from tracer.parts.model import Arc

__all__ = ["with_filters"]

_THROUGH = frozenset({Kind.INDUCTOR, Kind.CAPACITOR})
_LEGS = 3


def with_filters(
    netlist: Netlist, identified: Mapping[str, Identified], rails: Mapping[str, Rail]
) -> dict[str, Identified]:
    """The parts, filters with a way between the two of their three legs that are not on ground."""
    return {reference: _through(netlist, part, rails) for reference, part in identified.items()}


def _through(netlist: Netlist, part: Identified, rails: Mapping[str, Rail]) -> Identified:
    if part.kind not in _THROUGH or len(part.type.pins) != _LEGS or part.type.arcs:
        return part
    live = [
        pin.number
        for pin in part.type.pins
        if not any(
            net in rails and rails[net].is_ground
            for net in netlist.nets_of_pins.get(PinRef(part.part.reference, pin.number), ())
        )
    ]
    if len(live) != _LEGS - 1:
        return part
    # What passes a line is a coil to whoever follows it.
    through = replace(part.type, kind=Kind.INDUCTOR, arcs=(Arc("series", live[0], live[1], ohm=0.0),))
    return replace(part, type=through)
