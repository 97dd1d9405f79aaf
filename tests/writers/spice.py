"""SPICE decks as board programs write them: resistors, capacitors and inductors as such, all other parts as subcircuits."""

from __future__ import annotations

from tracer.netlist.board import Netlist, Part, PinRef

__all__ = ["is_plain", "pins", "write"]

_WIDTH = 60


def is_plain(part: Part, netlist: Netlist) -> bool:
    """Whether a part is written under its own letter."""
    numbers = netlist.pins_of_parts[part.reference]
    return part.reference[0] in "RCL" and list(numbers) == ["1", "2"] and part.reference[1:].isdecimal()


def pins(netlist: Netlist) -> dict[str, list[str]]:
    """The table that tells the legs of the subcircuits."""
    return {
        f"K_{part.reference}": [n for n in numbers if (part.reference, n) in nets]
        for part in netlist.parts
        if not is_plain(part, netlist)
        for nets in [netlist.nets_of_pins]
        for numbers in [netlist.pins_of_parts[part.reference]]
    }


def write(netlist: Netlist, *, sheet: bool = False) -> str:
    """The text; with `sheet` all parts lie in a subcircuit that is placed once and whose nodes are all led out.

    Resistors of which the netlist tells one pin only get a node of their own at the other.
    """
    nets = netlist.nets_of_pins
    lines = []
    for part in netlist.parts:
        numbers = netlist.pins_of_parts[part.reference]
        if is_plain(part, netlist):
            nodes = [nets.get(PinRef(part.reference, n), (f"free_{part.reference}_{n}",))[0] for n in numbers]
            lines.append(" ".join([part.reference, *nodes, part.marking or "1k"]))
            continue
        found = [nets[pin][0] for n in numbers if (pin := PinRef(part.reference, n)) in nets]
        text = " ".join([f"X{part.reference}", *found, f"K_{part.reference}", "m=1"])
        # Carried on as programs do.
        words, row = text.split(" "), ""
        for word in words:
            if row and len(row) + len(word) > _WIDTH:
                lines.append(row)
                row = "+"
            row += (" " if row else "") + word
        lines.append(row)
    names = list(dict.fromkeys(net.name for net in netlist.nets if net.pins))
    if sheet:
        ports = "".join(f"\n+ p{i}" for i in range(len(names)))
        inside = _renamed(lines, {name: f"p{i}" for i, name in enumerate(names)})
        outside = "".join(f"\n+ {name}" for name in names)
        lines = [f".subckt SHEET{ports}", *inside, ".ends SHEET", f"XS1{outside} SHEET"]
    return "\n".join([".title a test's deck", "* all parts", *lines, ".end", ""])


def _renamed(lines: list[str], names: dict[str, str]) -> list[str]:
    """Nodes stand behind the first word of a card, and before the last one or two."""
    out = []
    for line in lines:
        words = line.split(" ")
        out.append(" ".join([words[0], *(names.get(word, word) for word in words[1:])]))
    return out
