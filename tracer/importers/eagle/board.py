"""Eagle boards: elements with the pads of their packages, signals with contact references.

Places of pads and the edge: see `tracer.importers.eagle.board_places`.
"""

from __future__ import annotations

from tracer.base.findings import Finding, note
from tracer.importers.eagle.board_places import board_outline, element_spot
from tracer.importers.eagle.library import Libraries
from tracer.importers.eagle.parts import attributes, current_variant, place_of, populated
from tracer.importers.text import Positions
from tracer.importers.xml_tree import Element
from tracer.netlist.board import Netlist, Origin, Part, Pin, PinRef, make_netlist
from tracer.netlist.net_names import name_of_alone

__all__ = ["read_board"]


def read_board(board: Element, positions: Positions, name: str) -> Netlist:
    """The netlist of a ``<board>``. A pad on no signal is joined to nothing: a net of its own."""
    libraries = Libraries(board)
    variant = current_variant(board)
    parts: list[Part] = []
    pads: dict[PinRef, Origin] = {}
    missing: list[str] = []
    for element in board.all("elements", "element"):
        reference = element.get("name")
        origin = Origin(positions.file, *positions.line_column(element.at))
        found = libraries.pads(element)
        if found is None:
            missing.append(reference)
        numbers = [pad.get("name") for pad in found or ()]
        facts = attributes(element)
        parts.append(
            Part(
                reference,
                element.get("value"),
                library=element.get("library"),
                footprint=element.get("package"),
                place=place_of(facts),
                pins=tuple(Pin(number) for number in dict.fromkeys(numbers)),
                fitted=populated(element, variant),
                origin=origin,
                spot=element_spot(element, found or ()),
            )
        )
        pads.update(dict.fromkeys((PinRef(reference, number) for number in numbers), origin))
    nets: list[tuple[str, list[PinRef], Origin | None]] = []
    used: set[PinRef] = set()
    for signal in board.all("signals", "signal"):
        pins = [PinRef(c.get("element"), c.get("pad")) for c in signal.all("contactref")]
        for contact in signal.all("contactref"):
            if not contact.get("element") or not contact.get("pad"):
                raise positions.error(
                    "this contact reference names no element or no pad", contact.at, "save the board again"
                )
        used.update(pins)
        nets.append((signal.get("name"), pins, Origin(positions.file, *positions.line_column(signal.at))))
    taken = {net_name for net_name, _, _ in nets}
    for pin, origin in pads.items():
        if pin not in used:
            alone = name_of_alone(pin)
            while alone in taken:
                alone += "_"
            nets.append((alone, [pin], origin))
    findings: list[Finding] = []
    undeclared = sorted(str(pin) for pin in used - pads.keys() if pin.part not in missing)
    if undeclared:
        text = f"{len(undeclared)} pad(s) stand in signals but not in their packages: {', '.join(undeclared[:8])}"
        findings.append(note("undeclared-pin", text, *undeclared[:8]))
    if missing:
        text = f"the packages of {', '.join(missing[:8])} are not in the file; only pads on signals are known"
        findings.append(note("undeclared-pin", text, *missing[:8]))
    return make_netlist(name, parts, nets, findings=findings, outline=board_outline(board))
