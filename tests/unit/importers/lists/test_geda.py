"""Lists of gEDA and Lepton: geda, tEDAx, and the netlist of gEDA PCB."""

from __future__ import annotations

import pytest

from tests.unit.importers.lists.line_forms import codes, nets, parts
from tracer.importers import detect, parse_netlist
from tracer.netlist.board import Netlist, Pin, PinRef

GEDA = """START header

gEDA's netlist format

END header

START components

U9 device=74LS273
R5 device=RESISTOR
A1 device=unknown

END components

START renamed-nets

a -> b

END renamed-nets

START nets

RED_2 : U9 2, R5 1
RED : OUT : R5 2, A1 1

END nets
"""
TEDAX = """tEDAx v1
# a comment
begin netlist v1 board

 footprint U9 DIP 20
 device U9 74LS273
 value U9 SN74LS273N
 value R5 470
 pinname U9 2 1Q
 conn RED\\ 2 U9 2
 conn RED\\ 2 R5 1
 conn RED\\\\ R5 2
 nettag RED\\ 2 kind signal

end netlist
"""
PCB = """# a netlist
RED_2\tU9-2 R5-1 \\
 R8-1
RED OUT\tR5-2 CN-1-12
GND\tsignal U9-10
"""


def read(text: str, form: str) -> Netlist:
    assert detect(text, "f").name == form
    return parse_netlist(text, "f")


def test_geda() -> None:
    """The device is the symbol; a colon in a net's name is a letter."""
    board = read(GEDA, "geda")
    assert nets(board) == {"RED_2": "R5.1 U9.2", "RED : OUT": "A1.1 R5.2"}
    assert parts(board) == {"U9": ("", "74LS273", ""), "R5": ("", "RESISTOR", ""), "A1": ("", "", "")}
    assert codes(board) == []
    assert [str(net.origin) for net in board.nets] == ["f:24", "f:23"]


@pytest.mark.parametrize("head", ["START ", "START colours", "START colours of 1987"])
def test_geda_sections_that_are_not_known(head: str) -> None:
    board = parse_netlist(f"{head}\nU9 red\nEND colours\n{GEDA}", "f", format_name="geda")
    assert nets(board) == nets(read(GEDA, "geda"))
    known = " ".join(head.split()[:2])
    told = f"clauses that this reader does not know were skipped: {known} x 1"
    assert [f.text for f in board.findings] == [told]


def test_geda_with_a_net_called_end_and_one_without_pins() -> None:
    text = "START components\nEND components\nSTART nets\nEND : U1 1, U2 1\nEMPTY : \nEND nets\n"
    assert nets(read(text, "geda")) == {"END": "U1.1 U2.1", "EMPTY": ""}


def test_tedax() -> None:
    board = read(TEDAX, "tedax")
    assert nets(board) == {"RED 2": "R5.1 U9.2", "RED\\": "R5.2"}
    assert parts(board) == {"U9": ("SN74LS273N", "74LS273", "DIP 20"), "R5": ("470", "", "")}
    assert board.by_reference["U9"].pins == (Pin("2", "1Q"),)
    assert codes(board) == []


def test_tedax_blocks_of_other_kinds_and_lines_that_are_not_known() -> None:
    text = TEDAX.replace("begin netlist", "begin footprint v1 x\n line 1 2\nend footprint\nbegin netlist")
    board = read(text.replace(" nettag", " colour U9 red\n nettag"), "tedax")
    assert nets(board) == nets(read(TEDAX, "tedax"))
    assert [f.text for f in board.findings] == [
        "clauses that this reader does not know were skipped: begin footprint x 1, colour x 1"
    ]


def test_geda_pcb() -> None:
    """Parts of the nets count as declared; a word behind the name may be the style of the tracks."""
    board = read(PCB, "geda-pcb")
    assert nets(board) == {"RED_2": "R5.1 R8.1 U9.2", "RED OUT": "CN-1.12 R5.2", "GND": "U9.10"}
    assert list(parts(board)) == ["CN-1", "R5", "R8", "U9"]
    assert codes(board) == []
    assert str(board.by_reference["R8"].origin) == "f:2"


def test_geda_pcb_with_a_blank_behind_the_name() -> None:
    assert nets(parse_netlist("RED U9-2 R5-1\n", "f", format_name="geda-pcb")) == {"RED": "R5.1 U9.2"}


@pytest.mark.parametrize(
    ("text", "form"),
    [
        ("START nets\nN/C : U1 1, U1 2\nEND nets\n", "geda"),
        ("tEDAx v1\nbegin netlist v1 a\nconn NC U1 1\nconn NC U1 2\nend netlist\n", "tedax"),
        ("NC\tU1-1 U1-2\n", "geda-pcb"),
    ],
)
def test_words_for_no_connection(text: str, form: str) -> None:
    board = read(text, form)
    assert nets(board) == {"unconnected-(U1-Pad1)": "U1.1", "unconnected-(U1-Pad2)": "U1.2"}
    assert codes(board) == ["no-connect-joined"]


@pytest.mark.parametrize(
    ("text", "form"),
    [("START nets\nA : U1 1\nA : U1 2\nEND nets\n", "geda"), ("A\tU1-1\nB\tU2-1\nA\tU1-2\n", "geda-pcb")],
)
def test_a_net_that_stands_twice_is_one_and_said(text: str, form: str) -> None:
    board = read(text, form)
    assert nets(board)["A"] == "U1.1 U1.2"
    assert codes(board) == ["duplicate-net"]


def test_pins_whose_numbers_have_dashes_or_dots() -> None:
    board = parse_netlist("A\tU1-A.1 X--\n", "f", format_name="geda-pcb")
    assert board.nets[0].pins == (PinRef("U1", "A.1"), PinRef("X", "-"))
