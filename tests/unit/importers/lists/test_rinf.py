"""RINF of CadStar, as KiCad, its style sheet and Altium write it."""

from __future__ import annotations

import pytest

from tests.unit.importers.lists.line_forms import codes, nets, parts
from tracer.importers import detect, parse_netlist
from tracer.netlist.board import Netlist, PinRef

KICAD = """.HEA
.TIM today
.APP "KiCad"
.TYP FULL

.ADD_COM     U9     "74LS273"     "DIP20"
.ADD_COM     R5     "4k7 1%"

.ADD_TER     U9   2     "RED 2"
.TER         R5   1
             R6   1

.ADD_TER     R5   2     "RED OUT"
.END
"""
STYLE_SHEET = """.HEA
.ADD_COM U9 74LS273  DIP20
.ADD_COM R5 4k7 1%
.ADD_TER U9.2 RED 2
.TER R5.1
R6.1
.ADD_TER R5.2 RED OUT
.END
"""


def read(text: str) -> Netlist:
    assert detect(text, "f").name == "rinf"
    return parse_netlist(text, "f")


@pytest.mark.parametrize("text", [KICAD, STYLE_SHEET], ids=["KiCad", "style sheet"])
def test_what_kicad_writes(text: str) -> None:
    board = read(text)
    assert nets(board) == {"RED 2": "R5.1 R6.1 U9.2", "RED OUT": "R5.2"}
    assert parts(board) == {"U9": ("74LS273", "", "DIP20"), "R5": ("4k7 1%", "", "")}
    assert codes(board) == []


def test_places() -> None:
    board = read(KICAD)
    assert [str(part.origin) for part in board.parts] == ["f:7", "f:6"]
    assert [str(net.origin) for net in board.nets] == ["f:9", "f:13"]


@pytest.mark.parametrize("fact", ["Value", "Comment", "VALUE"])
def test_altium_gives_the_value_as_a_fact(fact: str) -> None:
    """The word of ``.ADD_COM`` is then the library's name of the part."""
    text = KICAD.replace(
        '"74LS273"     "DIP20"', f'"CMP-0815"\n.ATT_COM U9 "{fact}" "74LS273"\n.ATT_COM U9 "Colour" "black"'
    )
    assert parts(read(text))["U9"] == ("74LS273", "CMP-0815", "")


def test_of_two_facts_the_value_counts() -> None:
    text = KICAD.replace(
        '"74LS273"     "DIP20"', '"X"\n.ATT_COM U9 "Comment" "=Value"\n.ATT_COM U9 "Value" "74LS273"'
    )
    assert parts(read(text))["U9"] == ("74LS273", "X", "")


def test_quotes_inside_of_a_text() -> None:
    board = read('.ADD_COM D1 "5mm"red" "LED"\n.ADD_TER D1 1 "A "B" C"\n.TER D1 2\n.END\n')
    assert parts(board) == {"D1": ('5mm"red', "", "LED")}
    assert nets(board) == {'A "B" C': "D1.1 D1.2"}


def test_pins_in_one_word_have_their_number_behind_the_last_dot() -> None:
    board = read(".ADD_TER J1.5.A1 RED\n.TER U1.2\n.END\n")
    assert board.nets[0].pins == (PinRef("J1.5", "A1"), PinRef("U1", "2"))


def test_other_keywords_are_skipped_and_counted() -> None:
    board = read(KICAD.replace(".END", ".FIX\nx y\n.GATE U9\n.FIX\n.END\nbehind the end"))
    assert nets(board) == nets(read(KICAD))
    assert [f.text for f in board.findings] == [
        "clauses that this reader does not know were skipped: .FIX x 2, .GATE x 1"
    ]


def test_a_file_that_may_be_cut_short() -> None:
    assert codes(read(KICAD.removesuffix(".END\n"))) == ["no-end-mark"]


def test_words_for_no_connection_and_a_net_that_comes_again() -> None:
    board = read('.ADD_TER U1 1 "N/C"\n.TER U1 2\n.ADD_TER U1 3 "A"\n.ADD_TER U1 4 "A"\n.END\n')
    assert nets(board) == {
        "A": "U1.3 U1.4",
        "unconnected-(U1-Pad1)": "U1.1",
        "unconnected-(U1-Pad2)": "U1.2",
    }
    assert codes(board) == ["duplicate-net", "no-connect-joined"]
