"""What a writer puts into a legacy KiCad schematic, structural Verilog or a SPICE deck comes back, name by name."""

from __future__ import annotations

import re
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.property.mutations import outcomes
from tests.property.test_line_formats import boards
from tests.writers import kicad_legacy, spice, verilog
from tracer.base.errors import NetlistError
from tracer.importers import detect, parse_netlist, read_netlist
from tracer.netlist.board import Netlist, PinRef, make_netlist, with_markings
from tracer.parts.library import load_library
from tracer.tracing.pipeline import trace
from tracer.tracing.told_pins import parse_told

WREN = read_netlist(Path(__file__).parents[2] / "netlists" / "wren" / "wren.net")


def few(count: int = 6) -> Netlist:
    """A piece of a board, for damage."""
    parts = WREN.parts[:count]
    kept = {part.reference for part in parts}
    nets = [(net.name, [pin for pin in net.pins if pin.part in kept], None) for net in WREN.nets]
    return make_netlist("b", parts, [net for net in nets if net[1]])


def stated(netlist: Netlist) -> dict[str, set[PinRef]]:
    return {net.name: set(net.pins) for net in netlist.nets if net.pins}


# Verilog. A name holds no blank: it would end there.

VERILOG: dict[str, Callable[[Netlist], str]] = {
    "legs": verilog.write,
    "p1": lambda n: verilog.write(n, ports="p{}"),
    "pin_1": lambda n: verilog.write(n, ports="pin_{}"),
    "sheets": lambda n: verilog.write(n, sheets=True),
}


def numbered(board: Netlist, pattern: str) -> Netlist:
    """The same board without the legs that the form cannot carry."""
    nets = [(n.name, [p for p in n.pins if re.fullmatch(pattern, p.pin)], None) for n in board.nets]
    kept = {pin.part for _, pins, _ in nets for pin in pins}
    return make_netlist("b", [p for p in board.parts if p.reference in kept], [n for n in nets if n[1]])


#: A port called P1 is leg 1 where all ports of a kind are called so.
CARRIED = r"(?!P\d).*"


@pytest.mark.parametrize("form", VERILOG)
@given(board=boards(r"\S+"))
def test_verilog(form: str, board: Netlist) -> None:
    board = numbered(board, r"\d+" if form in ("p1", "pin_1") else CARRIED)
    if not board.parts:
        return
    text = VERILOG[form](board)
    read = parse_netlist(text, "f", format_name="verilog")
    expected = stated(board)
    if form == "sheets":
        expected = {
            name: {PinRef(f"{verilog.sheet_of(p.part)}/{p.part}", p.pin) for p in pins}
            for name, pins in expected.items()
        }
    found = stated(read)
    assert found == expected
    assert detect(text, "f").name == "verilog"


@given(board=boards(r"\S+"))
def test_verilog_bus(board: Netlist) -> None:
    board = numbered(board, CARRIED)
    if not board.parts:
        return
    read = parse_netlist(verilog.write(board, vectors=True), "f", format_name="verilog")
    assert {net.pins for net in read.nets if net.pins} == {net.pins for net in board.nets if net.pins}


# SPICE. Names hold no blank, differ in more than case, and are no comment, value or supply.

SPICE_NAME = r"(?!0$|[-+.]?\d|\+|[Gg][Nn][Dd]$)[^\s;{}\"'=$<>()]+"


@pytest.mark.parametrize("sheet", [False, True])
@given(board=boards(SPICE_NAME))
def test_spice(sheet: bool, board: Netlist) -> None:
    folded: dict[str, str] = {}
    for net in board.nets:
        folded.setdefault(net.name.lower(), net.name)
    board = make_netlist(
        "b", board.parts, [n for n in ((n.name, n.pins, None) for n in board.nets) if n[0] in folded.values()]
    )
    if len({p.reference.lower() for p in board.parts}) < len(board.parts):
        return
    text = spice.write(board, sheet=sheet)
    read = parse_netlist(text, "f", format_name="spice", spice_pins=spice.pins(board))
    found = {name: pins for name, pins in stated(read).items() if "free_" not in name}
    path = "S1/" if sheet else ""
    assert found == {
        name: {PinRef(path + p.part, p.pin) for p in pins} for name, pins in stated(board).items()
    }
    assert detect(text, "f").name == "spice"
    without = parse_netlist(text, "f", format_name="spice")
    assert sorted(map(len, stated(without).values())) == sorted(map(len, stated(read).values()))


def test_spice_joins_names_that_differ_in_case_and_says_so() -> None:
    text = "* t\nR1 RED red 1k\n.end\n"
    read = parse_netlist(text, "f")
    assert [net.pins for net in read.nets] == [(PinRef("R1", "1"), PinRef("R1", "2"))]
    assert [f.code for f in read.findings] == ["case-joined"]


# Legacy schematics: a label is a line of text; a tilde, a bus or a supply's name mean more.

LEGACY_NAME = r"(?!.*\[\d+\.+\d+\]).*"


@settings(max_examples=60)
@given(board=boards(LEGACY_NAME))
def test_legacy_schematic(board: Netlist, tmp_path_factory: pytest.TempPathFactory) -> None:
    folder = tmp_path_factory.mktemp("legacy")
    text, symbols = kicad_legacy.write(board)
    (folder / "board.sch").write_text(text, encoding="utf-8")
    (folder / "board-cache.lib").write_text(symbols, encoding="utf-8")
    read = read_netlist(folder / "board.sch")
    assert stated(read) == stated(board)
    assert {p.reference: p.marking for p in read.parts} == {p.reference: p.marking for p in board.parts}
    assert detect(text, "f").name == "kicad-legacy"


def test_a_board_as_a_legacy_schematic(tmp_path: Path) -> None:
    text, symbols = kicad_legacy.write(WREN)
    (tmp_path / "board.sch").write_text(text, encoding="utf-8")
    (tmp_path / "board-cache.lib").write_text(symbols, encoding="utf-8")
    read = read_netlist(tmp_path / "board.sch")
    assert stated(read).items() >= stated(WREN).items()
    named = {
        PinRef(p.reference, q.number): (re.sub(r"\s", "", q.name), q.kind) for p in WREN.parts for q in p.pins
    }
    assert {PinRef(p.reference, q.number): (q.name, q.kind) for p in read.parts for q in p.pins} == named


# What the tracer makes of them.

TOLD = parse_told(["red=J1.1", "green=J1.2", "blue=J1.3"])
MARKINGS = {part.reference: part.marking for part in WREN.parts if part.marking}


def sources(netlist: Netlist) -> list[list[list[str]]]:
    """Colour -> bit -> pins that source it."""
    bit_map = trace(with_markings(netlist, MARKINGS), load_library([]), pins=TOLD)
    return [
        [
            sorted(f"{p.source.part}.{p.source.pin}" for p in bit.paths if p.source.is_memory)
            for bit in colour.bits
        ]
        for colour in bit_map.colours
    ]


def test_a_board_is_traced_alike_in_every_form(tmp_path: Path) -> None:
    text, symbols = kicad_legacy.write(WREN)
    (tmp_path / "board.sch").write_text(text, encoding="utf-8")
    (tmp_path / "board-cache.lib").write_text(symbols, encoding="utf-8")
    expected = sources(WREN)
    assert [len(bits) for bits in expected] == [3, 3, 2]
    assert all(bit for bits in expected for bit in bits)
    assert sources(read_netlist(tmp_path / "board.sch")) == expected
    assert sources(parse_netlist(verilog.write(WREN), "w.v")) == expected
    assert sources(parse_netlist(spice.write(WREN), "w.cir", spice_pins=spice.pins(WREN))) == expected


@pytest.mark.parametrize("latch", ["U9"])
def test_no_colour_is_traced_through_a_part_whose_legs_are_not_told(latch: str) -> None:
    """The latch has its nodes in order, its marking is known, and still no node is taken for a leg."""
    tables = {name: legs for name, legs in spice.pins(WREN).items() if name != f"K_{latch}"}
    read = parse_netlist(spice.write(WREN), "w.cir", spice_pins=tables)
    assert read.by_reference[latch].pins[0].number == "n1"
    assert not [bit for bits in sources(read) for bit in bits if bit]


# Damage.


@pytest.mark.parametrize("form", ["verilog", "spice"])
def test_damaged_files_are_read_or_refused(form: str, tmp_path: Path) -> None:
    text = {"verilog": verilog.write(few(), sheets=True), "spice": spice.write(few(), sheet=True)}[form]
    counts = outcomes(text.encode(), tmp_path / "damaged.txt", form)
    assert counts["read"] > 0
    assert counts["refused"] > 0


@pytest.mark.parametrize("file", ["board.sch", "kid.sch", "board-cache.lib"])
def test_damaged_schematics_are_read_or_refused(file: str, tmp_path: Path) -> None:
    root, kid = kicad_legacy.Drawing(), kicad_legacy.Drawing()
    root.sheet("kid", kid, {"RED": (6000, 1000), "D[0..1]": (6000, 1200)})
    kicad_legacy.labelled(root, "RED", (5800, 1000), "R1")
    kicad_legacy.labelled(kid, "RED", (1000, 1000), "R2", "H")
    kid.bus((1000, 3000), (2000, 3000))
    kid.label("D[0..1]", (1000, 3000), "H")
    for sheet in (root, kid):
        sheet.part("DUAL", "U1", (3000, 3000), fields={"Place": "7E"})
        sheet.supply("VCC", (3000, 2700))
        sheet.no_connect((3000, 3000))
    path = root.save(tmp_path)
    damaged = tmp_path / file
    counts = outcomes(damaged.read_bytes(), damaged, "kicad-legacy", path)
    assert counts["read"] > 0
    assert counts["refused"] > 0


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused(text: str) -> None:
    for form in ("verilog", "spice"):
        with suppress(NetlistError):
            parse_netlist(text, "f", format_name=form)
