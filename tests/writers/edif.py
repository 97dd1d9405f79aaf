"""EDIF 2 0 0: flat as board programs write it, or with sheets, or with legs told by designators."""

from __future__ import annotations

import re
from collections.abc import Iterable

from tracer.netlist.board import Net, Netlist, Part, PinRef

__all__ = ["sheet_of", "write"]

_DIRECTIONS = {"input": "INPUT", "output": "OUTPUT", "bidirectional": "INOUT"}


def write(netlist: Netlist, *, sheets: bool = False, designators: bool = False, shouted: bool = False) -> str:
    """The text.

    With `sheets` each part lies in one of two cells (`sheet_of` tells which); with `designators` the ports carry the
    pins' names and the legs stand in designators; `shouted` keywords are in upper case.
    """
    parts = list(netlist.parts)
    cells = [_part_cell(i, part, netlist, designators) for i, part in enumerate(parts)]
    lines = [
        "(edif BOARD (edifVersion 2 0 0) (edifLevel 0) (keywordMap (keywordLevel 0))",
        '  (status (written (timeStamp 2020 1 2 3 4 5) (program "a test")))',
        *["  (library PARTS (edifLevel 0) (technology (numberDefinition))", *cells, "  )"],
        "  (library SHEETS (edifLevel 0) (technology (numberDefinition))",
    ]
    if sheets:
        for sheet in "AB":
            inside = [p for p in parts if sheet_of(p.reference) == sheet]
            lines += _cell(
                f"SHEET{sheet}",
                _instances(inside, parts),
                _nets(netlist, inside, parts, designators, own=True),
            )
        uses = [f"(instance {s} (viewRef v (cellRef SHEET{s} (libraryRef SHEETS))))" for s in "AB"]
        lines += _cell("TOP", uses, _top_nets(netlist))
    else:
        lines += _cell("TOP", _instances(parts, parts), _nets(netlist, parts, parts, designators))
    lines += ["  )", "  (design BOARD (cellRef TOP (libraryRef SHEETS)))", ")"]
    text = "\n".join(lines) + "\n"
    # Strings keep their case.
    return (
        re.sub(r'"[^"]*"|\(\w+', lambda m: m[0] if m[0][0] == '"' else m[0].upper(), text)
        if shouted
        else text
    )


def sheet_of(reference: str) -> str:
    """The sheet that a part lies in."""
    return "AB"[sum(map(ord, reference)) % 2]


def _string(text: str) -> str:
    return '"' + re.sub(r'["%]', lambda m: f"%{ord(m[0])}%", text) + '"'


def _part_cell(index: int, part: Part, netlist: Netlist, designators: bool) -> str:
    known = {pin.number: pin for pin in part.pins}
    ports = []
    for place, number in enumerate(netlist.pins_of_parts[part.reference]):
        pin = known.get(number)
        direction = _DIRECTIONS.get(pin.kind) if pin else None
        said = f" (direction {direction})" if direction else ""
        if designators:
            said += f" (designator {_string(number)})"
            ports.append(f"(port (rename p{place} {_string(pin.name if pin else '')}){said})")
        else:
            ports.append(f"(port (rename &{place} {_string(number)}){said})")
    name = f"(rename c{index} {_string(part.symbol or 'PART')})"
    view = f"(view v (viewType NETLIST) (interface {' '.join(ports)}))"
    return f"    (cell {name} (cellType GENERIC) {view})"


def _instances(inside: Iterable[Part], parts: list[Part]) -> list[str]:
    lines = []
    for part in inside:
        index = parts.index(part)
        facts = [("Value", part.marking), ("Footprint", part.footprint), ("Place", part.place)]
        said = "".join(f" (property {name} (string {_string(value)}))" for name, value in facts if value)
        cell = f"(viewRef v (cellRef c{index} (libraryRef PARTS)))"
        lines.append(f"(instance (rename i{index} {_string(part.reference)}) {cell}{said})")
    return lines


def _port(pin: PinRef, netlist: Netlist, parts: list[Part], designators: bool) -> str:
    index = next(i for i, part in enumerate(parts) if part.reference == pin.part)
    place = netlist.pins_of_parts[pin.part].index(pin.pin)
    return f"(portRef {'p' if designators else '&'}{place} (instanceRef i{index}))"


def _nets(
    netlist: Netlist, inside: list[Part], parts: list[Part], designators: bool, *, own: bool = False
) -> tuple[list[str], list[str]]:
    """Ports and nets of a cell; `own` ports lead out, one for each net, in members of one array."""
    here = {part.reference for part in inside}
    lines = []
    for i, net in enumerate(netlist.nets):
        ends = [_port(pin, netlist, parts, designators) for pin in net.pins if pin.part in here]
        ends += [f"(portRef (member OUT {i}))"] if own else []
        lines.append(f"(net (rename n{i} {_string(net.name)}) (joined {' '.join(ends)}))")
    return ([f"(port (array OUT {len(netlist.nets)}) (direction INOUT))"] if own else []), lines


def _top_nets(netlist: Netlist) -> tuple[list[str], list[str]]:
    def joined(i: int, net: Net) -> str:
        ends = " ".join(f"(portRef (member OUT {i}) (instanceRef {sheet}))" for sheet in "AB")
        return f"(net (rename t{i} {_string(net.name)}) (joined {ends}))"

    return [], [joined(i, net) for i, net in enumerate(netlist.nets)]


def _cell(name: str, instances: list[str], inside: tuple[list[str], list[str]]) -> list[str]:
    ports, nets = inside
    return [
        f"    (cell {name} (cellType GENERIC) (view v (viewType NETLIST) (interface {' '.join(ports)})",
        "      (contents",
        *(f"        {line}" for line in [*instances, *nets]),
        "      )))",
    ]
