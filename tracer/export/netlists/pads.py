"""A netlist as PADS ASCII: part list and net list in one file, as `grammars/pads.lark` describes them.

A part with a marking is written ``VALUE@FOOTPRINT``. Blanks in words become ``_``, and so do dots in the numbers
of pins, as the last dot of ``U9.2`` stands before the pin. Nets of one pin are written too.
"""

from __future__ import annotations

from tracer.export.netlists.netlists import losses
from tracer.export.netlists.plain_words import changed, distinct, net_names, references, without_blanks
from tracer.netlist.board import Netlist, Part

__all__ = ["lost", "write"]

#: Pins in a line.
_IN_A_LINE = 8


def lost(netlist: Netlist) -> list[str]:
    """What the form cannot hold."""
    return [
        *losses(
            netlist, "symbols", "libraries", "places", "not-fitted marks", "pin names", "pin directions",
            "pins on no net", "colour pins", "monitor's load", "pairs without a beep", "lines of evidence",
        ),
        *changed(references(netlist), "references"),
        *changed(net_names(netlist), "names of nets"),
        *changed(_numbers(netlist), "numbers of pins"),
        *changed({w: without_blanks(w) for p in netlist.parts for w in (p.marking, p.footprint)},
                 "markings and footprints"),
    ]  # fmt: skip


def write(netlist: Netlist) -> str:
    """The netlist as text."""
    written, numbers, names = references(netlist), _numbers(netlist), net_names(netlist)
    lines = ["*PADS-PCB*", "*PART*"]
    lines += [_part(written[part.reference], part) for part in netlist.parts]
    lines += ["", "*NET*"]
    for net in netlist.nets:
        lines.append(f"*SIGNAL* {names[net.name]}")
        pins = [f"{written[pin.part]}.{numbers[pin.pin]}" for pin in net.pins]
        lines += [" ".join(pins[at : at + _IN_A_LINE]) for at in range(0, len(pins), _IN_A_LINE)]
    return "\n".join([*lines, "*END*", ""])


def _part(reference: str, part: Part) -> str:
    marking, footprint = without_blanks(part.marking), without_blanks(part.footprint).replace("@", "_")
    # A tab, as only KiCad's lists put a marking in the place of a missing footprint, and those have blanks.
    if marking:
        return f"{reference}\t{marking}@{footprint}"
    return f"{reference}\t{footprint}" if footprint else reference


def _numbers(netlist: Netlist) -> dict[str, str]:
    numbers = (pin.pin for net in netlist.nets for pin in net.pins)
    return distinct(numbers, lambda number: without_blanks(number).replace(".", "_"))
