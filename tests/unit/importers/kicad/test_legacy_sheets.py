"""Legacy KiCad schematics of several sheets, and the libraries that their symbols come from.

What KiCad 5.1.9 made of each drawing is what the tests expect (see ``test_kicad_legacy.py``), unless a test says
otherwise; where libraries are looked for was tried with it too.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.writers.kicad_legacy import LIBRARY, Drawing, labelled, library, nets
from tracer.base.errors import NetlistError
from tracer.importers import read_netlist
from tracer.importers.kicad.legacy_library import load_library

two_cases = pytest.mark.skipif(
    Path(__file__.swapcase()).exists(), reason="upper and lower case are one on this file system"
)


def with_kid(pins: dict[str, tuple[int, int]]) -> tuple[Drawing, Drawing]:
    """A root with one sheet; from each of its pins a wire leads to a part called Q1, Q2 .."""
    root, kid = Drawing(), Drawing()
    root.sheet("kid", kid, pins)
    for number, (name, (x, y)) in enumerate(pins.items(), 1):
        if "[" not in name:
            root.wire((x - 500, y), (x, y))
            root.pin(f"Q{number}", (x - 500, y))
    return root, kid


def test_a_sheet_pin_joins_the_hierarchical_label_of_its_name(tmp_path: Path) -> None:
    root, kid = with_kid({"RED": (6000, 1000), "BLUE": (6000, 1200)})
    labelled(kid, "RED", (1000, 1000), "A1", "H")
    labelled(kid, "RED", (1000, 1200), "A2")
    labelled(kid, "BLUE", (1000, 1400), "A3")
    labelled(root, "RED", (1000, 3000), "A4")
    netlist = root.read(tmp_path)
    assert nets(netlist) == {
        "/RED": "A4.1",
        "/kid/BLUE": "A3.1",
        "/kid/RED": "A1.1 A2.1 Q1.1",
        "Net-(Q2-Pad1)": "Q2.1",
    }
    (found,) = netlist.findings
    assert found.code == "missing-sheet-pin"
    assert "BLUE" in found.text
    assert [i.file for i in netlist.inputs] == ["board.sch", "kid.sch", "board-cache.lib"]


def test_a_label_nearer_the_root_names_the_net(tmp_path: Path) -> None:
    root, kid = with_kid({"RED": (6000, 1000)})
    labelled(kid, "RED", (1000, 1000), "A1", "H")
    root.label("ZZ", (5700, 1000))
    assert nets(root.read(tmp_path)) == {"/ZZ": "A1.1 Q1.1"}


def test_global_labels_and_supplies_reach_all_sheets(tmp_path: Path) -> None:
    root, kid = with_kid({"X": (6000, 1000)})
    labelled(kid, "X", (1000, 1000), "A1", "H")
    for sheet, n in ((root, 0), (kid, 10)):
        labelled(sheet, "SYNC", (2000, 3000), f"B{n}", "G")
        labelled(sheet, "LOCAL", (2000, 3200), f"C{n}")
        sheet.supply("+5V", (2000, 3400))
        sheet.pin(f"D{n}", (2000, 3400))
    labelled(kid, "+5V", (2000, 3600), "E1")
    labelled(kid, "+5V", (2000, 3800), "E2", "H")
    assert nets(root.read(tmp_path)) == {
        "+5V": "D0.1 D10.1 E1.1 E2.1",
        "/LOCAL": "C0.1",
        "/kid/LOCAL": "C10.1",
        "/kid/X": "A1.1 Q1.1",
        "SYNC": "B0.1 B10.1",
    }


def test_a_sheet_that_is_used_twice(tmp_path: Path) -> None:
    root, kid = Drawing(), Drawing()
    first = root.sheet("left", kid, {"IN": (4000, 1000)}, "kid.sch")
    second = root.sheet("right", kid, {"IN": (6000, 1000)}, "kid.sch")
    for name, x in (("Q1", 4000), ("Q2", 6000)):
        root.wire((x - 300, 1000), (x, 1000))
        root.pin(name, (x - 300, 1000))
    kid.label("IN", (1000, 1000), "H")
    kid.part("P", "R1", (1000, 1000), places=[(f"/{first}", "R1", 1), (f"/{second}", "R2", 1)])
    labelled(kid, "INNER", (1000, 2000), "R9")
    netlist = root.read(tmp_path)
    assert nets(netlist) == {
        "/left/IN": "Q1.1 R1.1",
        "/left/INNER": "R9.1",
        "/right/IN": "Q2.1 R2.1",
        "/right/INNER": "R9.1",
    }
    # A part without a reference for the second use has the first one's (KiCad asks for new numbers first).
    assert [f.code for f in netlist.findings] == ["duplicate-part"]


def test_bus_pins_of_sheets(tmp_path: Path) -> None:
    """By number, whatever the two sides are called."""
    root, kid = with_kid({"AD[0..1]": (6000, 1000)})
    root.bus((5000, 1000), (6000, 1000))
    root.label("X[4..5]", (5000, 1000))
    kid.bus((1000, 1000), (2000, 1000))
    kid.label("AD[0..1]", (1000, 1000), "H")
    for n in (0, 1):
        labelled(kid, f"AD{n}", (1000, 2000 + 200 * n), f"A{n}")
    for n in (0, 4):
        labelled(root, f"X{n}", (1000, 2000 + 200 * n), f"B{n}")
    found = nets(root.read(tmp_path))
    assert sorted(found.values()) == ["A0.1", "A1.1", "B0.1", "B4.1"]


def test_two_bus_pins_on_one_bus(tmp_path: Path) -> None:
    root, kid = with_kid({"C[0..1]": (6000, 1000), "E[1..2]": (6000, 1200)})
    root.bus((5000, 1000), (6000, 1000))
    root.bus((5000, 1000), (5000, 1200), (6000, 1200))
    for n, bus in enumerate(("C[0..1]", "E[1..2]")):
        kid.bus((1000, 1000 + 500 * n), (2000, 1000 + 500 * n))
        kid.label(bus, (1000, 1000 + 500 * n), "H")
    for n, name in enumerate(("C0", "C1", "E1", "E2")):
        labelled(kid, name, (1000, 3000 + 200 * n), f"A{n}")
    assert sorted(nets(root.read(tmp_path)).values()) == ["A0.1", "A1.1 A2.1", "A3.1"]


def test_two_pins_of_one_name_need_a_label_in_the_sheet(tmp_path: Path) -> None:
    """A pin D0 and a bus pin D[0..1] on one sheet."""
    root, kid = with_kid({"D0": (6000, 1000), "D[0..1]": (6000, 1200)})
    root.bus((5000, 1200), (6000, 1200))
    root.label("G[0..1]", (5000, 1200))
    labelled(root, "G0", (1000, 3000), "A1")
    labelled(kid, "OTHER", (1000, 1000), "A2")
    assert sorted(nets(root.read(tmp_path)).values()) == ["A1.1", "A2.1", "Q1.1"]


def test_a_junction_on_a_sheet_pin_joins_it(tmp_path: Path) -> None:
    """KiCad 5.1.9 does not, those before and KiCad 6 to 9 do (from memory for those before)."""
    root, kid = Drawing(), Drawing()
    root.sheet("kid", kid, {"RED": (6000, 1000)})
    root.wire((5000, 1000), (7000, 1000))
    root.junction((6000, 1000))
    root.pin("Q1", (5000, 1000))
    labelled(kid, "RED", (1000, 1000), "A1", "H")
    assert list(nets(root.read(tmp_path)).values()) == ["A1.1 Q1.1"]


@two_cases
@pytest.mark.parametrize("drawn", ["kid.sch", "sub\\kid.sch"])
def test_a_sheet_file_that_differs_in_case_is_taken_and_said(tmp_path: Path, drawn: str) -> None:
    """KiCad 5 was not asked: it runs where the file's name is the same as well as where it is not."""
    root, kid = Drawing(), Drawing()
    root.sheet("kid", kid, {"RED": (6000, 1000)}, "kid.sch")
    root.wire((5000, 1000), (6000, 1000))
    root.pin("Q1", (5000, 1000))
    labelled(kid, "RED", (1000, 1000), "A1", "H")
    path = root.save(tmp_path)
    there = tmp_path / drawn.replace("\\", "/").replace("kid", "Kid")
    there.parent.mkdir(exist_ok=True)
    (tmp_path / "kid.sch").rename(there)
    path.write_text(
        path.read_text(encoding="utf-8").replace('"kid.sch"', f'"{drawn}"'.replace("\\", "\\\\")),
        encoding="utf-8",
    )
    netlist = read_netlist(path)
    assert nets(netlist) == {"/kid/RED": "A1.1 Q1.1"}
    (found,) = netlist.findings
    assert (found.code, found.severity) == ("file-in-other-case", "note")
    assert found.where == ("Kid.sch",)


# Libraries.


def one_part(symbol: str, folder: Path) -> Path:
    drawing = Drawing()
    drawing.part(symbol, "U1", (1000, 1000))
    drawing.pin("J1", (1000, 1000))
    return drawing.save(folder)


def test_the_cache_names_symbols_with_their_library(tmp_path: Path) -> None:
    path = one_part("74xx:74LS00", tmp_path)
    cache = tmp_path / "board-cache.lib"
    for shown in ("74xx:74LS00", "74xx_74LS00", "74LS00"):
        cache.write_text(LIBRARY.replace("DEF DUAL ", f"DEF {shown} "), encoding="utf-8")
        assert nets(read_netlist(path))["Net-(J1-Pad1)"] == "J1.1 U1.1"


@two_cases
def test_a_cache_that_differs_in_case_is_taken_and_said(tmp_path: Path) -> None:
    path = one_part("DUAL", tmp_path)
    (tmp_path / "board-cache.lib").rename(tmp_path / "Board-cache.lib")
    netlist = read_netlist(path)
    assert nets(netlist)["Net-(J1-Pad1)"] == "J1.1 U1.1"
    assert [i.file for i in netlist.inputs] == ["board.sch", "Board-cache.lib"]
    (found,) = netlist.findings
    assert (found.code, found.severity, found.where) == ("file-in-other-case", "note", ("Board-cache.lib",))
    (tmp_path / "BOARD-cache.lib").write_bytes((tmp_path / "Board-cache.lib").read_bytes())
    with pytest.raises(NetlistError, match="not there"):
        read_netlist(path)


def test_libraries_of_the_project(tmp_path: Path) -> None:
    """The table beside the schematic, then libraries that the sheet lists, in the folders of the project file."""
    path = one_part("mine:DUAL", tmp_path)
    (tmp_path / "board-cache.lib").write_text(library(), encoding="utf-8")
    (tmp_path / "libs").mkdir()
    (tmp_path / "libs" / "own.lib").write_text(LIBRARY, encoding="utf-8")
    with pytest.raises(NetlistError, match="not there"):
        read_netlist(path)
    (tmp_path / "sym-lib-table").write_text(
        '(sym_lib_table (lib (name mine)(type Legacy)(uri ${KIPRJMOD}/libs/own.lib)(options "")(descr "")))',
        encoding="utf-8",
    )
    found = read_netlist(path)
    assert [f.code for f in found.findings] == ["missing-symbol"]
    assert "J1" in found.findings[0].text
    assert [i.file for i in found.inputs] == ["board.sch", "libs/own.lib"]
    (tmp_path / "sym-lib-table").unlink()
    text = path.read_text(encoding="utf-8").replace("mine:DUAL", "DUAL")
    path.write_text(text.replace("EELAYER 30 0", "LIBS:power,own\nEELAYER 30 0"), encoding="utf-8")
    (tmp_path / "board.pro").write_text("[eeschema]\nLibDir=other;libs\n", encoding="utf-8")
    assert nets(read_netlist(path))["Net-(J1-Pad1)"] == "J1.1 U1.1"


def test_a_part_without_its_symbol_keeps_its_place(tmp_path: Path) -> None:
    """It is on the board, without pins, and that is said."""
    drawing = Drawing()
    drawing.part("GONE", "U1", (1000, 1000), value="74LS273")
    drawing.pin("J1", (1000, 1000))
    netlist = drawing.read(tmp_path)
    assert netlist.by_reference["U1"].marking == "74LS273"
    (found,) = netlist.findings
    assert (found.code, found.severity, found.where) == ("missing-symbol", "warning", ("U1",))
    assert "board-cache.lib" in found.text


def test_a_cache_that_is_older_than_the_drawing(tmp_path: Path) -> None:
    """All symbols that it lacks are named in one warning, with the board that lies beside the drawing."""
    drawing = Drawing()
    for number in range(12):
        drawing.part(f"NEW{number}", f"U{number}", (1000, 1000 + 500 * number))
    drawing.pin("J1", (1000, 1000))
    path = drawing.save(tmp_path)
    (tmp_path / "other.net").write_text("", encoding="utf-8")
    (tmp_path / "board.kicad_pcb").write_text("", encoding="utf-8")
    (found,) = read_netlist(path).findings
    named = ", ".join(f"NEW{number}" for number in range(12))
    assert found.text == (
        f"12 part(s) have no pins, as no library has their symbols ({named}): U0, U1, U2, U3, U4, U5, U6, U7 ...; "
        "put a newer board-cache.lib beside the schematic (KiCad writes it when it saves), or give board.kicad_pcb, which "
        "lies beside it, instead"
    )


def test_of_several_netlists_beside_a_drawing_none_is_pointed_to(tmp_path: Path) -> None:
    path = one_part("GONE", tmp_path)
    (tmp_path / "board-cache.lib").unlink()
    (tmp_path / "one.net").write_text("", encoding="utf-8")
    with pytest.raises(NetlistError) as caught:
        read_netlist(path)
    assert caught.value.fix is not None
    assert caught.value.fix.startswith("give one.net, which lies beside it,")
    (tmp_path / "two.net").write_text("", encoding="utf-8")
    with pytest.raises(NetlistError) as caught:
        read_netlist(path)
    assert caught.value.fix is not None
    assert ".net" not in caught.value.fix


def test_pins_of_a_library() -> None:
    bodies = load_library(LIBRARY, "a.lib")
    assert set(bodies) >= {"DUAL", "DUAL2", "74HC00"}
    assert bodies["74HC00"].pins == bodies["DUAL"].pins
    assert [(p.number, p.unit, p.body, p.kind, p.hidden) for p in bodies["GATE"].pins] == [
        ("1", 1, 1, "input", False),
        ("14", 1, 1, "power_in", True),
        ("9", 1, 1, "no_connect", True),
    ]
    assert {name for name, body in bodies.items() if body.power} == {"VCC", "GND", "+5V", "FLAG"}


def test_a_name_that_is_not_shown() -> None:
    assert list(
        load_library(library("DEF ~R R 0 40 Y Y 1 F N\nX ~ 1 0 0 0 R 50 50 1 1 P\nENDDEF\n"), "a.lib")
    ) == ["R"]


@pytest.mark.parametrize(
    "line", ["X A 1 0 0 0 R 50 50 1", "X A 1 0 0 0 R 50 50 1 1", "X A 1 zero 0 0 R 50 50 1 1 I", "X A"]
)
def test_broken_pins(line: str) -> None:
    text = LIBRARY.replace("X A 1 0 0 0 R 50 50 1 1 P", line, 1)
    with pytest.raises(NetlistError, match="this pin lacks a word or has one that is no number") as caught:
        load_library(text, "a.lib")
    assert caught.value.line is not None
    assert text.split("\n")[caught.value.line - 1] == line
