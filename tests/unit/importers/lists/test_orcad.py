"""OrCAD PCB II and KiCad's netlist before version 4: where the reference stands, and pins that are on no net."""

from __future__ import annotations

import pytest

from tests.unit.importers.lists.line_forms import codes, nets, parts
from tracer.importers import detect, parse_netlist
from tracer.netlist.board import Netlist, PinRef

KICAD = """( { EESchema Netlist Version 1.1 created  today }
 ( /4C0FCB4A DIP20  U9 74LS273
  (    2 RED_2 )
  (   11 Net-(U9-CLK) )
  (    3 unconnected-(U9-Q1-Pad3) )
 )
 ( /4C0FCB4B $noname  R5 470
  (    1 RED_2 )
  (    2 RED_OUT )
 )
)
*
"""


def read(text: str) -> Netlist:
    assert detect(text, "f").name == "orcad-pcb2"
    return parse_netlist(text, "f")


def board_of(*lines: str) -> Netlist:
    """Part lines with a pin each, in the head that Altium writes."""
    body = "".join(f" ( {line}\n  ( 1 N{at} )\n )\n" for at, line in enumerate(lines))
    return read("( {OrCAD PCB II Netlist Format}\n" + body + ")\n*\n")


def test_kicad() -> None:
    board = read(KICAD)
    assert nets(board) == {
        "RED_2": "R5.1 U9.2",
        "RED_OUT": "R5.2",
        "Net-(U9-CLK)": "U9.11",
        "unconnected-(U9-Q1-Pad3)": "U9.3",
    }
    assert parts(board) == {"U9": ("74LS273", "", "DIP20"), "R5": ("470", "", "")}
    assert codes(board) == []
    assert [str(part.origin) for part in board.parts] == ["f:7", "f:2"]
    assert [pin.number for pin in board.by_reference["U9"].pins] == ["2", "11", "3"]


def test_kicads_netlist_before_version_4() -> None:
    text = KICAD.replace(
        "( { EESchema Netlist Version 1.1 created  today }",
        "# EESchema Netlist Version 1.1 created  today\n(",
    )
    text = text.replace("74LS273\n", "74LS273 {Lib=74LS273_IEEE}\n")
    text += (
        "{ Allowed footprints by component:\n$component R5\n R?\n SM0603\n$endlist\n$endfootprintlist\n}\n"
    )
    board = read(text)
    assert nets(board) == nets(read(KICAD))
    assert parts(board) == {"U9": ("74LS273", "74LS273_IEEE", "DIP20"), "R5": ("470", "", "")}
    assert codes(board) == []


def test_style_sheet_with_a_comment_of_two_lines() -> None:
    text = (
        KICAD.replace("created  today", "today\neeschema (2010-08-17)\n")
        .replace("  U9", " U9")
        .replace("  R5", " R5")
    )
    assert parts(read(text)) == parts(read(KICAD))


def test_a_question_mark_is_no_net() -> None:
    """Also with a number behind it, and for several pins: each is on a net of its own."""
    board = read(KICAD.replace("Net-(U9-CLK)", "?").replace("unconnected-(U9-Q1-Pad3)", "?12"))
    assert nets(board) == {
        "RED_2": "R5.1 U9.2",
        "RED_OUT": "R5.2",
        "unconnected-(U9-Pad3)": "U9.3",
        "unconnected-(U9-Pad11)": "U9.11",
    }
    assert codes(board) == ["no-connect-joined"]


def test_a_pin_without_a_net_is_declared() -> None:
    board = read(KICAD.replace("(    3 unconnected-(U9-Q1-Pad3) )", "(    3 )"))
    assert PinRef("U9", "3") not in board.nets_of_pins
    assert "3" in board.pins_of_parts["U9"]


def test_a_pin_without_a_number() -> None:
    """KiCad fills a number up to four columns; what stands behind them is the net."""
    board = read(" (  {x}\n ( 0 MountingHole  H1 M3\n  (      GND )\n )\n)\n".lstrip())
    assert board.nets[0].name == "GND"
    assert board.nets[0].pins == (PinRef("H1", ""),)


def test_names_with_blanks_and_brackets() -> None:
    """A net's name is the rest of the line: two that begin alike stay two."""
    board = read(KICAD.replace("RED_2", "/My Board/RED (2)").replace("RED_OUT", "/My Board/RED"))
    assert nets(board)["/My Board/RED (2)"] == "R5.1 U9.2"
    assert nets(board)["/My Board/RED"] == "R5.2"


def test_altium_leaves_blanks_in() -> None:
    """The word of a reference's shape that no other line has is the reference."""
    board = board_of(
        "00000001 DIP SOCKET 20 U9 74LS273 octal",
        "00000002 TWO WORD FOOTPRINT X5 VALUE IN WORDS",
        "00000003 RAD0.1 C1 100nF 63V",
        "00000004 RAD0.1 C2 100nF 63V",
        "00000005 C0805 C3 ",
    )
    assert parts(board) == {
        "U9": ("74LS273 octal", "", "DIP SOCKET 20"),
        "X5": ("VALUE IN WORDS", "", "TWO WORD FOOTPRINT"),
        "C1": ("100nF 63V", "", "RAD0.1"),
        "C2": ("100nF 63V", "", "RAD0.1"),
        "C3": ("", "", "C0805"),
    }
    assert codes(board) == []


def test_a_net_named_after_the_part_proves_the_reference() -> None:
    board = read("( {OrCAD PCB II Netlist Format}\n ( 1 SOT 23 Q1 BC 547 B1 X2\n  ( 1 NetX2_1 )\n )\n)\n")
    assert parts(board) == {"X2": ("", "", "SOT 23 Q1 BC 547 B1")}


def test_a_net_named_after_the_value_proves_nothing_where_kicads_columns_tell() -> None:
    board = read(KICAD.replace("R5 470", "R5 U9").replace("(    1 RED_2 )", "(    1 NetU9_1 )"))
    assert parts(board)["R5"] == ("U9", "", "")


def test_several_words_could_be_the_reference() -> None:
    board = board_of("1 MY PART U1 R2 X")
    assert [(f.code, f.severity, f.where, f.text) for f in board.findings] == [
        (
            "reference-guessed",
            "warning",
            ("U1", "f:2"),
            "line 2 has several words that could be the reference (U1, R2); U1 was taken",
        )
    ]
    assert parts(board) == {"U1": ("R2 X", "", "MY PART")}


@pytest.mark.parametrize("line", ["1 $noname U? 74LS00", "1 DIP14  U? 74LS00"])
def test_parts_without_a_number(line: str) -> None:
    assert list(parts(board_of(line))) == ["U?"]


def test_two_parts_of_one_name() -> None:
    board = board_of("1 DIP14  J2 A", "2 DIP14  J2 B")
    assert parts(board) == {"J2": ("A", "", "DIP14")}
    assert nets(board) == {"N0": "J2.1", "N1": "J2.1"}
    assert codes(board) == ["duplicate-part"]
