"""RINF as KiCad writes it, as its style sheet does, and as Altium does."""

from __future__ import annotations

from tracer.netlist.board import Netlist

__all__ = ["write"]


def write(netlist: Netlist, *, quoted: bool = True, facts: bool = False) -> str:
    """The text.

    Parameters
    ----------
    netlist : Netlist
    quoted : bool
        Texts in quotes and a pin in two words (KiCad), else bare and a pin in one (the style sheet).
    facts : bool
        The symbol in ``.ADD_COM`` and the marking as a fact called Comment (Altium).
    """
    lines = [".HEA", ".TIM today", '.APP "a writer of the tests"', ".TYP FULL", ""]
    for part in netlist.parts:
        value = part.symbol if facts else part.marking
        if quoted:
            lines.append(f'.ADD_COM     {part.reference}     "{value}"     "{part.footprint or "$noname"}"')
        else:
            lines.append(
                f".ADD_COM {part.reference} {value or '?'}"
                + (f"  {part.footprint}" if part.footprint else "")
            )
        if facts:
            lines.append(f'.ATT_COM     {part.reference}     "Comment"     "{part.marking}"')
    for net in netlist.nets:
        pins = [f"{p.part}   {p.pin}" if quoted else f"{p.part}.{p.pin}" for p in net.pins]
        lines.append(f".ADD_TER   {pins[0]}     " + (f'"{net.name}"' if quoted else net.name))
        for at, pin in enumerate(pins[1:]):
            lines.append((".TER       " if at == 0 else "            ") + pin)
        lines.append("")
    return "\n".join([*lines, ".END", ""])
