"""A netlist as OrCAD PCB II, as KiCad writes it: two blanks before the reference, ``_`` for a blank in a word.

The form is described in `grammars/orcad.lark`. Pins stand below their parts, so that a part which the part list
lacks gets a line of its own.
"""

from __future__ import annotations

from tracer.export.netlists.netlists import losses
from tracer.export.netlists.plain_words import changed, distinct, net_names, references, without_blanks
from tracer.netlist.board import Netlist, Part, PinRef

__all__ = ["lost", "write"]

_NO_FOOTPRINT = "$noname"


def lost(netlist: Netlist) -> list[str]:
    """What the form cannot hold."""
    empty = sum(not net.pins for net in netlist.nets)
    return [
        *losses(
            netlist, "symbols", "libraries", "places", "not-fitted marks", "pin names", "pin directions",
            "pins on no net", "colour pins", "monitor's load", "pairs without a beep", "lines of evidence",
        ),
        *([f"{empty} nets without a pin"] if empty else []),
        *changed(references(netlist), "references"),
        *changed(net_names(netlist), "names of nets"),
        *changed(_numbers(netlist), "numbers of pins"),
        *changed({w: _word(w) for p in netlist.parts for w in (p.marking, p.footprint)},
                 "markings and footprints"),
    ]  # fmt: skip


def write(netlist: Netlist) -> str:
    """The netlist as text."""
    written, numbers, names = references(netlist), _numbers(netlist), net_names(netlist)
    lines = ["( { OrCAD PCB II netlist, written by rgbroots }"]
    for stamp, reference in enumerate(written, 1):
        part = netlist.by_reference.get(reference, Part(reference))
        footprint = _word(part.footprint) or _NO_FOOTPRINT
        lines.append(f" ( {stamp:08X} {footprint}  {written[reference]} {_word(part.marking)}")
        for pin in netlist.pins_of_parts.get(reference, ()):
            for net in netlist.nets_of_pins.get(PinRef(reference, pin), ()):
                lines.append(f"  ( {numbers[pin]:>4} {names[net]} )")
        lines.append(" )")
    return "\n".join([*lines, ")", "*", ""])


def _word(text: str) -> str:
    """One word; braces round the whole of it would stand for a comment."""
    text = without_blanks(text)
    return f"({text[1:-1]})" if text[:1] == "{" and text[-1:] == "}" else text


def _numbers(netlist: Netlist) -> dict[str, str]:
    numbers = (pin.pin for net in netlist.nets for pin in net.pins)
    return distinct(numbers, lambda number: without_blanks(number).replace("(", "[").replace(")", "]"))
