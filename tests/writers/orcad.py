"""OrCAD PCB II as KiCad, its style sheet and Altium write it, and KiCad's old netlist."""

from __future__ import annotations

from tracer.netlist.board import Netlist
from tracer.netlist.net_names import says_alone

__all__ = ["write"]


def write(netlist: Netlist, *, legacy: bool = False, two_blanks: bool = True) -> str:
    """The text; blanks in footprint, value and net are kept, as Altium does.

    Parameters
    ----------
    netlist : Netlist
    legacy : bool
        The head of KiCad before version 4 and its list of footprints at the end, and ``{Lib=...}`` behind the value.
    two_blanks : bool
        Two blanks before the reference (KiCad), else one (its style sheet and Altium).
    """
    nets = netlist.nets_of_pins
    lines = (
        ["# EESchema Netlist Version 1.1 created  today", "("]
        if legacy
        else ["( { OrCAD PCB II", "Netlist Format }"]
    )
    blanks = "  " if two_blanks else " "
    pins_of = {part.reference: [p for p in nets if p.part == part.reference] for part in netlist.parts}
    for number, part in enumerate(netlist.parts, 1):
        library = f" {{Lib={part.symbol}}}" if legacy and part.symbol else ""
        footprint = part.footprint or "$noname"
        lines.append(f" ( {number:08X} {footprint}{blanks}{part.reference} {part.marking}{library}")
        for pin in pins_of[part.reference]:
            net = nets[pin][0]
            lines.append(f"  ( {pin.pin:>4} {f'?{number}' if says_alone(net) else net} )")
        lines.append(" )")
    lines += [")", "*"]
    if legacy:
        lines += [
            "{ Allowed footprints by component:",
            "$component R1",
            " R?",
            "$endlist",
            "$endfootprintlist",
            "}",
        ]
    return "\n".join([*lines, ""])
