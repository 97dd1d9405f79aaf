"""First inputs: small boards through the writers of `tests/writers/`, malformed files, and boards with odd names."""

from __future__ import annotations

import random
import tempfile
from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path

from tests.boards import board
from tests.unit.importers.kicad.sheets import Sheet, labelled
from tests.writers import (
    eagle,
    edif,
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
    verilog,
)
from tracer.export.netlists.netlists import write_netlist
from tracer.netlist.board import Netlist, Part, Pin, PinRef, make_netlist

__all__ = ["GRAMMARS", "WRITERS", "boards", "legacy_folder", "malformed", "odd_board", "sheets_folder"]

_CASES = Path(__file__).parents[1] / "cases"

#: Format -> writers of it.
WRITERS: Mapping[str, tuple[Callable[[Netlist], str], ...]] = {
    "kicad-netlist": (lambda n: write_netlist("kicad-netlist", n)[0],),
    "kicad-xml": (kicad_xml.write,),
    "kicad-board": (kicad_board.write, lambda n: kicad_board.write(n, 5)),
    "edif": (edif.write, lambda n: edif.write(n, sheets=True)),
    "eagle-schematic": (eagle.write_schematic, lambda n: eagle.write_schematic(n, module=True)),
    "eagle-board": (eagle.write_board,),
    "orcad-pcb2": (orcad.write, lambda n: orcad.write(n, legacy=True)),
    "tedax": (geda.write_tedax,),
    "protel2": (tango.write_second,),
    "pads": (pads.write, lambda n: pads.write(n, markings=False), lambda n: write_netlist("pads", n)[0]),
    "telesis": (telesis.write,),
    "rinf": (rinf.write, lambda n: rinf.write(n, facts=True), lambda n: rinf.write(n, quoted=False)),
    "ipc-d-356": (ipc356.write, lambda n: ipc356.write(n, alias="comment"), lambda n: ipc356.write(n, continued=True)),
    "geda": (geda.write,),
    "verilog": (verilog.write, lambda n: verilog.write(n, sheets=True), lambda n: verilog.write(n, vectors=True)),
    "tango": (tango.write, lambda n: tango.write(n, separator=",")),
    "geda-pcb": (geda.write_pcb,),
    "bench-notes": (lambda n: write_netlist("bench-notes", n)[0],),
    "spice": (spice.write, lambda n: spice.write(n, sheet=True)),
    "table": (lambda n: write_netlist("table", n)[0], lambda n: write_netlist("table", n)[0].replace(",", ";")),
}  # fmt: skip

#: Format -> its grammar.
GRAMMARS = {
    "tedax": "tedax", "protel2": "tango", "pads": "pads", "telesis": "telesis", "rinf": "rinf", "geda": "geda",
    "verilog": "verilog", "tango": "tango", "geda-pcb": "geda_pcb", "orcad-pcb2": "orcad", "bench-notes": "bench_notes",
    "kicad-legacy": "kicad_legacy", "kicad-legacy library": "kicad_legacy_library",
}  # fmt: skip

_IDIOMS = ("amp", "cpld", "dram", "pack", "mux", "and_blank", "counter_pattern", "ls153", "ladder", "trimmer")


@cache
def boards() -> tuple[Netlist, ...]:
    """Small boards whose colours can be traced."""
    found = []
    for name in _IDIOMS:
        text = (_CASES / "idioms" / f"{name}.txt").read_text(encoding="utf-8").split("\n----\n")[0]
        found.append(board(text.partition("\n")[2], name))
    return tuple(found)


def malformed(format_name: str) -> list[bytes]:
    """The malformed files of `tests/cases/errors/`."""
    folder = _CASES / "errors" / format_name
    files = sorted(p for p in folder.glob("*") if p.is_file() and p.suffix != ".expected")
    return [p.read_bytes() for p in files if p.stat().st_size < 20_000]


_PIECES = (
    *"AaBbВ13_/+-.#~{}()!;,:?$[]*'@&=|<>%^\"\\", "RED", "red", "~{RD}", "Net-(U1-Pad", "+3,3В", " ", "  ", "Ω", "END",
    "U1", "R1.2", "R1-2", "D[0..7]", "[7:0]", "\x1b[2J", "\u202e", "=1+1", "<b>", "&amp;", "x" * 300, "N/C", "unconnected-",
)  # fmt: skip


def odd_board(rng: random.Random) -> Netlist:
    """A small board with the names that readers trip over, made as real boards are: a latch, resistors, a connector."""

    def name() -> str:
        return "".join(rng.choice(_PIECES) for _ in range(rng.choice((1, 1, 2, 4, 9)))).strip() or "x"

    plain = rng.random() < 0.5
    references = [
        rng.choice(("U", "R", "J", "RN", "Q", "C", "IC")) + str(rng.randrange(1, 40)) if plain or rng.random() < 0.7 else name()
        for _ in range(rng.randrange(1, 7))
    ]  # fmt: skip
    references = list(dict.fromkeys(references))
    parts, pins = [], []
    for reference in references:
        numbers = [str(i) for i in range(1, rng.choice((3, 3, 5, 9)))]
        if not plain and rng.random() < 0.2:
            numbers.append(name())
        drawn = [
            Pin(number, name() if rng.random() < 0.3 else "", rng.choice(("", "input", "output", "passive")))
            for number in dict.fromkeys(numbers)
        ]
        marking = rng.choice(("74LS273", "470", "4k7", "82S123", "", "x")) if plain else name()
        parts.append(
            Part(
                reference, marking, place=rng.choice(("", "7E")), pins=tuple(drawn), fitted=rng.random() < 0.9
            )
        )
        pins += [PinRef(reference, pin.number) for pin in drawn]
    labels = list(dict.fromkeys(name() for _ in range(rng.randrange(1, 8))))
    nets: dict[str, list[PinRef]] = {}
    for pin in pins:
        if rng.random() < 0.9:
            nets.setdefault(rng.choice(labels), []).append(pin)
    return make_netlist("odd", parts, [(label, members, None) for label, members in nets.items()])


@cache
def legacy_folder() -> Mapping[str, bytes]:
    """A schematic of KiCad 5 with a sheet and a library: file name -> bytes."""
    root, kid = kicad_legacy.Drawing(), kicad_legacy.Drawing()
    root.sheet("kid", kid, {"RED": (6000, 1000), "D[0..1]": (6000, 1200)})
    kicad_legacy.labelled(root, "RED", (5800, 1000), "U9")
    kicad_legacy.labelled(kid, "RED", (1000, 1000), "U8", "H")
    kid.bus((1000, 3000), (2000, 3000))
    kid.entry((1500, 3100), (1600, 3000))
    kid.label("D[0..1]", (1000, 3000), "H")
    for sheet in (root, kid):
        sheet.part("DUAL", "U1", (3000, 3000), fields={"Place": "7E"})
        sheet.supply("VCC", (3000, 2700))
        sheet.no_connect((3000, 3000))
        sheet.junction((3000, 2700))
    return _files(lambda folder: root.save(folder))


@cache
def sheets_folder() -> Mapping[str, bytes]:
    """A KiCad schematic with one sheet placed twice, and buses."""
    root, kid = Sheet("board"), Sheet("kid")
    root.sheet("kid", kid, {"RED": (50.8, 45.72), "D[0..1]": (50.8, 48.26)})
    root.sheet("twin", kid, {"RED": (101.6, 45.72)}, (101.6, 40.64))
    labelled(root, "RED", "U9", 45.72)
    root.wire((20.32, 45.72), (50.8, 45.72))
    root.part("DUAL", "U1", (76.2, 76.2))
    root.part("SUPPLY", "#PWR1", (76.2, 86.36))
    root.part("STYLES", "U3", (25.4, 76.2), angle=90, mirror="x")
    root.alias("MEM", "A", "B[0..1]")
    kid.port("RED", (12.7, 12.7))
    kid.pin(["U5", "U6"], (12.7, 12.7))
    kid.bus((12.7, 25.4), (25.4, 25.4))
    kid.entry((20.32, 25.4), (2.54, 2.54))
    kid.port("D[0..1]", (12.7, 25.4))
    kid.label("D0", (22.86, 27.94))
    kid.globe("MEM{A B}", (25.4, 25.4))
    kid.junction((12.7, 12.7))
    kid.no_connect((50.8, 50.8))
    return _files(lambda folder: root.write(folder))


def _files(save: Callable[[Path], object]) -> Mapping[str, bytes]:
    with tempfile.TemporaryDirectory() as name:
        save(Path(name))
        return {p.name: p.read_bytes() for p in sorted(Path(name).iterdir())}
