"""A netlist as CSV (RFC 4180), one row a pin."""

from __future__ import annotations

import csv
import io

from tracer.emit.netlists import losses
from tracer.guarded_cells import guarded_cell
from tracer.netlist import Netlist

__all__ = ["lost", "write"]


def lost(netlist: Netlist) -> list[str]:
    """What the form cannot hold."""
    return losses(
        netlist, "symbols", "libraries", "footprints", "not-fitted marks", "pins on no net", "colour pins",
        "pairs without a beep", "lines of evidence",
    )  # fmt: skip


def write(netlist: Netlist) -> str:
    """The netlist as text: part, marking, place, pin, name, direction, net."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["part", "marking", "place", "pin", "name", "pin type", "net"])
    for part in netlist.parts:
        pins = {p.number: p for p in part.pins}
        rows = [
            (n, net)
            for n in netlist.pins_of_parts[part.reference]
            for net in _nets(netlist, part.reference, n)
        ]
        for number, net in rows:
            drawn = pins.get(number)
            name, kind = (drawn.name, drawn.kind) if drawn else ("", "")
            row = (part.reference, part.marking, part.place, number, name, kind, net)
            writer.writerow(map(guarded_cell, row))
        if not rows:
            writer.writerow(map(guarded_cell, (part.reference, part.marking, part.place, "", "", "", "")))
    for reference in sorted(set(netlist.pins_of_parts) - set(netlist.by_reference)):
        for number in netlist.pins_of_parts[reference]:
            for net in _nets(netlist, reference, number):
                writer.writerow(map(guarded_cell, (reference, "", "", number, "", "", net)))
    return out.getvalue()


def _nets(netlist: Netlist, part: str, number: str) -> tuple[str, ...]:
    from tracer.netlist import PinRef

    return netlist.nets_of_pins.get(PinRef(part, number), ())
