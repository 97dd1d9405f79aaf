"""Structural Verilog: one module, every port called after its leg; or with two sheets."""

from __future__ import annotations

import re

from tracer.netlist.board import Netlist, Part, PinRef

__all__ = ["sheet_of", "write"]


def write(netlist: Netlist, *, ports: str = "\\{} ", sheets: bool = False, vectors: bool = False) -> str:
    """The text. `ports` makes a port's name of a leg; with `sheets` each part lies in one of two modules.

    With `vectors` the nets are the bits of one bus, so that their names are lost.
    """
    wires = {net.name: _escaped(net.name) for net in netlist.nets}
    if vectors:
        wires = {net.name: f"n[{index}]" for index, net in enumerate(netlist.nets)}
    lines = ["/* a test's netlist */", "`timescale 1ns / 1ps"]
    if sheets:
        names = list(wires)
        used = [s for s in "AB" if any(sheet_of(part.reference) == s for part in netlist.parts)]
        for sheet in used:
            inside = [part for part in netlist.parts if sheet_of(part.reference) == sheet]
            listed = ", ".join(f"p{i}" for i in range(len(names)))
            local = {name: f"p{i} " for i, name in enumerate(names)}
            lines += [f"module SHEET{sheet} ({listed});", f"  inout {listed};"]
            lines += [_instance(part, netlist, local, ports) for part in inside]
            lines.append("endmodule")
        lines.append("module \\top ;")
        lines += [f"  wire {wire};" for wire in wires.values()]
        for sheet in used:
            joined = ", ".join(f".p{i}({wires[name]})" for i, name in enumerate(names))
            lines.append(f"  SHEET{sheet} {sheet} ({joined});")
    else:
        lines.append("module top;")
        if vectors:
            lines.append(f"  wire [{max(0, len(wires) - 1)}:0] n; // the nets")
        else:
            lines += [f"  wire {wire};" for wire in wires.values()]
        lines += [_instance(part, netlist, wires, ports) for part in netlist.parts]
    return "\n".join([*lines, "endmodule", ""])


def sheet_of(reference: str) -> str:
    """The sheet that a part lies in."""
    return "AB"[sum(map(ord, reference)) % 2]


def _escaped(name: str) -> str:
    return f"\\{name} "


def _instance(part: Part, netlist: Netlist, wires: dict[str, str], ports: str) -> str:
    nets = netlist.nets_of_pins
    listed = []
    for number in netlist.pins_of_parts[part.reference]:
        found = nets.get(PinRef(part.reference, number))
        if found:
            listed.append(f"    .{ports.format(number)}( {wires[found[0]]})")
    kind = re.sub(r"\s+", "_", part.symbol or part.marking or "PART")
    # A kind of its own for each part: legs are told by all ports of one kind.
    return f"  \\{kind}:{part.reference} {_escaped(part.reference)} (\n" + ",\n".join(listed) + "\n  );"
