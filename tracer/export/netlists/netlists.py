"""A netlist in another form, for `rgbroots convert`: one module a form, chosen by `NETLIST_FORMS`.

Every writer has ``write(netlist) -> str`` and says in ``lost(netlist)`` which facts of this netlist its
form cannot hold.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from typing import cast

from tracer.netlist.board import Netlist

__all__ = ["NETLIST_FORMS", "NetlistForm", "write_netlist"]


@dataclass(frozen=True, slots=True)
class NetlistForm:
    """A form that can be written: name, suffix of its file, module, and a few words."""

    name: str
    suffix: str
    module: str
    what: str


#: Of two forms with one suffix the first is the one that the suffix stands for.
NETLIST_FORMS: tuple[NetlistForm, ...] = (
    NetlistForm("kicad-netlist", ".net", "tracer.export.netlists.kicad", "KiCad netlist, version E"),
    NetlistForm("table", ".csv", "tracer.export.netlists.table", "table, one row a pin"),
    NetlistForm("orcad-pcb2", ".net", "tracer.export.netlists.orcad", "netlist in the form of OrCAD PCB II"),
    NetlistForm("pads", ".asc", "tracer.export.netlists.pads", "netlist in the form of PADS"),
    NetlistForm(
        "bench-notes", ".notes", "tracer.export.netlists.notes", "bench notes, to be carried on by hand"
    ),
)


def write_netlist(name: str, netlist: Netlist) -> tuple[str, list[str]]:
    """The text in one of the forms, and sentences about what it cannot hold."""
    form = next(f for f in NETLIST_FORMS if f.name == name)
    module = import_module(form.module)
    write = cast(Callable[[Netlist], str], module.write)
    lost = cast(Callable[[Netlist], list[str]], module.lost)
    return write(netlist), lost(netlist)


def count_facts(netlist: Netlist) -> dict[str, int]:
    """How many parts or pins carry each fact that some forms lose."""
    stated = set(netlist.nets_of_pins)
    return {
        "footprints": sum(bool(p.footprint) for p in netlist.parts),
        "symbols": sum(bool(p.symbol) for p in netlist.parts),
        "libraries": sum(bool(p.library) for p in netlist.parts),
        "places": sum(bool(p.place) for p in netlist.parts),
        "not-fitted marks": sum(not p.fitted for p in netlist.parts),
        "pin names": sum(bool(q.name) for p in netlist.parts for q in p.pins),
        "pin directions": sum(bool(q.kind) for p in netlist.parts for q in p.pins),
        "pins on no net": sum((p.reference, q.number) not in stated for p in netlist.parts for q in p.pins),
        "colour pins": len(netlist.notes.colour_pins),
        "monitor's load": int(netlist.notes.load is not None),
        "pairs without a beep": len(netlist.notes.apart),
        "lines of evidence": len(netlist.notes.evidence),
    }


def losses(netlist: Netlist, *facts: str) -> list[str]:
    """A sentence for each fact of `facts` that this netlist has and a form drops."""
    counts = count_facts(netlist)
    return [f"{counts[fact]} {fact}" for fact in facts if counts[fact]]
