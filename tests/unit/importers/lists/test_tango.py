"""Tango and Protel netlists, and Protel 2: a line holds its place, whatever stands in it."""

from __future__ import annotations

import pytest

from tests.unit.importers.lists.line_forms import codes, nets, parts
from tracer.importers import detect, parse_netlist
from tracer.netlist.board import Netlist, Pin

TANGO = """[
U9
DIP20
74LS273
74LS273N


]
[
R5
R_0805

470

]
(
RED_2
U9-2
R5-1
)
(
RED OUT
R5-2
CN-1-12
)
"""


def read(text: str, form: str = "tango") -> Netlist:
    assert detect(text, "f").name == form
    return parse_netlist(text, "f")


def test_tango() -> None:
    board = read(TANGO)
    assert nets(board) == {"RED_2": "R5.1 U9.2", "RED OUT": "CN-1.12 R5.2"}
    assert parts(board) == {"U9": ("74LS273N", "74LS273", "DIP20"), "R5": ("470", "", "R_0805")}
    assert codes(board) == []
    assert [str(part.origin) for part in board.parts] == ["f:10", "f:2"]
    assert [str(net.origin) for net in board.nets] == ["f:22", "f:17"]


def test_a_comma_before_the_pin() -> None:
    text = TANGO.replace("U9-2", "U9,2").replace("R5-", "R5,").replace("CN-1-12", "CN-1,12")
    assert nets(read(text)) == nets(read(TANGO))


def test_altium_gives_the_value_in_the_third_line() -> None:
    board = read("[\nU1\nDIP 20\n74LS273\n\n\n\n]\n[\nC1\nRAD0.1\n\n\n\n\n]\n(\nA\nU1-1\nC1-1\n)\n")
    assert parts(board) == {"U1": ("74LS273", "", "DIP 20"), "C1": ("", "", "RAD0.1")}


def test_what_lepton_writes_for_nothing() -> None:
    assert parts(read("[\nA1\nunknown\nINPUT\nunknown\n\n]\n[\nA2\nPATTERN\nOUT\n\n\n]\n")) == {
        "A1": ("", "INPUT", ""),
        "A2": ("OUT", "", ""),
    }


def test_what_stands_outside_of_brackets_is_comment() -> None:
    assert nets(read("A netlist (of 1987)\n" + TANGO + "\nthe end ]\n")) == nets(read(TANGO))


def test_blanks_round_brackets_and_lines() -> None:
    text = "\n".join(f"  {line}\t" for line in TANGO.split("\n")[:-1])
    assert nets(read(text + "\n")) == nets(read(TANGO))
    assert parts(read(text + "\n")) == parts(read(TANGO))


def test_a_net_alone() -> None:
    assert nets(read("(\nRED\nU1-1\nU2-2\n)\n")) == {"RED": "U1.1 U2.2"}


def test_nets_without_pins_parts_without_nets_and_one_pin() -> None:
    board = read("[\nU1\n\n\n\n]\n(\nEMPTY\n)\n(\nONE\nU1-1\n)\n")
    assert nets(board) == {"EMPTY": "", "ONE": "U1.1"}
    assert parts(board) == {"U1": ("", "", "")}


@pytest.mark.parametrize("word", ["N/C", "NC", "?", "no_connect"])
def test_words_for_no_connection(word: str) -> None:
    assert nets(read(f"(\n{word}\nU1-1\nU1-2\n)\n")) == {
        "unconnected-(U1-Pad1)": "U1.1",
        "unconnected-(U1-Pad2)": "U1.2",
    }


def test_a_bracket_in_a_name_is_no_bracket() -> None:
    board = read("(\n(RED)\nU1-1\nU2-1\n)\n(\nD[0]\nU1-2\nU2-2\n)\n")
    assert nets(board) == {"(RED)": "U1.1 U2.1", "D[0]": "U1.2 U2.2"}


def test_two_parts_of_one_name_and_a_net_that_comes_again() -> None:
    board = read("[\nJ2\n\nA\n\n]\n[\nJ2\n\nB\n\n]\n(\nN\nJ2-1\n)\n(\nN\nJ2-2\n)\n")
    assert parts(board) == {"J2": ("A", "", "")}
    assert nets(board) == {"N": "J2.1 J2.2"}
    assert codes(board) == ["duplicate-net", "duplicate-part"]


SECOND = """PROTEL NETLIST 2.0
[
DESIGNATOR
U9
FOOTPRINT
DIP20
PARTTYPE
74LS273
DESCRIPTION
*
Part Field 1
*
LIBRARYFIELD1

]
[
DESIGNATOR
R5
FOOTPRINT
*
PARTTYPE
470
]
(
RED_2
U9-2 74273-1Q OUTPUT
R5-1 RES-1 PASSIVE
)
(
CLK
U9-11 74273-CLK INPUT
)
"""


def test_protel_2() -> None:
    board = read(SECOND, "protel2")
    assert nets(board) == {"RED_2": "R5.1 U9.2", "CLK": "U9.11"}
    assert parts(board) == {"U9": ("74LS273", "74273", "DIP20"), "R5": ("470", "RES", "")}
    assert board.by_reference["U9"].pins == (Pin("2", "1Q", "output"), Pin("11", "CLK", "input"))
    assert board.by_reference["R5"].pins == (Pin("1", "", "passive"),)
    assert codes(board) == []


def test_protel_2_of_a_writer_that_knows_no_directions() -> None:
    """Lepton calls every pin passive: that says nothing."""
    board = read(SECOND.replace("OUTPUT", "PASSIVE").replace("INPUT", "PASSIVE"), "protel2")
    assert board.by_reference["U9"].pins == (Pin("2", "1Q"), Pin("11", "CLK"))
    assert board.by_reference["R5"].pins == ()


@pytest.mark.parametrize(
    ("word", "kind"),
    [
        ("IO", "bidirectional"),
        ("HIZ", "tri_state"),
        ("OPEN_COLLECTOR", "open_collector"),
        ("POWER", "power_in"),
    ],
)
def test_protel_2_directions(word: str, kind: str) -> None:
    board = read(SECOND.replace("OUTPUT", word), "protel2")
    assert board.by_reference["U9"].pins[0] == Pin("2", "1Q", kind)


def test_protel_2_with_words_that_are_not_known() -> None:
    """A kind that is not known is none; a label that is not known is counted; a name may hold blanks and dashes."""
    text = (
        SECOND.replace("1Q OUTPUT", "1Q SIDEWAYS")
        .replace("DESCRIPTION", "COLOUR")
        .replace("CLK INPUT", "A-B INPUT")
    )
    board = read(text, "protel2")
    assert board.by_reference["U9"].pins[0].kind == ""
    assert [f.text for f in board.findings] == [
        "clauses that this reader does not know were skipped: * x 1, COLOUR x 1"
    ]
    assert nets(board) == nets(read(SECOND, "protel2"))


def test_protel_2_without_descriptions_of_pins() -> None:
    assert nets(read("PROTEL NETLIST 2.0\n(\nA\nU1-1\nU2-1\n)\n", "protel2")) == {"A": "U1.1 U2.1"}
