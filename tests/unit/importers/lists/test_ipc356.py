"""IPC-D-356 and 356A: columns, records that carry on, aliases of three kinds, and names that may be cut."""

from __future__ import annotations

import pytest

from tests.unit.importers.lists.line_forms import codes, nets
from tracer.importers import detect, parse_netlist
from tracer.netlist.board import Netlist


def record(net: str, part: str, pin: str, code: str = "317") -> str:
    """A record with its parts in the columns that the form has for them."""
    return f"{code}{net:<14}   {part:<6}-{pin:<4} D0354PA00X+012500Y-003150X0600Y0600R000S0"


HEAD = "C  a comment\nP  JOB   board\nP  CODE 00\nP  UNITS CUST 0\n"


def text_of(*records: str, end: str = "999\n") -> str:
    return HEAD + "\n".join(records) + "\n" + end


def read(text: str) -> Netlist:
    assert detect(text, "f").name == "ipc-d-356"
    return parse_netlist(text, "f")


def test_records() -> None:
    board = read(
        text_of(record("RED_2", "U9", "2"), record("RED_2", "R5", "1", "327"), record("GND", "J1", "AA12"))
    )
    assert nets(board) == {"RED_2": "R5.1 U9.2", "GND": "J1.AA12"}
    assert [part.reference for part in board.parts] == ["J1", "R5", "U9"]
    assert [str(part.origin) for part in board.parts] == ["f:7", "f:6", "f:5"]
    assert codes(board) == []


def test_a_head_of_blanks_and_a_first_record_far_below() -> None:
    lines = [
        " " * 78,
        *(f"C  comment {n}" for n in range(400)),
        record("A", "U1", "1"),
        record("A", "U2", "1"),
    ]
    assert nets(read("\n".join([*lines, "999", ""]))) == {"A": "U1.1 U2.1"}


def test_vias_tracks_and_pads_that_come_again() -> None:
    """Two pads of one leg are one pin; a via is no part."""
    via = "317RED              VIA        MD0118PA00X+000000Y+000000X0197Y0000R000S3"
    records = [
        record("RED", "U1", "1"),
        record("RED", "U1", "1", "327"),
        via,
        record("RED", "VIA", ""),
        record("RED", "R1", "2"),
    ]
    board = read(text_of(*records, "378RED            L1", "389BOARD_EDGE     X000"))
    assert nets(board) == {"RED": "R1.2 U1.1"}
    assert [part.reference for part in board.parts] == ["R1", "U1"]
    assert codes(board) == []


def test_a_record_that_carries_on_the_one_above() -> None:
    board = read(
        text_of(
            record("RED", "U1", "1"),
            record("", "R1", "2", "017"),
            record("", "R2", "1", "027"),
            record("GND", "U1", "7"),
        )
    )
    assert nets(board) == {"RED": "R1.2 R2.1 U1.1", "GND": "U1.7"}


def test_no_net() -> None:
    """A leg with copper on one of several pads is on that net."""
    records = [
        record("N/C", "U1", "1"),
        record("N/C", "U1", "2"),
        record("N/C", "U1", "3"),
        record("GND", "U1", "3"),
    ]
    board = read(text_of(*records))
    assert nets(board) == {
        "GND": "U1.3",
        "unconnected-(U1-Pad1)": "U1.1",
        "unconnected-(U1-Pad2)": "U1.2",
    }
    assert codes(board) == ["no-connect-joined"]


LONG = "/My Board/A NET WITH A LONG NAME"


@pytest.mark.parametrize(
    ("line", "alias"),
    [
        ("P  NNAME1 {}", "NNAME1"),
        ("P  NNAMEm0001 {}", "NNAMEm0001"),
        ("C  NNAMEm0001 {}", "NNAMEm0001"),
        ("P   NNAME00001    {}  ", "NNAME00001"),
    ],
    ids=["Eagle", "Allegro, 356A", "Allegro, 356", "wider"],
)
@pytest.mark.parametrize("is_above", [True, False])
def test_aliases(line: str, alias: str, is_above: bool) -> None:
    told = line.format(LONG)
    records = [record(alias, "U1", "1"), record(alias, "R1", "1"), record("GND", "U1", "2")]
    board = read(text_of(*([told, *records] if is_above else [*records, told])))
    assert nets(board) == {LONG: "R1.1 U1.1", "GND": "U1.2"}
    assert codes(board) == []


def test_an_alias_that_nothing_explains() -> None:
    board = read(text_of(record("NNAMEm0001", "U1", "1"), record("NNAMEm0002", "U1", "2")))
    assert nets(board) == {"NNAMEm0001": "U1.1", "NNAMEm0002": "U1.2"}
    assert [(f.code, f.severity, f.text) for f in board.findings] == [
        (
            "nameless-alias",
            "note",
            "2 alias(es) of nets are not explained: NNAMEm0001, NNAMEm0002; they are used as names",
        )
    ]


def test_aliases_that_contradict_join_nothing() -> None:
    """Two aliases of one name, a name that is also another net's, and an alias that is explained twice."""
    lines = ["P  NNAME1 RED", "P  NNAME2 RED", "P  NNAME3 GND", "P  NNAME4 A", "P  NNAME4 B"]
    nets_of = ["NNAME1", "NNAME2", "NNAME3", "NNAME4", "GND"]
    board = read(text_of(*lines, *(record(net, "U1", str(n)) for n, net in enumerate(nets_of, 1))))
    assert nets(board) == {
        "RED": "U1.1",
        "RED (NNAME2)": "U1.2",
        "GND (NNAME3)": "U1.3",
        "A (NNAME4)": "U1.4",
        "GND": "U1.5",
    }
    assert codes(board) == ["contradiction"] * 3


def test_a_long_reference_pushes_the_columns() -> None:
    board = read(text_of(record("RED", "COMMUNICATION-1", "12"), record("RED", "U1", "1")))
    assert {(pin.part, pin.pin) for pin in board.nets[0].pins} == {("COMMUNICATION-1", "12"), ("U1", "1")}
    assert codes(board) == []


def test_a_reference_that_may_be_cut() -> None:
    board = read(text_of(record("RED", "CLKOUT", "1"), record("GND", "CLKOUT", "1")))
    assert [(f.code, f.severity, f.where, f.text) for f in board.findings] == [
        (
            "cut-name",
            "warning",
            ("CLKOUT",),
            "1 reference(s) fill their six columns and may be cut (CLKOUT); two parts could have become one",
        )
    ]
    assert nets(board) == {"RED": "CLKOUT.1", "GND": "CLKOUT.1"}


def test_net_names_that_may_be_cut() -> None:
    """KiCad keeps its own apart, which its file shows; of others nothing is known."""
    records = [record("ARD/RED_BUS_12", "U1", "1"), record("ARD/RED_BUS_#1", "U1", "2")]
    others = read(text_of(*records))
    assert [(f.code, f.severity) for f in others.findings] == [("cut-name", "warning")]
    assert "two nets could have become one" in others.findings[0].text
    kicads = read(text_of("P  arrayDim   N", *records))
    assert [(f.code, f.severity) for f in kicads.findings] == [("cut-name", "note")]
    assert nets(kicads) == nets(others) == {"ARD/RED_BUS_12": "U1.1", "ARD/RED_BUS_#1": "U1.2"}


def test_what_kicad_left_of_a_made_name_is_no_colour() -> None:
    """Of ``Net-(U12-VIDEO_RED)`` the last 14 letters are left; another program's name of brackets is a name."""
    made = ["12-VIDEO_RED_)", "-(U12-GREEN_1)", "et-(RN12-R1.1)", "d-(U12-BLUE_2)"]
    records = [record(name, "U1", str(n)) for n, name in enumerate(made)]
    records += [record("VIDEO/RED(OUT)", "U2", "1"), record("RED)", "U2", "2")]
    kicads = read(text_of("P  arrayDim   N", *records))
    assert {net.name for net in kicads.nets if net.is_named} == {"VIDEO/RED(OUT)", "RED)"}
    assert all(net.is_named for net in read(text_of(*records)).nets)


def test_an_alias_that_nothing_explains_is_no_name() -> None:
    board = read(text_of("P  NNAME2 RED", record("NNAME1", "U1", "1"), record("NNAME2", "U1", "2")))
    assert {net.name: net.is_named for net in board.nets} == {"NNAME1": False, "RED": True}


def test_names_with_blanks() -> None:
    board = read(text_of(record("RED A", "U1", "1"), record("RED B", "U1", "2")))
    assert nets(board) == {"RED A": "U1.1", "RED B": "U1.2"}


def test_parts_without_a_pin_and_holes() -> None:
    board = read(text_of(record("", "H1", "", "367"), record("A", "U1", "1")))
    assert [part.reference for part in board.parts] == ["H1", "U1"]
    assert nets(board) == {"A": "U1.1"}


def test_a_file_that_may_be_cut_short() -> None:
    assert codes(read(text_of(record("A", "U1", "1"), end=""))) == ["no-end-mark"]


def test_other_lines_are_skipped_and_counted() -> None:
    board = read(text_of(record("A", "U1", "1"), "garbage here", "garbage there"))
    assert [f.text for f in board.findings] == [
        "clauses that this reader does not know were skipped: gar x 2"
    ]


# -- where parts sit -----------------------------------------------------------------------------------


def pads(board: Netlist, reference: str) -> list[tuple[str, float, float]]:
    spot = board.by_reference[reference].spot
    assert spot is not None
    return [(pad.pin, pad.x, pad.y) for pad in spot.pads]


@pytest.mark.parametrize(
    ("units", "place"),
    [
        ("CUST 0", (31.75, 8.001)),
        ("CUST 2", (31.75, 8.001)),
        ("CUST 1", (12.5, 3.15)),
        ("SI", (12.5, 3.15)),
    ],
)
def test_places_are_in_the_units_that_the_head_tells_with_y_down(
    units: str, place: tuple[float, float]
) -> None:
    text = text_of(record("RED_2", "U9", "2")).replace("CUST 0", units)
    assert pads(read(text), "U9") == [("2", *place)]


def test_the_first_place_of_a_pin_counts_and_a_long_reference_pushes_it_on() -> None:
    again = record("A", "U1", "1").replace("012500", "000000")
    pushed = "317A                 CONNECTOR1-1    D0354PA00X+000100Y+000200X0600Y0600R000S0"
    board = read(text_of(record("A", "U1", "1"), again, pushed))
    assert pads(board, "U1") == [("1", 31.75, 8.001)]
    assert pads(board, "CONNECTOR1") == [("1", 0.254, -0.508)]


def test_a_part_with_every_pad_on_the_last_layer_sits_below() -> None:
    below = record("A", "U1", "1", "327").replace("A00", "A02")
    above = record("A", "U2", "1", "327").replace("A00", "A01")
    through = record("A", "U3", "1")
    board = read(text_of(below, above, through))
    assert [part.reference for part in board.parts if part.spot and part.spot.is_below] == ["U1"]


def test_the_edge_goes_on_over_lines_and_leaves_out_what_is_as_before() -> None:
    board = read(
        text_of(
            record("A", "U1", "1"),
            "389BOARD_EDGE        X+000000Y+000000 X+010000",
            "089                  Y+005000",
            "389SCORE_LINE        X+000000Y+000000 X+010000",
        )
    )
    assert board.outline == (((0, 0), (25.4, 0)), ((25.4, 0), (25.4, -12.7)))
