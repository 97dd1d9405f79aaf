"""A netlist as CSV (RFC 4180), one row a pin."""

from __future__ import annotations

import csv
import io

from tracer.base.guarded_cells import guarded_cell
from tracer.export.netlists.netlists import losses
from tracer.export.netlists.plain_words import changed, distinct
from tracer.netlist.board import Netlist, PinRef
from tracer.netlist.net_names import is_no_connect

__all__ = ["lost", "write"]


def lost(netlist: Netlist) -> list[str]:
    """What the form cannot hold."""
    unnumbered = sum(not pin.pin for pin in netlist.nets_of_pins)
    return [
        *losses(
            netlist, "symbols", "libraries", "footprints", "not-fitted marks", "pins on no net", "colour pins", "monitor's load",
            "pairs without a beep", "lines of evidence",
        ),
        *changed(_net_names(netlist), "names of nets"),
        *changed(_references(netlist), "references"),
        *([f"{unnumbered} pins without a number"] if unnumbered else []),
    ]  # fmt: skip


def write(netlist: Netlist) -> str:
    """The netlist as text: part, marking, place, pin, name, direction, net."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    names, references = _net_names(netlist), _references(netlist)
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
            row = (references[part.reference], part.marking, part.place, number, name, kind, names[net])
            writer.writerow(map(guarded_cell, row))
        if not rows:
            row = (references[part.reference], part.marking, part.place, "", "", "", "")
            writer.writerow(map(guarded_cell, row))
    for reference in sorted(set(netlist.pins_of_parts) - set(netlist.by_reference)):
        for number in netlist.pins_of_parts[reference]:
            for net in _nets(netlist, reference, number):
                writer.writerow(
                    map(guarded_cell, (references[reference], "", "", number, "", "", names[net]))
                )
    return out.getvalue()


def _net_names(netlist: Netlist) -> dict[str, str]:
    """Net -> its name in a table, where a word such as ``N/C`` stands for no net."""
    return distinct((net.name for net in netlist.nets), _plain_net)


def _references(netlist: Netlist) -> dict[str, str]:
    """Part -> its reference in a table, where a row that starts with ``#`` is a comment."""
    return distinct(
        [*(part.reference for part in netlist.parts), *netlist.pins_of_parts],
        lambda text: f"_{text}" if text.lstrip().startswith("#") else text,
    )


def _plain_net(name: str) -> str:
    return f"_{name}" if is_no_connect(name) else name


def _nets(netlist: Netlist, part: str, number: str) -> tuple[str, ...]:
    return netlist.nets_of_pins.get(PinRef(part, number), ())
