"""Telesis: quotes, lines that are carried on, and what KiCad makes of names."""

from __future__ import annotations

import pytest

from tests.unit.importers.lists.line_forms import codes, nets, parts
from tracer.importers import detect, parse_netlist
from tracer.netlist.board import Netlist, PinRef

LEPTON = """(Allegro netlister)
$PACKAGES
DIP20! 74LS273! 74LS273N; U9
R_0805! RESISTOR! 470; R5 R6
$NETS
RED_2; U9.2,
 R5.1
RED_OUT; R5.2 R6.1
$END
"""
KICAD = """(Source: board.kicad_sch)
(Date: today)
!74ls273_dip20!74LS273;,
\tU9,
\tU10
!'r_us'!'4.7K 1%';,
\tR5
$NETS
'NET-(U9-Q0)';,
\tR5.1,
\tU9.2
'/RED+ MIX';,
\tU10.'A 1',
\tR5.2
'UNCONNECTED-(U9-Q1-PAD3)';,
\tU9.3
$PACKAGES
$A_PROPERTIES
ROOM /;,
\tU9,
\tU10
"""


def read(text: str) -> Netlist:
    assert detect(text, "f").name == "telesis"
    return parse_netlist(text, "f")


def test_lepton() -> None:
    board = read(LEPTON)
    assert nets(board) == {"RED_2": "R5.1 U9.2", "RED_OUT": "R5.2 R6.1"}
    assert parts(board) == {
        "U9": ("74LS273N", "74LS273", "DIP20"),
        "R5": ("470", "RESISTOR", "R_0805"),
        "R6": ("470", "RESISTOR", "R_0805"),
    }
    assert codes(board) == []
    assert [str(net.origin) for net in board.nets] == ["f:6", "f:8"]


def test_kicad() -> None:
    """Its devices are made up of value and footprint, and say nothing; its end has no mark, as another section follows."""
    board = read(KICAD)
    assert nets(board) == {
        "NET-(U9-Q0)": "R5.1 U9.2",
        "/RED+ MIX": "R5.2 U10.A 1",
        "unconnected-(U9-Q1-PAD3)": "U9.3",
    }
    assert parts(board) == {
        "U9": ("74LS273", "", ""),
        "U10": ("74LS273", "", ""),
        "R5": ("4.7K 1%", "r_us", ""),
    }
    assert codes(board) == []


def test_a_lone_device_is_the_marking() -> None:
    assert parts(read("$PACKAGES\nDIP20! 74LS273; U9\n! 470; R5\n$NETS\n$END\n")) == {
        "U9": ("74LS273", "", "DIP20"),
        "R5": ("470", "", ""),
    }


def test_tolerance_is_not_read() -> None:
    assert parts(read("$PACKAGES\nR_0805! RES! 470! 5%; R5\n$End\n")) == {"R5": ("470", "RES", "R_0805")}


def test_quotes() -> None:
    """Marks and blanks in quotes are letters: no net is cut off at them."""
    board = read(
        "$PACKAGES\n'a!b;c'! '74 LS'; 'U 9'\n$NETS\n'RED; 1'; U9.2 'U 9'.3\n'RED, 2'; 'U 9.4',\n U9.'5.1'\n$END\n"
    )
    assert parts(board) == {"U 9": ("74 LS", "", "a!b;c")}
    assert {net.name: set(net.pins) for net in board.nets} == {
        "RED; 1": {PinRef("U 9", "3"), PinRef("U9", "2")},
        "RED, 2": {PinRef("U 9", "4"), PinRef("U9", "5.1")},
    }


def test_blanks_and_commas_part_pins() -> None:
    board = read("$NETS\nA ;U1.1,U2.1 ,U3.1\n  B; U1.2\tU2.2,  \n U3.2\n$END\n")
    assert nets(board) == {"A": "U1.1 U2.1 U3.1", "B": "U1.2 U2.2 U3.2"}


def test_sections_that_say_nothing_of_nets() -> None:
    text = LEPTON.replace("$NETS", "$A_PROPERTIES\nROOM /;,\n\tU1\n$FUNCTIONS\nx; y\n$NETS").replace(
        "$END", "$SCHEDULE\nA; U1.1\n$End"
    )
    board = read(text)
    assert nets(board) == nets(read(LEPTON))
    assert codes(board) == []


def test_a_file_that_may_be_cut_short() -> None:
    board = read(LEPTON.removesuffix("$END\n"))
    assert [(f.code, f.severity) for f in board.findings] == [("no-end-mark", "warning")]
    assert "has no $END at its end" in board.findings[0].text


@pytest.mark.parametrize("word", ["NC", "'N/C'", "'?'"])
def test_words_for_no_connection(word: str) -> None:
    assert nets(read(f"$NETS\n{word}; U1.1 U1.2\n$END\n")) == {
        "unconnected-(U1-Pad1)": "U1.1",
        "unconnected-(U1-Pad2)": "U1.2",
    }


def test_a_net_that_stands_twice_is_one_and_said() -> None:
    board = read("$NETS\nA; U1.1\nA; U2.1\n$END\n")
    assert nets(board) == {"A": "U1.1 U2.1"}
    assert codes(board) == ["duplicate-net"]


def test_nets_without_pins_and_pins_without_numbers() -> None:
    board = read("$NETS\nEMPTY;\nGND; H1. U1.2\n$END\n")
    assert {net.name: net.pins for net in board.nets} == {
        "EMPTY": (),
        "GND": (PinRef("H1", ""), PinRef("U1", "2")),
    }
