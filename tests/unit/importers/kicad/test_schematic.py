"""Schematics: where pins are, what wires, labels, sheets and supply symbols join.

Every drawing here was also given to KiCad 9.0.2 (``kicad-cli sch export netlist``), and the nets that a test expects
are those that KiCad wrote, names included, unless the test says otherwise. Drawings are made by ``sheets.py``.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.unit.importers.kicad.sheets import KICAD_6, KICAD_9, Sheet, labelled, nets

Point = tuple[float, float]
CENTRE = (50.8, 50.8)


# Pins in place.

#: Angle, mirror -> where the pin that the library draws 2.54 right and 5.08 up of the middle comes to lie (y down).
PLACES = {
    (0, ""): (2.54, -5.08),
    (90, ""): (-5.08, -2.54),
    (180, ""): (-2.54, 5.08),
    (270, ""): (5.08, 2.54),
    (0, "x"): (2.54, 5.08),
    (90, "x"): (-5.08, 2.54),
    (180, "x"): (-2.54, -5.08),
    (270, "x"): (5.08, -2.54),
    (0, "y"): (-2.54, -5.08),
    (90, "y"): (5.08, -2.54),
    (180, "y"): (2.54, 5.08),
    (270, "y"): (-5.08, 2.54),
}


@pytest.mark.parametrize(("angle", "mirror"), PLACES)
def test_pins_of_turned_and_mirrored_symbols(tmp_path: Path, angle: int, mirror: str) -> None:
    """Markers stand on all eight places where the pin could be; one of them is joined."""
    sheet = Sheet()
    sheet.part("TWO", "Q", CENTRE, angle=angle, mirror=mirror)
    places = sorted(set(PLACES.values()))
    for number, (dx, dy) in enumerate(places):
        sheet.pin(f"M{number}", (CENTRE[0] + dx, CENTRE[1] + dy))
    netlist = sheet.read(tmp_path)
    expected = f"M{places.index(PLACES[angle, mirror])}.1 Q.1"
    assert len(places) == 8
    assert [pins for pins in nets(netlist).values() if "Q.1" in pins] == [expected]


def test_sections_of_one_part(tmp_path: Path) -> None:
    """Two placed sections are one part; its common pin is drawn with each of them."""
    sheet = Sheet()
    sheet.part("DUAL", "U1", (50.8, 50.8), unit=1)
    sheet.part("DUAL", "U1", (76.2, 50.8), unit=2)
    sheet.pin("RA", (50.8, 50.8))
    sheet.pin("RB", (76.2, 50.8))
    sheet.pin("RC", (50.8, 40.64))
    netlist = sheet.read(tmp_path)
    assert nets(netlist) == {
        "Net-(U1A-A)": "RA.1 U1.1",
        "Net-(U1A-VCC)": "RC.1 U1.8",
        "Net-(U1B-A)": "RB.1 U1.2",
        "unconnected-(U1B-VCC-Pad8)": "U1.8",
    }
    assert [p.number for p in netlist.by_reference["U1"].pins] == ["8", "1", "2"]


@pytest.mark.parametrize(("style", "joined"), [(1, "RA"), (2, "RB")])
def test_body_style_chooses_the_pins(tmp_path: Path, style: int, joined: str) -> None:
    sheet = Sheet()
    sheet.part("STYLES", "U1", CENTRE, extra=f"(convert {style}) ")
    sheet.pin("RA", CENTRE)
    sheet.pin("RB", (55.88, 50.8))
    assert f"{joined}.1 U1.1" in nets(sheet.read(tmp_path)).values()


def test_body_style_of_kicad_10_is_read_alike(tmp_path: Path) -> None:
    """KiCad 10 calls the clause ``body_style`` (from memory; KiCad 9 does not read it)."""
    sheet = Sheet()
    sheet.part("STYLES", "U1", CENTRE, extra="(body_style 2) ")
    sheet.pin("RB", (55.88, 50.8))
    assert nets(sheet.read(tmp_path)) == {"Net-(RB-Pad1)": "RB.1 U1.1"}


def test_chosen_alternate_of_a_pin(tmp_path: Path) -> None:
    """A pin that stands for another of its functions has that name and type.

    KiCad writes the chosen name, but keeps the library's type (bidirectional) and names the net after the library's
    name; here what was chosen counts.
    """
    sheet = Sheet()
    sheet.part("CHOICE", "U1", CENTRE, extra='(pin "1" (alternate "CLK")) ')
    pin = sheet.read(tmp_path).by_reference["U1"].pins[0]
    assert (pin.number, pin.name, pin.kind) == ("1", "CLK", "input")


# Wires.


@pytest.mark.parametrize(
    ("wires", "at", "joined"),
    [
        pytest.param([((10.16, 20.32), (30.48, 20.32))], (30.48, 20.32), True, id="pin at a wire's end"),
        pytest.param([((10.16, 20.32), (30.48, 20.32))], (20.32, 20.32), False, id="pin on a wire's middle"),
        pytest.param(
            [((10.16, 20.32), (30.48, 20.32)), ((20.32, 20.32), (20.32, 30.48))],
            (20.32, 30.48),
            False,
            id="T without a junction",
        ),
        pytest.param(
            [((10.16, 20.32), (30.48, 20.32)), ((20.32, 10.16), (20.32, 30.48))],
            (20.32, 30.48),
            False,
            id="crossing without a junction",
        ),
        pytest.param(
            [
                ((10.16, 20.32), (20.32, 20.32)),
                ((20.32, 20.32), (30.48, 20.32)),
                ((20.32, 20.32), (20.32, 30.48)),
            ],
            (20.32, 30.48),
            True,
            id="T of three wires",
        ),
        pytest.param(
            [((10.16, 20.32), (30.48, 20.32)), ((20.32, 20.32), (40.64, 20.32))],
            (40.64, 20.32),
            False,
            id="wires that overlap",
        ),
        pytest.param(
            [((10.16, 20.32), (30.48, 20.32)), ((30.48, 20.32), (10.16, 20.32))],
            (30.48, 20.32),
            True,
            id="one wire drawn twice",
        ),
        pytest.param([((10.16, 20.32), (30.48, 40.64))], (30.48, 40.64), True, id="slanted wire"),
    ],
)
def test_wires(tmp_path: Path, wires: list[tuple[Point, Point]], at: Point, joined: bool) -> None:
    """A pin stands on the first wire's first end, another on `at`."""
    sheet = Sheet()
    for a, b in wires:
        sheet.wire(a, b)
    sheet.pin("RA", (10.16, 20.32))
    sheet.pin("RB", at)
    alone = {"unconnected-(RA-Pad1)": "RA.1", "unconnected-(RB-Pad1)": "RB.1"}
    assert nets(sheet.read(tmp_path)) == ({"Net-(RA-Pad1)": "RA.1 RB.1"} if joined else alone)


@pytest.mark.parametrize("end", [(20.32, 30.48), (20.32, 20.32)], ids=["wire", "pin"])
def test_a_junction_joins_what_it_lies_on(tmp_path: Path, end: Point) -> None:
    """Also wires that were not broken there. KiCad breaks wires where it sets a junction and exports this file,
    which it would not write, without the joint; a person who sees the dot means one.
    """
    sheet = Sheet()
    sheet.wire((10.16, 20.32), (30.48, 20.32))
    if end != (20.32, 20.32):
        sheet.wire((20.32, 10.16), end)
    sheet.junction((20.32, 20.32))
    sheet.pin("RA", (10.16, 20.32))
    sheet.pin("RB", end)
    assert nets(sheet.read(tmp_path)) == {"Net-(RA-Pad1)": "RA.1 RB.1"}


def test_touching_without_a_junction_is_said(tmp_path: Path) -> None:
    sheet = Sheet()
    sheet.wire((10.16, 20.32), (30.48, 20.32))
    sheet.wire((20.32, 20.32), (20.32, 30.48))
    netlist = sheet.read(tmp_path)
    assert [(f.code, f.severity, f.where, f.text) for f in netlist.findings] == [
        (
            "touch-without-junction",
            "warning",
            ("root.kicad_sch",),
            "1 wire end(s) or pin(s) touch a wire without a junction in root.kicad_sch (at 20.32,20.32 mm); "
            "they look joined but are not",
        )
    ]


def test_two_pins_on_one_point_are_joined(tmp_path: Path) -> None:
    sheet = Sheet()
    sheet.pin("RA", CENTRE)
    sheet.pin("RB", CENTRE)
    assert nets(sheet.read(tmp_path)) == {"Net-(RA-Pad1)": "RA.1 RB.1"}


def test_no_connect_marks(tmp_path: Path) -> None:
    """A marked net is named as not connected, and joins what a wire joins all the same."""
    sheet = Sheet()
    sheet.wire((10.16, 20.32), (30.48, 20.32))
    sheet.no_connect((30.48, 20.32))
    sheet.pin("RA", (10.16, 20.32))
    sheet.pin("RB", (30.48, 20.32))
    assert nets(sheet.read(tmp_path)) == {"unconnected-(RA-Pad1)": "RA.1 RB.1"}


def test_a_pin_of_type_no_connect_joins_nothing(tmp_path: Path) -> None:
    """Whatever lies on it."""
    sheet = Sheet()
    sheet.part("BLIND", "U1", CENTRE)
    sheet.pin("R1", CENTRE)
    sheet.wire(CENTRE, (60.96, 50.8))
    sheet.pin("R2", (60.96, 50.8))
    sheet.pin("R3", (50.8, 45.72))
    assert nets(sheet.read(tmp_path)) == {
        "Net-(R1-Pad1)": "R1.1 R2.1",
        "Net-(R3-Pad1)": "R3.1 U1.2",
        "unconnected-(U1-NC-Pad1)": "U1.1",
    }


# Labels on one sheet.


def test_label_on_the_middle_of_a_wire(tmp_path: Path) -> None:
    sheet = Sheet()
    sheet.wire((10.16, 10.16), (30.48, 10.16))
    sheet.pin("RA", (10.16, 10.16))
    sheet.label("N", (20.32, 10.16))
    labelled(sheet, "N", "RB", 50.8)
    assert nets(sheet.read(tmp_path)) == {"/N": "RA.1 RB.1"}


def test_label_where_two_wires_cross_names_one_of_them(tmp_path: Path) -> None:
    sheet = Sheet()
    sheet.wire((10.16, 20.32), (30.48, 20.32))
    sheet.wire((20.32, 10.16), (20.32, 30.48))
    sheet.label("N", (20.32, 20.32))
    sheet.pin("RA", (10.16, 20.32))
    sheet.pin("RB", (20.32, 30.48))
    assert nets(sheet.read(tmp_path)) == {"/N": "RA.1", "unconnected-(RB-Pad1)": "RB.1"}


@pytest.mark.parametrize(
    ("kind", "other", "expected"),
    [
        ("label", "label", {"/N": "RA.1 RB.1"}),
        ("label", "global_label", {"N": "RA.1 RB.1"}),
        ("label", "hierarchical_label", {"/N": "RA.1 RB.1"}),
        ("global_label", "global_label", {"N": "RA.1 RB.1"}),
        ("global_label", "hierarchical_label", {"N": "RA.1 RB.1"}),
    ],
)
def test_labels_of_one_name_on_one_sheet(
    tmp_path: Path, kind: str, other: str, expected: dict[str, str]
) -> None:
    """Whatever their kinds, they are one net."""
    sheet = Sheet()
    labelled(sheet, "N", "RA", 10.16, kind)
    labelled(sheet, "N", "RB", 50.8, other)
    assert nets(sheet.read(tmp_path)) == expected


def test_names_are_compared_to_the_letter(tmp_path: Path) -> None:
    sheet = Sheet()
    labelled(sheet, "n", "RA", 10.16)
    labelled(sheet, "N", "RB", 50.8)
    assert nets(sheet.read(tmp_path)) == {"/N": "RB.1", "/n": "RA.1"}


def test_two_names_on_one_wire_are_one_net(tmp_path: Path) -> None:
    """Its name is the first in the alphabet."""
    sheet = Sheet()
    sheet.wire((10.16, 10.16), (30.48, 10.16))
    sheet.label("N", (10.16, 10.16))
    sheet.label("M", (30.48, 10.16))
    labelled(sheet, "M", "RA", 50.8)
    labelled(sheet, "N", "RB", 60.96)
    assert nets(sheet.read(tmp_path)) == {"/M": "RA.1 RB.1"}


def test_slash_in_a_name_is_not_a_sheet(tmp_path: Path) -> None:
    sheet = Sheet()
    labelled(sheet, "A/B", "RA", 10.16)
    labelled(sheet, "A{slash}B", "RB", 50.8)
    assert nets(sheet.read(tmp_path)) == {"/A{slash}B": "RA.1 RB.1"}


# Names of nets that nobody named.


@pytest.mark.parametrize(
    ("body", "other", "expected"),
    [
        ("NAMED", None, {"unconnected-(U1-D-Pad1)": "U1.1", "unconnected-(U1-Q-Pad2)": "U1.2"}),
        ("NAMED", "ONE", {"Net-(U1-D)": "U1.1 U2.1", "unconnected-(U1-Q-Pad2)": "U1.2"}),
        ("NAMED", "NAMED", {"Net-(U1-D)": "U1.1 U2.1", "Net-(U1-Q)": "U1.2 U2.2"}),
        # Both pins of the part are called D.
        ("TWIN", "TWIN", {"Net-(U1-D-Pad1)": "U1.1 U2.1", "Net-(U1-D-Pad2)": "U1.2 U2.2"}),
        ("ONE", "ONE", {"Net-(U1-Pad1)": "U1.1 U2.1"}),
    ],
)
def test_names_of_unnamed_nets(
    tmp_path: Path, body: str, other: str | None, expected: dict[str, str]
) -> None:
    sheet = Sheet()
    sheet.part(body, "U1", CENTRE)
    if other:
        sheet.part(other, "U2", CENTRE)
    assert nets(sheet.read(tmp_path)) == expected


# Supplies.


def test_hidden_supply_pins_join_the_net_of_their_name(tmp_path: Path) -> None:
    """Everywhere, and with a local label of that name on the same sheet."""
    sheet = Sheet()
    sheet.part("GATE", "U1", (50.8, 50.8))
    sheet.part("GATE", "U2", (76.2, 50.8))
    labelled(sheet, "VCC", "R1", 100.0, "global_label")
    labelled(sheet, "GND", "R2", 110.0)
    assert nets(sheet.read(tmp_path)) == {
        "GND": "R2.1 U1.7 U2.7",
        "VCC": "R1.1 U1.14 U2.14",
        "unconnected-(U1-A-Pad1)": "U1.1",
        "unconnected-(U2-A-Pad1)": "U2.1",
    }


def test_a_hidden_supply_pin_with_another_label_joins_both(tmp_path: Path) -> None:
    sheet = Sheet()
    sheet.part("GATE", "U1", (20.32, 20.32))
    sheet.label("VX", (20.32, 25.4))
    sheet.pin("RA", (20.32, 25.4))
    sheet.part("GATE", "U2", (60.96, 20.32))
    found = nets(sheet.read(tmp_path))
    assert (found["VCC"], found["GND"]) == ("RA.1 U1.14 U2.14", "U1.7 U2.7")


@pytest.mark.parametrize(
    ("version", "expected"),
    [
        (KICAD_6, {"+3.3V": "R1.1 R2.1", "+3,3V": "R3.1"}),
        (KICAD_9, {"+3,3V": "R1.1 R3.1", "+3.3V": "R2.1"}),
    ],
    ids=["KiCad 6: pin name", "KiCad 7 and later: Value"],
)
def test_what_a_supply_symbol_is_called(tmp_path: Path, version: int, expected: dict[str, str]) -> None:
    """Its pin is +3.3V, its Value +3,3V. KiCad 9.0.2 reads both files so."""
    sheet = Sheet(version=version)
    sheet.part("SUPPLY", "#PWR01", CENTRE, value="+3,3V")
    sheet.pin("R1", CENTRE)
    labelled(sheet, "+3.3V", "R2", 100.0, "global_label")
    labelled(sheet, "+3,3V", "R3", 110.0, "global_label")
    assert nets(sheet.read(tmp_path)) == expected


def test_supply_symbol_and_local_label_of_one_name(tmp_path: Path) -> None:
    sheet = Sheet()
    sheet.part("SUPPLY", "#PWR01", CENTRE, value="VCC")
    sheet.pin("RA", CENTRE)
    labelled(sheet, "VCC", "RB", 100.0)
    assert nets(sheet.read(tmp_path)) == {"VCC": "RA.1 RB.1"}


def test_two_supply_symbols_on_one_point_join_their_nets(tmp_path: Path) -> None:
    sheet = Sheet()
    sheet.part("SUPPLY", "#PWR01", CENTRE, value="VCC")
    sheet.part("SUPPLY", "#PWR02", CENTRE, value="VDD")
    sheet.pin("RA", CENTRE)
    sheet.part("SUPPLY", "#PWR03", (40.64, 40.64), value="VDD")
    sheet.pin("RB", (40.64, 40.64))
    assert nets(sheet.read(tmp_path)) == {"VCC": "RA.1 RB.1"}


def test_power_flags_join_nothing(tmp_path: Path) -> None:
    """A flag's pin is an output; two flags are two. (KiCad names such a net ``Net-(R1-Pad1)``.)"""
    sheet = Sheet()
    for number, at in enumerate([(50.8, 50.8), (76.2, 50.8)], 1):
        sheet.part("FLAG", f"#FLG0{number}", at)
        sheet.pin(f"R{number}", at)
    assert sorted(nets(sheet.read(tmp_path)).values()) == ["R1.1", "R2.1"]


def test_local_supply_symbols_are_known_on_their_sheet(tmp_path: Path) -> None:
    """``(power local)`` came with KiCad 10 (from memory; KiCad 9 does not read it)."""
    root, child = Sheet(), Sheet("child")
    root.sheet("c", child)
    root.part("LOCAL", "#PWR01", CENTRE, value="VL")
    root.pin("R1", CENTRE)
    labelled(root, "VL", "R2", 100.0)
    child.part("LOCAL", "#PWR02", CENTRE, value="VL")
    child.pin("R3", CENTRE)
    assert nets(root.read(tmp_path)) == {"/VL": "R1.1 R2.1", "/c/VL": "R3.1"}
