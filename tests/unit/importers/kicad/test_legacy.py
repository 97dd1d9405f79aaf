"""Legacy KiCad schematics: where pins are, and what wires, labels and supply symbols join on one sheet.

Every drawing here was also given to KiCad 5.1.9 (the eeschema of Debian 11), and the nets that a test expects are those
that KiCad wrote, names included, unless the test says otherwise. Drawings are made by ``tests/writers/kicad_legacy.py``.
"""

from __future__ import annotations

from itertools import product
from pathlib import Path

import pytest

from tests.writers.kicad_legacy import TURNS, Drawing, labelled, nets

CENTRE = (4000, 4000)

#: Where pin 1 of TWO, which its library draws 100 right and 300 up of the middle, comes to lie (y down).
PLACES = {
    (0, ""): (100, -300),
    (90, ""): (-300, -100),
    (180, ""): (-100, 300),
    (270, ""): (300, 100),
    (0, "x"): (100, 300),
    (90, "x"): (300, -100),
    (180, "x"): (-100, -300),
    (270, "x"): (-300, 100),
}


@pytest.mark.parametrize("turn", TURNS)
def test_pins_of_turned_and_mirrored_symbols(tmp_path: Path, turn: tuple[int, str]) -> None:
    """Markers stand on all eight places where the pin could be; one of them is joined."""
    drawing = Drawing()
    drawing.part("TWO", "U1", CENTRE, turn=turn)
    places = sorted(set(PLACES.values()))
    for number, (dx, dy) in enumerate(places, 1):
        drawing.pin(f"J{number}", (CENTRE[0] + dx, CENTRE[1] + dy))
    found = nets(drawing.read(tmp_path))
    assert len(places) == 8
    assert [p for p in found.values() if "U1.1" in p] == [f"J{places.index(PLACES[turn]) + 1}.1 U1.1"]


def test_sections_styles_and_aliases(tmp_path: Path) -> None:
    """Two placed sections are one part; the common pin is drawn with each; an alias has the pins of its symbol.

    KiCad lists the common pin a second time, alone, for the section whose pin has no wire.
    """
    drawing = Drawing()
    drawing.part("DUAL", "U1", (2000, 2000), unit=1)
    drawing.part("74HC00", "U1", (3000, 2000), unit=2, value="DUAL")
    drawing.part("DUAL2", "U2", (4000, 2000), style=2)
    for name, at in {"J1": (2000, 2000), "J2": (3000, 2000), "J3": (2000, 1700), "J4": (4500, 2000)}.items():
        drawing.pin(name, at)
    netlist = drawing.read(tmp_path)
    assert nets(netlist) == {
        "Net-(J1-Pad1)": "J1.1 U1.1",
        "Net-(J2-Pad1)": "J2.1 U1.2",
        "Net-(J3-Pad1)": "J3.1 U1.8",
        "Net-(J4-Pad1)": "J4.1 U2.1",
    }
    assert [(p.number, p.name, p.kind) for p in netlist.by_reference["U1"].pins] == [
        ("1", "A", "input"),
        ("2", "A", "input"),
        ("8", "VCC", "power_in"),
    ]
    assert (netlist.by_reference["U2"].marking, netlist.by_reference["U2"].symbol) == ("DUAL2", "DUAL2")


def test_wires_join_at_ends_and_junctions_only(tmp_path: Path) -> None:
    drawing = Drawing()
    for row, dot in ((1000, False), (2000, True)):
        n = row // 1000
        drawing.wire((1000, row), (2000, row))
        drawing.wire((1500, row), (1500, row + 400))
        drawing.pin(f"A{n}", (1000, row))
        drawing.pin(f"B{n}", (1500, row + 400))
        if dot:
            drawing.junction((1500, row))
    # Two wires that cross, and two that meet end to end.
    drawing.wire((4000, 1000), (5000, 1000))
    drawing.wire((4500, 500), (4500, 1500))
    drawing.pin("C1", (4000, 1000))
    drawing.pin("C2", (4500, 500))
    drawing.wire((4000, 3000), (4500, 3000), (4500, 3500))
    drawing.pin("D1", (4000, 3000))
    drawing.pin("D2", (4500, 3500))
    netlist = drawing.read(tmp_path)
    assert list(nets(netlist).values()) == ["A1.1", "A2.1 B2.1", "B1.1", "C1.1", "C2.1", "D1.1 D2.1"]
    (found,) = netlist.findings
    assert found.code == "touch-without-junction"
    assert "38.1,25.4 mm" in found.text


def test_wires_that_overlap_are_one(tmp_path: Path) -> None:
    """The pin at 1400 lies on the inside of the one wire that is left; that at 4000 needs a dot, and its wires stay two."""
    drawing = Drawing()
    drawing.wire((1000, 1000), (1400, 1000))
    drawing.wire((1200, 1000), (1600, 1000))
    for name, x in (("A1", 1000), ("A2", 1600), ("A3", 1400)):
        drawing.pin(name, (x, 1000))
    drawing.wire((3000, 1000), (4000, 1000))
    drawing.wire((4000, 1000), (5000, 1000))
    drawing.wire((4000, 1000), (4000, 1500))
    for name, at in (("B1", (3000, 1000)), ("B2", (5000, 1000)), ("B3", (4000, 1500))):
        drawing.pin(name, at)
    assert list(nets(drawing.read(tmp_path)).values()) == ["A1.1 A2.1", "A3.1", "B1.1 B2.1 B3.1"]


def test_a_label_joins_all_wires_at_its_place(tmp_path: Path) -> None:
    drawing = Drawing()
    drawing.wire((1000, 1000), (2000, 1000))
    drawing.wire((1500, 500), (1500, 1500))
    drawing.label("RED", (1500, 1000))
    drawing.pin("A1", (1000, 1000))
    drawing.pin("A2", (1500, 500))
    labelled(drawing, "RED", (3000, 1000), "A3")
    labelled(drawing, "red", (3000, 2000), "A4")
    assert nets(drawing.read(tmp_path)) == {"/RED": "A1.1 A2.1 A3.1", "/red": "A4.1"}


@pytest.mark.parametrize(
    ("labels", "name"),
    [
        ((("", "B"), ("", "A")), "/A"),
        ((("", "A"), ("H", "B")), "/B"),
        ((("H", "A"), ("G", "B")), "B"),
        ((("G", "B"), ("G", "A")), "A"),
        ((("", "A"), ("supply", "GND")), "GND"),
        ((("G", "Z"), ("supply", "GND")), "Z"),
        ((), "Net-(P1-Pad1)"),
    ],
)
def test_which_label_names_a_net(tmp_path: Path, labels: tuple[tuple[str, str], ...], name: str) -> None:
    drawing = Drawing()
    drawing.wire((1000, 1000), (3000, 1000))
    drawing.pin("P1", (1000, 1000))
    drawing.pin("P10", (3000, 1000))
    for place, (kind, text) in enumerate(labels):
        at = (1200 + 200 * place, 1000)
        if kind == "supply":
            drawing.wire(at, (at[0], 1300))
            drawing.junction(at)
            drawing.supply(text, (at[0], 1300))
        else:
            drawing.label(text, at, kind)
    assert nets(drawing.read(tmp_path)) == {name: "P1.1 P10.1"}


def test_supplies_join_everywhere_and_by_label(tmp_path: Path) -> None:
    """A hidden supply pin, a supply symbol, a local label of the name; a visible supply pin joins nothing by its name."""
    drawing = Drawing()
    drawing.part("GATE", "U1", (1000, 1000))
    drawing.part("DUAL", "U2", (2000, 1000))
    drawing.supply("VCC", (3000, 1000))
    drawing.pin("A1", (3000, 1000))
    labelled(drawing, "VCC", (4000, 1000), "A2")
    labelled(drawing, "GND", (4000, 2000), "A3")
    netlist = drawing.read(tmp_path)
    assert nets(netlist) == {
        "/GND": "A3.1",
        "Net-(U1-Pad1)": "U1.1",
        "Net-(U1-Pad9)": "U1.9",
        "Net-(U2-Pad1)": "U2.1",
        "Net-(U2-Pad8)": "U2.8",
        "VCC": "A1.1 A2.1 U1.14",
    }
    assert [p.reference for p in netlist.parts] == ["A1", "A2", "A3", "U1", "U2"]


def test_a_flag_is_no_supply(tmp_path: Path) -> None:
    drawing = Drawing()
    for row, name in ((1000, "A1"), (2000, "A2")):
        drawing.supply("FLAG", (1000, row))
        drawing.pin(name, (1000, row))
    assert list(nets(drawing.read(tmp_path)).values()) == ["A1.1", "A2.1"]


def test_buses(tmp_path: Path) -> None:
    """Members by name; two labels on one bus by number; entries and other brackets join nothing."""
    drawing = Drawing()
    drawing.bus((1000, 1000), (3000, 1000))
    drawing.label("D[0..7]", (1000, 1000))
    drawing.label("Q[7..0]", (3000, 1000))
    drawing.entry((1500, 1100), (1600, 1000))
    drawing.wire((1500, 1100), (1500, 1500))
    drawing.pin("A1", (1500, 1500))
    for number, text in enumerate(("D3", "Q3", "D4", "D03", "D(3)"), 2):
        labelled(drawing, text, (4000, 1000 * (number - 1)), f"A{number}")
    assert list(nets(drawing.read(tmp_path)).values()) == ["A5.1", "A2.1 A3.1", "A4.1", "A6.1", "A1.1"]


def test_no_connect_marks_join_nothing(tmp_path: Path) -> None:
    drawing = Drawing()
    for row, name in ((1000, "A1"), (2000, "A2")):
        drawing.pin(name, (1000, row))
        drawing.no_connect((1000, row))
    assert list(nets(drawing.read(tmp_path)).values()) == ["A1.1", "A2.1"]


def test_fields(tmp_path: Path) -> None:
    drawing = Drawing()
    drawing.part("P", "U9", CENTRE, value='SN74LS273N "A" \\', fields={"Place": "7E", "Other": "~"})
    part = drawing.read(tmp_path).by_reference["U9"]
    assert (part.marking, part.symbol, part.place) == ('SN74LS273N "A" \\', "P", "7E")
    assert part.origin is not None
    assert (part.origin.file, part.origin.line) == ("board.sch", 14)


def test_two_parts_of_one_reference_are_reported(tmp_path: Path) -> None:
    drawing = Drawing()
    drawing.part("P", "R1", (1000, 1000), value="1k")
    drawing.part("P", "R1", (2000, 1000), value="2k")
    netlist = drawing.read(tmp_path)
    assert [f.code for f in netlist.findings] == ["duplicate-part"]
    assert len(netlist.nets) == 2


@pytest.mark.parametrize("version", [1, 2, 3, 4])
def test_versions(tmp_path: Path, version: int) -> None:
    """Version 1 calls a hierarchical label a global one (from memory; no such file was met)."""
    drawing = Drawing(version)
    labelled(drawing, "RED", (1000, 1000), "A1", "G")
    assert list(nets(drawing.read(tmp_path))) == ["/RED" if version == 1 else "RED"]


def test_encodings(tmp_path: Path) -> None:
    """A file of an old machine; it may be named."""
    from tracer.importers import read_netlist

    drawing = Drawing()
    labelled(drawing, "+3,3В", (1000, 1000), "A1")
    path = drawing.save(tmp_path)
    path.write_text(drawing.text(), encoding="cp1251")
    assert list(nets(read_netlist(path, encoding="cp1251"))) == ["/+3,3В"]
    guessed = read_netlist(path)
    assert [f.code for f in guessed.findings] == ["old-encoding"]
    assert list(nets(guessed)) == ["/+3,3Â"]


def test_lines_that_are_not_known_are_counted(tmp_path: Path) -> None:
    from tracer.importers import read_netlist

    drawing = Drawing()
    labelled(drawing, "RED", (1000, 1000), "A1")
    path = drawing.save(tmp_path)
    text = drawing.text().replace("$EndDescr\n", "$EndDescr\nSpline 1 2 3\nSpline 4\nText Cloud 1 2 3\nx\n")
    path.write_text(text, encoding="utf-8")
    (found,) = read_netlist(path).findings
    assert found.code == "skipped-clause"
    assert found.text.endswith(": Spline x 2, Text x 1")


def test_pin_pairs_of_each_turn_are_all_different() -> None:
    assert len(set(TURNS.values())) == len(set(PLACES.values())) == 8
    assert all({abs(x), abs(y)} == {100, 300} for x, y in PLACES.values())
    assert len(set(product((0, 90, 180, 270), ("", "x")))) == len(TURNS)
