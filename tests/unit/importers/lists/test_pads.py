"""PADS ASCII: part list and net list in one file or two, and where a marking stands."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.unit.importers.lists.line_forms import codes, nets, parts
from tracer.importers import detect, parse_netlist, read_netlist
from tracer.netlist.board import Netlist
from tracer.netlist.merge import merge_netlists

PARTS = "*PADS-PCB*\n*PART*\nU9 74LS273@DIP20\nR5 470@R_0805\n"
NETS = "*NET*\n*SIGNAL* RED_2\nU9.2 R5.1\n*SIGNAL* RED_OUT\nR5.2 J1.12\n*END*\n"


def read(text: str) -> Netlist:
    assert detect(text, "f").name == "pads"
    return parse_netlist(text, "f")


def test_part_list_and_net_list() -> None:
    board = read(PARTS + NETS)
    assert nets(board) == {"RED_2": "R5.1 U9.2", "RED_OUT": "J1.12 R5.2"}
    assert parts(board) == {"U9": ("74LS273", "", "DIP20"), "R5": ("470", "", "R_0805")}
    assert codes(board) == []
    assert [(str(net.origin), str(board.by_reference["U9"].origin)) for net in board.nets] == [
        ("f:6", "f:3"),
        ("f:8", "f:3"),
    ]


def test_in_two_files(tmp_path: Path) -> None:
    (tmp_path / "board.net").write_text("*PADS-PCB*\n" + NETS, encoding="utf-8")
    (tmp_path / "board.prt").write_text(PARTS + "*END*\n", encoding="utf-8")
    one, two = (read_netlist(tmp_path / f"board.{end}") for end in ("net", "prt"))
    assert parts(one) == {}
    assert nets(two) == {}
    assert codes(one) == codes(two) == []
    whole = merge_netlists([one, two])
    assert nets(whole) == nets(read(PARTS + NETS))
    assert parts(whole) == parts(read(PARTS + NETS))


@pytest.mark.parametrize(
    "head", ["*PADS-PCB*", "*PADS2000*", "!PADS-POWERPCB-V3.0-MILS!", "*PADS-LIBRARY-V9*", "*pads-pcb*", ""]
)
def test_heads(head: str) -> None:
    assert nets(read(f"{head}\n{PARTS.partition(chr(10))[2]}{NETS}")) == {
        "RED_2": "R5.1 U9.2",
        "RED_OUT": "J1.12 R5.2",
    }


def test_a_name_is_the_rest_of_the_line() -> None:
    """Two nets whose names begin alike stay two; outer blanks and the blanks behind the keyword go."""
    board = read(
        "*PADS-PCB*\n*NET*\n*SIGNAL*  /Project Architecture/RED \nU1.1 U2.1\n"
        "*SIGNAL* /Project Architecture/GREEN\nU1.2 U2.2\n*SIG* RED 12\nU3.1 U3.2\n*END*\n"
    )
    assert nets(board) == {
        "/Project Architecture/RED": "U1.1 U2.1",
        "/Project Architecture/GREEN": "U1.2 U2.2",
        "RED 12": "U3.1 U3.2",
    }


def test_pins() -> None:
    """As many lines as it takes; the last dot stands before the number, which KiCad may leave empty."""
    board = read("*NET*\n*SIGNAL* A\n U1.2\tU1.AA12\n  J1.5.1   H1.\n\nU10.1\n*END*\n")
    assert nets(board) == {"A": "H1. J1.5.1 U1.2 U1.AA12 U10.1"}
    assert {(pin.part, pin.pin) for pin in board.nets[0].pins} >= {("J1.5", "1"), ("H1", "")}


def test_case_is_kept() -> None:
    assert nets(read("*NET*\n*SIGNAL* Red\nU1.1 u1.1\n*SIGNAL* RED\nU1.2\n*END*\n")) == {
        "RED": "U1.2",
        "Red": "U1.1 u1.1",
    }


def test_words_for_no_connection() -> None:
    board = read("*NET*\n*SIGNAL* N/C\nU1.1 U1.2 U2.5\n*SIGNAL* RED\nU1.3 U2.1\n*END*\n")
    assert nets(board) == {
        "RED": "U1.3 U2.1",
        "unconnected-(U1-Pad1)": "U1.1",
        "unconnected-(U1-Pad2)": "U1.2",
        "unconnected-(U2-Pad5)": "U2.5",
    }
    assert [finding.text for finding in board.findings] == [
        "3 pins are marked as not connected; each is on a net of its own"
    ]


def test_footprints_with_blanks_and_tabs() -> None:
    board = read("*PART*\n  D1 DIODE_LAY 500\nU1\tDIP20\nU2\n*END*\n")
    assert parts(board) == {"D1": ("", "", "DIODE_LAY 500"), "U1": ("", "", "DIP20"), "U2": ("", "", "")}


def test_what_lepton_writes_for_nothing() -> None:
    assert parts(read("*PART*\nA1\tunknown\n*NET*\n*SIGNAL* A\n A1.1\n*END*\n")) == {"A1": ("", "", "")}


def test_kicad_writes_the_value_where_a_footprint_is_missing() -> None:
    """Its list is known by its columns; a case size is no value."""
    lines = [
        "R1               470",
        "R2               Resistor_SMD:R_0805",
        "R3               0805",
        "R4               R3",
        "U1               74LS273",
    ]
    board = read("*PADS-PCB*\n*PART*\n" + "\n".join(lines) + "\n\n*NET*\n*SIGNAL* A\nR1.1 R2.1\n*END*\n")
    assert parts(board) == {
        "R1": ("470", "", ""),
        "R2": ("", "", "Resistor_SMD:R_0805"),
        "R3": ("", "", "0805"),
        "R4": ("", "", "R3"),
        "U1": ("74LS273", "", ""),
    }
    assert [(f.code, f.severity, f.where, f.text) for f in board.findings] == [
        (
            "marking-for-footprint",
            "warning",
            ("R1", "U1"),
            "2 part(s) have no footprint with a library, and KiCad writes the value in its column; it was taken as the "
            "marking: R1 470, U1 74LS273",
        )
    ]
    others = read("*PART*\n" + "\n".join(" ".join(line.split()) for line in lines) + "\n*END*\n")
    assert parts(others)["R1"] == ("", "", "470")
    assert codes(others) == []


def test_other_sections_are_skipped_and_counted() -> None:
    board = read(PARTS + "*CLUSTER*\nA B C\n*MISC* x\n{\n  1 2\n}\n*MISC*\n*REMARK* a remark\n" + NETS)
    assert nets(board) == nets(read(PARTS + NETS))
    assert [finding.text for finding in board.findings] == [
        "clauses that this reader does not know were skipped: CLUSTER x 1, MISC x 2"
    ]


def test_a_file_that_may_be_cut_short() -> None:
    board = read((PARTS + NETS).removesuffix("*END*\n"))
    assert [(f.code, f.severity, f.text) for f in board.findings] == [
        (
            "no-end-mark",
            "warning",
            "f has no *END* at its end; it may be cut short, and parts or pins may be missing",
        )
    ]


def test_a_net_that_stands_twice_is_one_and_said() -> None:
    board = read("*NET*\n*SIGNAL* A\nU1.1\n*SIGNAL* B\nU1.2\n*SIGNAL* A\nU2.1\n*END*\n")
    assert nets(board) == {"A": "U1.1 U2.1", "B": "U1.2"}
    assert [(f.code, f.severity, f.where, f.text) for f in board.findings] == [
        (
            "duplicate-net",
            "warning",
            ("A", "f:6"),
            "net A stands on line 2 and again on line 6; the pins of both are on it",
        )
    ]
