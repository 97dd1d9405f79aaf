"""Schematics of several sheets: what sheet pins and labels join across them, and the parts and files they hold.

Every drawing here was also given to KiCad 9.0.2, whose nets a test expects unless it says otherwise; see
``test_schematic.py``.
"""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from tests.unit.importers.kicad.sheets import KICAD_6, KICAD_9, Sheet, labelled, nets
from tracer.base.errors import NetlistError
from tracer.importers import read_netlist
from tracer.netlist.board import Origin

Point = tuple[float, float]
CENTRE = (50.8, 50.8)
PORT = {"P": CENTRE}

two_cases = pytest.mark.skipif(
    Path(__file__.swapcase()).exists(), reason="upper and lower case are one on this file system"
)


def pair(pins: dict[str, Point] | None = None) -> tuple[Sheet, Sheet]:
    """A root with a sheet ``c`` in it; a part RA stands on the root's side of the first sheet pin."""
    root, child = Sheet(), Sheet("child")
    root.sheet("c", child, PORT if pins is None else pins)
    root.wire((40.64, 50.8), CENTRE)
    root.pin("RA", (40.64, 50.8))
    return root, child


def test_sheet_pin_and_hierarchical_label(tmp_path: Path) -> None:
    root, child = pair()
    labelled(child, "P", "RB", 50.8, "hierarchical_label")
    assert nets(root.read(tmp_path)) == {"/c/P": "RA.1 RB.1"}


def test_a_hierarchical_label_is_known_on_its_sheet(tmp_path: Path) -> None:
    root, child = pair()
    labelled(child, "P", "RB", 50.8, "hierarchical_label")
    labelled(child, "P", "RC", 60.96)
    labelled(root, "P", "RD", 90.0)
    assert nets(root.read(tmp_path)) == {"/c/P": "RA.1 RB.1 RC.1", "/P": "RD.1"}


@pytest.mark.parametrize(("kind", "name"), [("label", "/c/P"), ("global_label", "P")])
def test_a_sheet_pin_needs_a_hierarchical_label(tmp_path: Path, kind: str, name: str) -> None:
    """Another label of its name in the sheet is not joined, and it is said."""
    root, child = pair()
    labelled(child, "P", "RB", 50.8, kind)
    netlist = root.read(tmp_path)
    assert nets(netlist) == {"/P": "RA.1", name: "RB.1"}
    finding = netlist.findings[0]
    assert (finding.code, finding.severity) == ("missing-sheet-pin", "warning")
    assert (
        finding.text
        == "sheet c has pins without a hierarchical label in child.kicad_sch: P; they lead nowhere"
    )


def test_sheet_pin_on_the_middle_of_a_wire(tmp_path: Path) -> None:
    root, child = Sheet(), Sheet("child")
    root.sheet("c", child, PORT)
    root.wire((45.72, 50.8), (55.88, 50.8))
    root.pin("RA", (45.72, 50.8))
    labelled(child, "P", "RB", 10.16, "hierarchical_label")
    assert nets(root.read(tmp_path)) == {"/c/P": "RA.1 RB.1"}


def test_part_straight_on_a_sheet_pin(tmp_path: Path) -> None:
    root, child = Sheet(), Sheet("child")
    root.sheet("c", child, PORT)
    root.pin("RA", CENTRE)
    labelled(child, "P", "RB", 10.16, "hierarchical_label")
    assert nets(root.read(tmp_path)) == {"/c/P": "RA.1 RB.1"}


def test_labels_of_one_name_on_two_sheets(tmp_path: Path) -> None:
    """Local ones are two nets, global ones are one; a local label joins its sheet's global one only."""
    root, child = Sheet(), Sheet("child")
    root.sheet("c", child)
    labelled(root, "L", "RA", 10.16)
    labelled(child, "L", "RB", 10.16)
    labelled(root, "G", "RC", 20.32, "global_label")
    labelled(child, "G", "RD", 20.32)
    labelled(child, "G", "RE", 30.48, "global_label")
    assert nets(root.read(tmp_path)) == {"/L": "RA.1", "/c/L": "RB.1", "G": "RC.1 RD.1 RE.1"}


def test_a_local_label_alone_does_not_meet_the_global_one_of_another_sheet(tmp_path: Path) -> None:
    root, child = Sheet(), Sheet("child")
    root.sheet("c", child)
    labelled(root, "N", "RA", 10.16, "global_label")
    labelled(child, "N", "RB", 10.16)
    assert nets(root.read(tmp_path)) == {"N": "RA.1", "/c/N": "RB.1"}


def test_three_sheets_deep(tmp_path: Path) -> None:
    root, child, grand = Sheet(), Sheet("child"), Sheet("grand")
    root.sheet("c", child, PORT)
    child.sheet("g", grand, {"Q": CENTRE})
    root.pin("RA", CENTRE)
    child.wire((40.64, 50.8), CENTRE)
    child.port("P", (40.64, 50.8))
    labelled(grand, "Q", "RB", 20.32, "hierarchical_label")
    assert nets(root.read(tmp_path)) == {"/c/P": "RA.1 RB.1"}


@pytest.mark.parametrize("version", [KICAD_6, KICAD_9])
def test_a_sheet_used_twice(tmp_path: Path, version: int) -> None:
    """Each use has references and sections of its own; local labels of the two uses are two nets.

    KiCad 6 keeps references and sections in the root, later versions in each symbol.
    """
    root, child = Sheet(version=version), Sheet("child", version=version)
    root.sheet("c1", child, {"P": (50.8, 50.8)}, at=(50.8, 40.64))
    root.sheet("c2", child, {"P": (50.8, 101.6)}, at=(50.8, 91.44))
    root.pin("RA", (50.8, 50.8))
    root.pin("RB", (50.8, 101.6))
    child.part("DUAL", ["U1", "U1"], CENTRE, unit=[1, 2])
    child.port("P", CENTRE)
    labelled(child, "L", ["R1", "R2"], 20.32)
    assert nets(root.read(tmp_path)) == {
        "/c1/L": "R1.1",
        "/c1/P": "RA.1 U1.1",
        "/c2/L": "R2.1",
        "/c2/P": "RB.1 U1.2",
        "unconnected-(U1A-VCC-Pad8)": "U1.8",
        "unconnected-(U1B-VCC-Pad8)": "U1.8",
    }


def test_references_of_another_project_are_left_alone(tmp_path: Path) -> None:
    """A sheet copied out of another project keeps that project's references beside its own.

    From memory; KiCad 9 was not asked.
    """
    sheet = Sheet()
    sheet.pin("R7", CENTRE)
    path = sheet.write(tmp_path)
    text = path.read_text(encoding="utf-8")
    other = '(project "other" (path "/99999999-0000-4000-8000-000000000000" (reference "X1") (unit 1))) '
    path.write_text(
        text.replace('(instances (project "root" (path', f'(instances {other}(project "root" (path'),
        encoding="utf-8",
    )
    netlist = read_netlist(path)
    assert [part.reference for part in netlist.parts] == ["R7"]


def test_the_name_of_the_file_property_may_be_translated(tmp_path: Path) -> None:
    """KiCad 6 writes it in the user's language ("Sheet file" in its demos); KiCad 9 was not asked."""
    root, child = pair()
    labelled(child, "P", "RB", 50.8, "hierarchical_label")
    path = root.write(tmp_path)
    text = (
        path.read_text(encoding="utf-8")
        .replace('"Sheetfile"', '"Fichier de feuille"')
        .replace("Sheetname", "Nom")
    )
    path.write_text(text, encoding="utf-8")
    netlist = read_netlist(path)
    assert nets(netlist) == {"/c/P": "RA.1 RB.1"}


@two_cases
@pytest.mark.parametrize("there", ["Child.kicad_sch", "CHILD.KICAD_SCH"])
def test_a_sheet_file_that_differs_in_case_is_taken_and_said(tmp_path: Path, there: str) -> None:
    """A drawing made where upper and lower case are one, copied to where they are two; KiCad 9 was not asked."""
    root, child = pair()
    labelled(child, "P", "RB", 50.8, "hierarchical_label")
    grand = Sheet("grand")
    labelled(grand, "L", "RC", 50.8)
    child.sheet("g", grand)
    path = root.write(tmp_path)
    (tmp_path / "child.kicad_sch").rename(tmp_path / there)
    netlist = read_netlist(path)
    assert nets(netlist) == {"/c/P": "RA.1 RB.1", "/c/g/L": "RC.1"}
    assert [(f.code, f.severity, f.where, f.text) for f in netlist.findings] == [
        (
            "file-in-other-case",
            "note",
            (there,),
            "sheet files were found in other upper and lower case than root.kicad_sch has them: "
            f"child.kicad_sch ({there})",
        )
    ]
    assert [i.file for i in netlist.inputs] == ["root.kicad_sch", there, "grand.kicad_sch"]


@two_cases
def test_two_sheet_files_that_differ_in_case_are_not_chosen_from(tmp_path: Path) -> None:
    root, child = pair()
    labelled(child, "P", "RB", 50.8, "hierarchical_label")
    path = root.write(tmp_path)
    (tmp_path / "child.kicad_sch").rename(tmp_path / "Child.kicad_sch")
    (tmp_path / "CHILD.kicad_sch").write_bytes((tmp_path / "Child.kicad_sch").read_bytes())
    with pytest.raises(NetlistError) as caught:
        read_netlist(path)
    assert str(caught.value).removeprefix(f"{path}:3: ") == (
        "the sheet 'c' needs the file child.kicad_sch, which is not there, but CHILD.kicad_sch and Child.kicad_sch are, "
        "which differ from it in upper and lower case\nfix: rename the one that is meant to child.kicad_sch"
    )


@two_cases
def test_a_folder_of_sheets_that_differs_in_case(tmp_path: Path) -> None:
    root, child = pair()
    labelled(child, "P", "RB", 50.8, "hierarchical_label")
    path = root.write(tmp_path)
    (tmp_path / "Sub").mkdir()
    (tmp_path / "child.kicad_sch").rename(tmp_path / "Sub" / "Child.kicad_sch")
    path.write_text(
        path.read_text(encoding="utf-8").replace("child.kicad_sch", "sub/child.kicad_sch"), encoding="utf-8"
    )
    netlist = read_netlist(path)
    assert nets(netlist) == {"/c/P": "RA.1 RB.1"}
    assert netlist.findings[0].where == ("Child.kicad_sch",)
    assert "sub/child.kicad_sch (Sub/Child.kicad_sch)" in netlist.findings[0].text


# Parts.


def test_facts_of_a_part(tmp_path: Path) -> None:
    sheet = Sheet()
    extra = '(property "Footprint" "Package_DIP:DIP-2" (at 0 0 0)) (property "Location" "7E" (at 0 0 0)) '
    sheet.part("NAMED", "U9", CENTRE, value="SN74LS00N", extra=extra)
    sheet.part("NAMED", "U10", (76.2, 50.8), value="~", extra="(dnp yes) ")
    netlist = sheet.read(tmp_path)
    nine, ten = netlist.parts
    assert (nine.reference, nine.marking, nine.symbol, nine.library) == ("U9", "SN74LS00N", "NAMED", "x")
    assert (nine.footprint, nine.place, nine.fitted) == ("Package_DIP:DIP-2", "7E", True)
    assert [(p.number, p.name, p.kind) for p in nine.pins] == [("1", "D", "input"), ("2", "Q", "output")]
    assert (ten.marking, ten.fitted) == ("", False)


def test_a_part_knows_its_line(tmp_path: Path) -> None:
    root, child = pair()
    child.pin("RB", CENTRE)
    netlist = root.read(tmp_path)
    lines = (tmp_path / "child.kicad_sch").read_text(encoding="utf-8").split("\n")
    line = next(number for number, text in enumerate(lines, 1) if '"Reference" "RB"' in text)
    assert netlist.by_reference["RB"].origin == Origin("child.kicad_sch", line)


def test_two_parts_of_one_reference_are_said(tmp_path: Path) -> None:
    """The pins of both are on the one that is kept."""
    sheet = Sheet()
    labelled(sheet, "X", "RA", 20.32)
    labelled(sheet, "Y", "RA", 40.64)
    netlist = sheet.read(tmp_path)
    assert nets(netlist) == {"/X": "RA.1", "/Y": "RA.1"}
    assert [(f.code, f.where[0]) for f in netlist.findings] == [("duplicate-part", "RA")]


def test_all_files_are_inputs_the_root_first(tmp_path: Path) -> None:
    root, child = pair()
    grand = Sheet("grand")
    child.sheet("g", grand)
    (tmp_path / "sub").mkdir()
    netlist = read_netlist(root.write(tmp_path))
    assert [(i.file, i.format) for i in netlist.inputs] == [
        (f"{name}.kicad_sch", "kicad-schematic") for name in ("root", "child", "grand")
    ]
    for used in netlist.inputs:
        assert used.sha256 == hashlib.sha256((tmp_path / used.file).read_bytes()).hexdigest()
