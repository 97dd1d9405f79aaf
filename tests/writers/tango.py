"""Tango, Protel and Protel 2."""

from __future__ import annotations

from tracer.netlist.board import Netlist

__all__ = ["write", "write_second"]


def write(netlist: Netlist, *, separator: str = "-") -> str:
    """Tango and Protel: reference, footprint, type and value; a pin a line."""
    blocks = []
    for part in netlist.parts:
        type_and_value = [part.symbol, part.marking] if part.symbol else [part.marking, ""]
        blocks.append("\n".join(["[", part.reference, part.footprint, *type_and_value, "", "]"]))
    for net in netlist.nets:
        blocks.append("\n".join(["(", net.name, *(f"{p.part}{separator}{p.pin}" for p in net.pins), ")"]))
    return "\n".join(blocks) + "\n"


_KINDS = {
    "input": "INPUT",
    "output": "OUTPUT",
    "bidirectional": "IO",
    "tri_state": "HIZ",
    "passive": "PASSIVE",
    "power_in": "POWER",
    "open_collector": "OPENCOLLECTOR",
}


def write_second(netlist: Netlist) -> str:
    """Protel 2: labelled lines, and pins with their names and kinds. Lines end with CR LF, as Lepton's do."""
    lines = ["PROTEL NETLIST 2.0"]
    described = {(part.reference, pin.number): pin for part in netlist.parts for pin in part.pins}
    for part in netlist.parts:
        lines += ["[", "DESIGNATOR", part.reference, "FOOTPRINT", part.footprint or "*"]
        lines += [
            "PARTTYPE",
            part.marking or "*",
            "DESCRIPTION",
            "*",
            "Part Field 1",
            "*",
            "LIBRARYFIELD1",
            "",
            "]",
        ]
    for net in netlist.nets:
        lines += ["(", net.name]
        for pin in net.pins:
            drawn = described.get((pin.part, pin.pin))
            part_type = netlist.by_reference[pin.part].symbol or "PART"
            name = drawn.name if drawn and drawn.name else pin.pin
            kind = _KINDS.get(drawn.kind if drawn else "", "PASSIVE")
            lines.append(f"{pin.part}-{pin.pin} {part_type}-{name} {kind}")
        lines.append(")")
    return "\r\n".join([*lines, ""])
