"""A generated board as text: the forms in which it is compared with other programs, written as real exporters lay them out.

The forms that only our own readers read come from `tests.writers`.
"""

from __future__ import annotations

import re
import uuid
from collections.abc import Callable, Iterator

from tests.writers import (
    eagle,
    geda,
    ipc356,
    kicad_board,
    kicad_legacy,
    kicad_xml,
    orcad,
    pads,
    rinf,
    spice,
    tango,
    telesis,
)
from tracer.export.netlists.netlists import write_netlist
from tracer.netlist.board import Netlist, Part, PinRef

__all__ = ["FORMS", "edif", "kicad_netlist", "stamp", "verilog"]

_SPACE = uuid.UUID("3f0e6f86-6f8e-5a53-9b6d-0d3d1c6e7a55")


def stamp(*words: object) -> str:
    """A time stamp as KiCad writes them, the same for the same words."""
    return str(uuid.uuid5(_SPACE, "/".join(map(str, words))))


def kicad_netlist(netlist: Netlist) -> Iterator[str]:
    """Lines as KiCad 9 writes them, with all clauses that a reader skips."""
    yield '(export (version "E")\n  (design\n    (source "bench.kicad_sch")\n    (date "")\n    (tool "bench"))\n'
    yield "  (components\n"
    for part in netlist.parts:
        yield from _component(part)
    yield "  )\n  (libparts\n"
    for part in _one_of_each(netlist).values():
        yield f'    (libpart (lib "{part.library}") (part "{part.symbol}")\n      (pins\n'
        for pin in part.pins:
            yield f'        (pin (num "{pin.number}") (name "{pin.name or "~"}") (type "{pin.kind}"))\n'
        yield "      ))\n"
    yield "  )\n  (libraries)\n  (nets\n"
    pins = {PinRef(part.reference, pin.number): pin for part in netlist.parts for pin in part.pins}
    for code, net in enumerate(netlist.nets, 1):
        yield f'    (net (code "{code}") (name "{net.name}") (class "Default")\n'
        for ref in net.pins:
            pin = pins[ref]
            function = f' (pinfunction "{pin.name}")' if pin.name else ""
            yield f'      (node (ref "{ref.part}") (pin "{ref.pin}"){function} (pintype "{pin.kind}"))\n'
        yield "    )\n"
    yield "  )\n)\n"


def _component(part: Part) -> Iterator[str]:
    yield f'    (comp (ref "{part.reference}")\n      (value "{part.marking}")\n      (footprint "{part.footprint}")\n'
    yield '      (fields\n        (field (name "Footprint") "any")\n        (field (name "Datasheet"))\n'
    yield '        (field (name "Description")))\n'
    yield f'      (libsource (lib "{part.library}") (part "{part.symbol}") (description ""))\n'
    yield '      (property (name "Sheetname") (value "sheet"))\n'
    yield '      (property (name "Sheetfile") (value "bench.kicad_sch"))\n'
    yield f'      (sheetpath (names "/") (tstamps "/"))\n      (tstamps "{stamp(part.reference)}"))\n'


def _one_of_each(netlist: Netlist) -> dict[str, Part]:
    found: dict[str, Part] = {}
    for part in netlist.parts:
        found.setdefault(part.symbol, part)
    return found


def _word(text: str) -> str:
    """A name that is one in EDIF and Verilog without quotes or escapes."""
    return "n" + re.sub(r"\W", "_", text)


def edif(netlist: Netlist) -> str:
    """EDIF 2 0 0, flat, a cell a symbol, as synthesis programs write it."""
    lines = [
        "(edif bench",
        "  (edifVersion 2 0 0)",
        "  (edifLevel 0)",
        "  (keywordMap (keywordLevel 0))",
        "  (library PARTS",
        "    (edifLevel 0)",
        "    (technology (numberDefinition))",
    ]
    for symbol, part in _one_of_each(netlist).items():
        lines += [
            f"    (cell {_word(symbol)}",
            "      (cellType GENERIC)",
            "      (view netlist",
            "        (viewType NETLIST)",
        ]
        lines.append("        (interface")
        lines += [f"          (port P{pin.number} (direction INOUT))" for pin in part.pins]
        lines.append("        )))")
    lines += [
        "  )",
        "  (library DESIGN",
        "    (edifLevel 0)",
        "    (technology (numberDefinition))",
        "    (cell bench",
        "      (cellType GENERIC)",
        "      (view netlist",
        "        (viewType NETLIST)",
        "        (interface)",
        "        (contents",
    ]
    for part in netlist.parts:
        lines.append(f"          (instance {part.reference}")
        lines.append(f"            (viewRef netlist (cellRef {_word(part.symbol)} (libraryRef PARTS)))")
        lines.append(f'            (property Value (string "{part.marking}")))')
    for net in netlist.nets:
        lines.append(f'          (net (rename {_word(net.name)} "{net.name}")')
        lines.append("            (joined")
        lines += [f"              (portRef P{ref.pin} (instanceRef {ref.part}))" for ref in net.pins]
        lines.append("            ))")
    lines += ["        ))))", "  (design bench (cellRef bench (libraryRef DESIGN)))", ")"]
    return "\n".join(lines) + "\n"


def verilog(netlist: Netlist) -> str:
    """Structural Verilog, flat, a module a symbol, as synthesis programs write it."""
    lines = ["module bench ();"]
    lines += [f"  wire {_word(net.name)};" for net in netlist.nets]
    for part in netlist.parts:
        joined = [
            f"    .P{number}({_word(nets[0])})"
            for number in netlist.pins_of_parts[part.reference]
            if (nets := netlist.nets_of_pins.get(PinRef(part.reference, number)))
        ]
        lines.append(f"  {_word(part.symbol)} {part.reference} (")
        lines.append(",\n".join(joined))
        lines.append("  );")
    return "\n".join([*lines, "endmodule", ""])


#: Format -> writers of (file name, text); the first file is the one that is read.
FORMS: dict[str, Callable[[Netlist], list[tuple[str, str]]]] = {
    "kicad-netlist": lambda n: [("b.net", "".join(kicad_netlist(n)))],
    "kicad-xml": lambda n: [("b.xml", kicad_xml.write(n))],
    "kicad-board": lambda n: [("b.kicad_pcb", kicad_board.write(n))],
    "kicad-legacy": lambda n: list(zip(("b.sch", "b-cache.lib"), kicad_legacy.write(n), strict=True)),
    "edif": lambda n: [("b.edf", edif(n))],
    "verilog": lambda n: [("b.v", verilog(n))],
    "eagle-schematic": lambda n: [("b.sch", eagle.write_schematic(n))],
    "eagle-board": lambda n: [("b.brd", eagle.write_board(n))],
    "orcad-pcb2": lambda n: [("b.net", orcad.write(n))],
    "tedax": lambda n: [("b.tdx", geda.write_tedax(n))],
    "protel2": lambda n: [("b.net", tango.write_second(n))],
    "tango": lambda n: [("b.net", tango.write(n))],
    "pads": lambda n: [("b.asc", pads.write(n))],
    "telesis": lambda n: [("b.tel", telesis.write(n))],
    "rinf": lambda n: [("b.frp", rinf.write(n))],
    "ipc-d-356": lambda n: [("b.ipc", ipc356.write(n))],
    "geda": lambda n: [("b.list", geda.write(n))],
    "geda-pcb": lambda n: [("b.pcbnet", geda.write_pcb(n))],
    "spice": lambda n: [("b.cir", spice.write(n))],
    "table": lambda n: [("b.csv", write_netlist("table", n)[0])],
    "bench-notes": lambda n: [("b.notes", write_netlist("bench-notes", n)[0])],
}
