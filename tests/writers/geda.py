"""Lists of gEDA and Lepton: geda, tEDAx, gEDA PCB."""

from __future__ import annotations

import re

from tracer.netlist.board import Netlist

__all__ = ["write", "write_pcb", "write_tedax"]


def write(netlist: Netlist) -> str:
    """The list of the back end ``geda``."""
    lines = ["START header", "", "a list", "", "END header", "", "START components", ""]
    lines += [f"{part.reference} device={part.symbol or 'unknown'}" for part in netlist.parts]
    lines += ["", "END components", "", 'No "no-connect" nets found', "", "START renamed-nets", ""]
    lines += ["a -> b", "", "END renamed-nets", "", "START nets", ""]
    lines += [f"{net.name} : {', '.join(f'{p.part} {p.pin}' for p in net.pins)}" for net in netlist.nets]
    return "\n".join([*lines, "", "END nets", ""])


def write_tedax(netlist: Netlist) -> str:
    """TEDAx, version 1."""
    lines = ["tEDAx v1", "# a comment", "begin netlist v1 board", ""]
    for part in netlist.parts:
        for key, fact in (("footprint", part.footprint), ("device", part.symbol), ("value", part.marking)):
            lines.append(f"\t{key} {part.reference} {_escaped(fact)}")
        lines += [f"\tpinname {part.reference} {p.number} {_escaped(p.name)}" for p in part.pins if p.name]
    for net in netlist.nets:
        lines += [f"\tnettag {_escaped(net.name)} kind signal"]
        lines += [f"\tconn {_escaped(net.name)} {p.part} {p.pin}" for p in net.pins]
    return "\n".join([*lines, "end netlist", ""])


def _escaped(text: str) -> str:
    return re.sub(r"([\s\\])", r"\\\1", text)


def write_pcb(netlist: Netlist) -> str:
    """The netlist of gEDA PCB: no parts, lines carried on by a backslash."""
    lines = []
    for net in netlist.nets:
        pins = [f"{p.part}-{p.pin}" for p in net.pins]
        rows = [" ".join(pins[at : at + 20]) for at in range(0, len(pins), 20)]
        lines.append(f"{net.name}\t" + " \\\n ".join(rows))
    return "\n".join([*lines, ""])
