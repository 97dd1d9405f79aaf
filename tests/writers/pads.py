"""PADS ASCII, as a part list, a net list, or both."""

from __future__ import annotations

from tracer.netlist.board import Netlist

__all__ = ["write"]


def write(
    netlist: Netlist, *, parts: bool = True, nets: bool = True, markings: bool = True, eol: str = "\n"
) -> str:
    """The text; with `markings` a part line holds VALUE@FOOTPRINT, else the footprint alone."""
    lines = ["*PADS-PCB*"]
    if parts:
        lines.append("*PART*")
        for part in netlist.parts:
            word = f"{part.marking}@{part.footprint}" if markings else part.footprint
            lines.append(f"{part.reference} {word}")
    if nets:
        lines += ["", "*NET*"]
        for net in netlist.nets:
            lines.append(f"*SIGNAL* {net.name}")
            for at in range(0, len(net.pins), 7):
                lines.append(" " + " ".join(map(str, net.pins[at : at + 7])))
    return eol.join([*lines, "*END*", ""])
