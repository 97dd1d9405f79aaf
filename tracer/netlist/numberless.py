"""Legs without a number: several of one part are several legs, whatever a form writes for them."""

from __future__ import annotations

from dataclasses import replace

from tracer.base.findings import note
from tracer.base.names import natural_key
from tracer.netlist.board import Netlist
from tracer.netlist.pins import PinRef

__all__ = ["legs_apart"]

#: What such legs are called, with a count behind it: no form has this letter in a pin's number.
_MADE = "?"


def legs_apart(netlist: Netlist) -> Netlist:
    """The same board, in which legs without a number on different nets are not one leg; says of which parts.

    They are called ``?1``, ``?2`` ... in the order of their nets.
    """
    parts = sorted(
        (pin.part for pin, nets in netlist.nets_of_pins.items() if not pin.pin and len(nets) > 1),
        key=natural_key,
    )
    if not parts:
        return netlist
    count = dict.fromkeys(parts, 0)
    nets = []
    for net in netlist.nets:
        pins = []
        for pin in net.pins:
            if not pin.pin and pin.part in count:
                count[pin.part] += 1
                pin = PinRef(pin.part, f"{_MADE}{count[pin.part]}")
            pins.append(pin)
        nets.append(replace(net, pins=tuple(pins)))
    finding = note(
        "numberless-legs",
        f"legs without a number were kept apart as ?1, ?2 ...: of {', '.join(parts[:8])}{' ...' if len(parts) > 8 else ''}; "
        "which leg is which the file does not tell",
        *parts,
    )
    # What is declared without a number cannot be told to be one of them.
    known = tuple(
        replace(p, pins=tuple(pin for pin in p.pins if pin.number)) if p.reference in count else p
        for p in netlist.parts
    )
    return replace(netlist, parts=known, nets=tuple(nets), findings=(*netlist.findings, finding))
