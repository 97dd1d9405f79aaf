"""Buses of schematics: what labels and sheet pins on one bus join, member by member.

Every drawing here was also given to KiCad 9.0.2, whose nets a test expects unless it says otherwise; see
``test_schematic.py``. A net's name is left out where KiCad takes another of its labels.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from tests.unit.importers.kicad.sheets import Sheet, labelled, nets

Point = tuple[float, float]
PIN: Point = (50.8, 50.8)


def bus(sheet: Sheet, *labels: str, y: float = 10.16) -> None:
    """A bus with labels on it."""
    sheet.bus((10.16, y), (101.6, y))
    for number, text in enumerate(labels):
        sheet.label(text, (15.24 + 10.16 * number, y))


def taps(sheet: Sheet, names: Sequence[str], prefix: str, start: float = 70.0) -> None:
    """Parts of one pin, each with a local label: P0 P1 ..."""
    for number, name in enumerate(names):
        labelled(sheet, name, f"{prefix}{number}", start + 5.08 * number)


def joined(sheet: Sheet, folder: Path) -> set[str]:
    return set(nets(sheet.read(folder)).values())


@pytest.mark.parametrize(
    ("labels", "taps_", "expected"),
    [
        # Two vectors pair by place, counted upwards.
        pytest.param("A[8..11] | X[0..3]", "A8 A11 X0 X3", "P0.1 P2.1|P1.1 P3.1", id="vectors by place"),
        pytest.param("A[3..0] | B[0..3]", "A0 A3 B0 B3", "P0.1 P2.1|P1.1 P3.1", id="downwards is upwards"),
        pytest.param(
            "A[0..1] | B[0..3]", "A0 A1 B0 B1 B3", "P0.1 P2.1|P1.1 P3.1|P4.1", id="the longer keeps its rest"
        ),
        pytest.param(
            "A[0..7] | A[4..7]", "A0 A4 A5 A7", "P0.1 P1.1|P2.1|P3.1", id="part of itself, by place"
        ),
        # Three: each is paired with the first in the alphabet, whatever the order on the sheet.
        pytest.param(
            "A[0..1] | B[0..3] | C[0..3]", "A0 B0 B3 C0 C3", "P0.1 P1.1 P3.1|P2.1|P4.1", id="three vectors"
        ),
        pytest.param(
            "B[0..3] | A[0..1] | C[0..3]",
            "A0 B0 B3 C0 C3",
            "P0.1 P1.1 P3.1|P2.1|P4.1",
            id="three vectors in another order",
        ),
        pytest.param(
            "C[0..1] | A[0..3] | B[0..3]",
            "A3 B3 C0 A0",
            "P0.1 P1.1|P2.1 P3.1",
            id="the narrow one last in the alphabet",
        ),
        # Groups pair by name, less the name in front.
        pytest.param("R{P Q} | Z{P Q}", "R.P R.Q Z.P Z.Q P", "P0.1 P2.1|P1.1 P3.1|P4.1", id="groups by name"),
        pytest.param("R{P Q} | Z{S T}", "R.P Z.S", "P0.1|P1.1", id="groups without a common name"),
        pytest.param(
            "{X D[0..1]} | D[0..1] | E[0..1]",
            "X D0 D1 E0 E1",
            "P0.1|P1.1 P3.1|P2.1 P4.1",
            id="group and vectors",
        ),
        pytest.param("{X D[0..1]} | E[0..1]", "X D0 E0", "P0.1|P1.1|P2.1", id="group and another vector"),
        pytest.param(
            "{~{RD} ~{WR}} | Y{~{RD}}", "~{RD} ~{WR} Y.~{RD}", "P0.1 P2.1|P1.1", id="overbars in a group"
        ),
        pytest.param(
            "~{D[0..1]} | E[0..1]", "~{D0} ~{D1} E0 E1", "P0.1 P2.1|P1.1 P3.1", id="vector under an overbar"
        ),
        pytest.param("~{D}[0..1] | E[0..1]", "~{D}0 E0", "P0.1 P1.1", id="overbar on the name alone"),
        # What looks like a bus label and is none.
        pytest.param("D[0..1]_N | E[0..1]", "D0_N E0", "P0.1|P1.1", id="something behind the bracket"),
        pytest.param("D[3..3] | E[0..1]", "D3 E0", "P0.1|P1.1", id="vector of one"),
        pytest.param("D[0..3 | E[0..3]", "D0 E0", "P0.1|P1.1", id="bracket not closed"),
        pytest.param("D[a..b] | E[0..3]", "Da E0", "P0.1|P1.1", id="letters"),
        pytest.param(
            "X{A{P Q} B} | Y{A{P Q} B}", "X.A.P Y.A.P X.B Y.B", "P0.1|P1.1|P2.1|P3.1", id="group in a group"
        ),
    ],
)
def test_labels_on_one_bus(tmp_path: Path, labels: str, taps_: str, expected: str) -> None:
    sheet = Sheet()
    bus(sheet, *labels.split(" | "))
    taps(sheet, taps_.split(), "P")
    assert joined(sheet, tmp_path) == set(expected.split("|"))


def test_aliases(tmp_path: Path) -> None:
    """A member of a group that is the name of an alias stands for the alias's members; a plain label does not."""
    sheet = Sheet()
    sheet.alias("CTL", "D[0..1]", "WR")
    bus(sheet, "{CTL}", "Z{CTL}")
    taps(sheet, ["D0", "D1", "WR", "Z.D0", "Z.D1", "Z.WR", "CTL"], "P")
    assert joined(sheet, tmp_path) == {"P0.1 P3.1", "P1.1 P4.1", "P2.1 P5.1", "P6.1"}


def test_a_bus_entry_joins_by_the_label_on_its_wire(tmp_path: Path) -> None:
    """Without a label the wire is joined to nothing."""
    sheet = Sheet()
    bus(sheet, "D[0..1]")
    for x, text in ((40.64, "D0"), (60.96, "")):
        sheet.entry((x, 10.16), (2.54, 2.54))
        sheet.wire((x + 2.54, 12.7), (x + 2.54, 20.32))
        sheet.pin(f"R{x:.0f}", (x + 2.54, 20.32))
        if text:
            sheet.label(text, (x + 2.54, 17.78))
    labelled(sheet, "D0", "R1", 70.0)
    assert nets(sheet.read(tmp_path)) == {"/D0": "R1.1 R41.1", "unconnected-(R61-Pad1)": "R61.1"}


@pytest.mark.parametrize(
    ("points", "expected"),
    [
        pytest.param([(50.8, 10.16), (50.8, 30.48)], {"P0.1"}, id="T without a junction"),
        pytest.param([(101.6, 10.16), (101.6, 30.48)], {"P0.1 P1.1"}, id="corner"),
    ],
)
def test_where_buses_meet(tmp_path: Path, points: list[Point], expected: set[str]) -> None:
    sheet = Sheet()
    bus(sheet, "D[0..1]")
    sheet.bus(*points)
    sheet.label("E[0..1]", points[-1])
    taps(sheet, ["D0", "E0"], "P")
    assert expected <= joined(sheet, tmp_path)
    assert ("P0.1 P1.1" in expected) == (len(joined(sheet, tmp_path)) == 1)


def test_global_bus_labels(tmp_path: Path) -> None:
    """Members of a global bus label are global, and join what is on the bus in each sheet."""
    root, child = Sheet(), Sheet("child")
    root.sheet("c", child)
    for sheet, own in ((root, "A"), (child, "B")):
        bus(sheet, f"{own}[0..1]")
        sheet.globe("D[0..1]", (101.6, 10.16))
        taps(sheet, [f"{own}0", "D0"], own)
    labelled(root, "D1", "RG", 100.0, "global_label")
    labelled(child, "B1", "RL", 110.0)
    assert nets(root.read(tmp_path)) == {"D0": "A0.1 A1.1 B0.1 B1.1", "D1": "RG.1 RL.1"}


def test_a_global_label_is_no_member_of_a_local_bus(tmp_path: Path) -> None:
    sheet = Sheet()
    bus(sheet, "D[0..1]", "E[0..1]")
    labelled(sheet, "D0", "RA", 50.8, "global_label")
    labelled(sheet, "E0", "RB", 60.96)
    labelled(sheet, "D0", "RC", 70.0)
    assert nets(sheet.read(tmp_path)) == {"D0": "RA.1 RC.1", "/D0": "RB.1"}


# Sheet pins.


def pair(
    pin: str, parent: Sequence[str], port: str | None = None, child: Sequence[str] = ()
) -> tuple[Sheet, Sheet]:
    """A root with a bus to the sheet pin `pin` of ``c``; labels on the bus outside and, beside the port, inside."""
    root, inside = Sheet(), Sheet("child")
    root.sheet("c", inside, {pin: PIN})
    root.bus((10.16, 50.8), PIN)
    for number, text in enumerate(parent):
        root.label(text, (20.32 + 5.08 * number, 50.8))
    bus(inside, *child)
    if port != "":
        inside.port(port or pin, (101.6, 10.16))
    return root, inside


@pytest.mark.parametrize(
    ("pin", "outside", "taps_outside", "taps_inside", "expected"),
    [
        pytest.param("D[0..1]", "E[0..1]", "E0 E1 D0", "D0 D1", "C0.1 P0.1|C1.1 P1.1|P2.1", id="vector"),
        pytest.param("X[0..3]", "A[8..11]", "A8 A11", "X0 X3", "C0.1 P0.1|C1.1 P1.1", id="numbers differ"),
        pytest.param(
            "X[0..7]", "A[0..3]", "A0 A3", "X0 X3 X7", "C0.1 P0.1|C1.1 P1.1|C2.1", id="widths differ"
        ),
        pytest.param("{A B}", "X{A B}", "X.A X.B", "A B", "C0.1 P0.1|C1.1 P1.1", id="group"),
        pytest.param(
            "X{D[0..1] W}",
            "X{D[0..1] W}",
            "X.D0 X.W",
            "X.D0 X.W",
            "C0.1 P0.1|C1.1 P1.1",
            id="vector in a group",
        ),
        pytest.param("~{D[0..1]}", "~{D[0..1]}", "~{D0}", "~{D0}", "C0.1 P0.1", id="overbar"),
        pytest.param("D[0..1]_N", "D[0..1]_N", "D0_N", "D0_N", "C0.1|P0.1", id="no bus, so no members"),
    ],
)
def test_sheet_pins(
    tmp_path: Path, pin: str, outside: str, taps_outside: str, taps_inside: str, expected: str
) -> None:
    root, child = pair(pin, [outside])
    taps(root, taps_outside.split(), "P")
    taps(child, taps_inside.split(), "C")
    assert joined(root, tmp_path) == set(expected.split("|"))


def test_more_labels_inside_and_outside(tmp_path: Path) -> None:
    root, child = pair("D[0..1]", ["A[0..1]", "B[0..1]"], child=["F[0..1]"])
    taps(root, ["A0", "B0", "B1"], "P")
    taps(child, ["D0", "F0", "F1"], "C")
    assert nets(root.read(tmp_path)) == {"/A0": "C0.1 C1.1 P0.1 P1.1", "/A1": "C2.1 P2.1"}


def test_one_bus_drawn_in_two_pieces(tmp_path: Path) -> None:
    """Joined by its label: the usual way to bring a bus to sheets on either side of a page."""
    root, child = pair("X[0..1]", ["D[0..1]"])
    other = Sheet("other")
    root.sheet("e", other, {"Y[0..1]": (50.8, 101.6)}, at=(50.8, 91.44))
    root.bus((10.16, 101.6), (50.8, 101.6))
    root.label("D[0..1]", (10.16, 101.6))
    bus(other)
    other.port("Y[0..1]", (10.16, 10.16))
    taps(root, ["D0"], "P", start=150.0)
    taps(child, ["X0", "X1"], "C")
    taps(other, ["Y0", "Y1"], "E")
    assert nets(root.read(tmp_path)) == {"/D0": "C0.1 E0.1 P0.1", "/D1": "C1.1 E1.1"}


def test_two_sheets_deep(tmp_path: Path) -> None:
    root, child = pair("P[0..1]", ["A[0..1]"])
    grand = Sheet("grand")
    child.sheet("g", grand, {"Q[0..1]": PIN})
    child.bus((10.16, 10.16), (10.16, 50.8), PIN)
    bus(grand)
    grand.port("Q[0..1]", (10.16, 10.16))
    taps(root, ["A1"], "P")
    taps(grand, ["Q1"], "G")
    assert nets(root.read(tmp_path)) == {"/A1": "G0.1 P0.1"}


@pytest.mark.parametrize("port", ["", "X[0..1]"], ids=["no port", "another port"])
def test_local_labels_do_not_stand_for_a_port(tmp_path: Path, port: str) -> None:
    """Nor does a local bus label of the sheet pin's name."""
    root, child = pair("D[0..1]", ["E[0..1]"], port)
    bus(child, "D[0..1]", y=30.48)
    taps(root, ["E0"], "P")
    taps(child, ["D0"], "C")
    assert joined(root, tmp_path) == {"P0.1", "C0.1"}


def test_a_bus_without_a_label_is_called_after_its_sheet_pin(tmp_path: Path) -> None:
    """So a wire off it is named as usual. (KiCad calls the net /c/D0.)"""
    root, child = pair("D[0..1]", [])
    root.entry((30.48, 50.8), (2.54, 2.54))
    root.wire((33.02, 53.34), (33.02, 60.96))
    root.label("D0", (33.02, 58.42))
    root.pin("RA", (33.02, 60.96))
    taps(child, ["D0", "D1"], "C")
    assert joined(root, tmp_path) == {"C0.1 RA.1", "C1.1"}


def test_two_sheet_pins_on_one_bus_without_a_label(tmp_path: Path) -> None:
    """It is called after the first of them in the alphabet."""
    root, child = pair("D[0..1]", [])
    other = Sheet("other")
    root.sheet("e", other, {"Q[0..1]": (81.28, 50.8)}, at=(81.28, 40.64))
    root.bus(PIN, (81.28, 50.8))
    bus(other)
    other.port("Q[0..1]", (10.16, 10.16))
    taps(root, ["D0", "Q0"], "P")
    taps(child, ["D0"], "C")
    taps(other, ["Q0"], "E")
    assert joined(root, tmp_path) == {"C0.1 E0.1 P0.1", "P1.1"}


@pytest.mark.parametrize("label", ["", "D[0..1]"], ids=["none has a label", "one has a label"])
def test_two_buses_of_one_name(tmp_path: Path, label: str) -> None:
    """A sheet placed twice, its buses not joined: without a label, neither has the members of that name."""
    root, child = Sheet(), Sheet("child")
    root.sheet("a", child, {"D[0..1]": (50.8, 50.8)})
    root.sheet("b", child, {"D[0..1]": (50.8, 101.6)}, at=(50.8, 91.44))
    root.bus((30.48, 50.8), (50.8, 50.8))
    root.bus((30.48, 101.6), (50.8, 101.6))
    if label:
        root.label(label, (30.48, 101.6))
    bus(child)
    child.port("D[0..1]", (10.16, 10.16))
    labelled(child, "D0", ["RA", "RB"], 50.8)
    labelled(root, "D0", "RT", 150.0)
    assert joined(root, tmp_path) == ({"RA.1", "RB.1 RT.1"} if label else {"RA.1", "RB.1", "RT.1"})


def test_names_of_members_follow_the_stronger_label(tmp_path: Path) -> None:
    """A local label, also one on a bus, goes before a hierarchical one on the bus of a sheet nearer the root."""
    root, child = Sheet(), Sheet("child")
    grand = Sheet("grand")
    root.sheet("a", child, {})
    child.sheet("z", grand, {"D[0..1]": PIN})
    child.bus((10.16, 50.8), PIN)
    child.port("D[0..1]", (10.16, 50.8))
    bus(grand, "D[0..1]")
    grand.port("D[0..1]", (101.6, 10.16))
    labelled(grand, "D0", "RA", 50.8)
    assert nets(root.read(tmp_path)) == {"/a/z/D0": "RA.1"}
