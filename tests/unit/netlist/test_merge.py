"""Several inputs for one board, and boards joined by cables."""

from __future__ import annotations

import pytest

from tests.boards import board
from tracer.base.errors import PinNotFoundError, UsageError
from tracer.netlist.board import Input, Netlist, Origin, Part, Pin, PinRef, make_netlist
from tracer.netlist.merge import Join, join_boards, merge_netlists, parse_join


def nets(netlist: Netlist) -> dict[str, str]:
    return {net.name: " ".join(map(str, net.pins)) for net in netlist.nets}


def merge(*texts: str) -> Netlist:
    return merge_netlists([board(text, name) for text, name in zip(texts, "ABC", strict=False)])


# One board out of several descriptions.


@pytest.mark.parametrize(
    ("first", "later", "expected"),
    [
        pytest.param("X: U1.1 U2.1", "X: U1.1 U3.1", {"X": "U1.1 U2.1 U3.1"}, id="pins are added"),
        pytest.param("X: U1.1 U2.1", "Y: U1.1 U3.1", {"X": "U1.1 U2.1 U3.1"}, id="the first name stays"),
        pytest.param(
            "X: U1.1 U2.1", "Y: U3.1 U4.1", {"X": "U1.1 U2.1", "Y": "U3.1 U4.1"}, id="nets are added"
        ),
        pytest.param("X: U1.1 U2.1", "X: U3.1 U4.1", {"X": "U1.1 U2.1 U3.1 U4.1"}, id="one name is one net"),
        pytest.param(
            "unconnected-(U1-Pad1): U1.1",
            "Y: U1.1 U2.1",
            {"Y": "U1.1 U2.1"},
            id="a pin drawn as alone is joined",
        ),
    ],
)
def test_a_later_input_adds(first: str, later: str, expected: dict[str, str]) -> None:
    merged = merge(first, later)
    assert nets(merged) == expected
    assert merged.findings == ()


@pytest.mark.parametrize(
    ("first", "later", "expected", "moved"),
    [
        pytest.param(
            "X: U1.1 U2.1\nY: U3.1 U4.1",
            "Z: U1.1 U3.1",
            {"X": "U2.1", "Y": "U4.1", "Z": "U1.1 U3.1"},
            [("U1.1", "U3.1")],
            id="a new net takes pins of two",
        ),
        pytest.param(
            "X: U1.1 U2.1\nY: U3.1 U4.1",
            "X: U1.1 U3.1",
            {"X": "U1.1 U2.1 U3.1", "Y": "U4.1"},
            [("U3.1",)],
            id="a known net takes a pin of another",
        ),
        pytest.param(
            "X: U1.1 U2.1\nY: U3.1 U4.1",
            "Y: U1.1",
            {"X": "U2.1", "Y": "U1.1 U3.1 U4.1"},
            [("U1.1",)],
            id="one pin changes its net",
        ),
        pytest.param(
            "X: U1.1 U2.1 U3.1",
            "X: U1.1\nY: U2.1",
            {"X": "U1.1 U3.1", "Y": "U2.1"},
            [("U2.1",)],
            id="two nets of the later input are not one",
        ),
        pytest.param(
            "X: U1.1 U2.1 U3.1",
            "A: U2.1\nX: U1.1",
            {"A": "U2.1", "X": "U1.1 U3.1"},
            [("U2.1",)],
            id="nor where the new one comes first",
        ),
        pytest.param(
            "Y: U1.1 U2.1",
            "unconnected-(U1-Pad1): U1.1",
            {"Y": "U2.1", "unconnected-(U1-Pad1)": "U1.1"},
            [("U1.1",)],
            id="a pin is said to be alone",
        ),
    ],
)
def test_a_later_input_corrects_and_it_is_said(
    first: str, later: str, expected: dict[str, str], moved: list[tuple[str, ...]]
) -> None:
    merged = merge(first, later)
    assert nets(merged) == expected
    assert [f.where for f in merged.findings] == moved
    assert {(f.code, f.severity) for f in merged.findings} == {("contradiction", "warning")}


def test_what_is_said_of_a_contradiction() -> None:
    first = make_netlist("A", [Part("R1", "470", origin=Origin("a.net", 3, 5))], [])
    later = make_netlist("B", [Part("R1", "220", origin=Origin("b.csv", 7))], [])
    merged = merge_netlists([first, later])
    assert merged.parts[0].marking == "220"
    assert [f.text for f in merged.findings] == [
        "R1 is 470 in a.net:3:5 and 220 in b.csv:7; the later one was taken"
    ]


def test_a_pin_on_two_nets_stays_on_both() -> None:
    text = "X: U1.1 U2.1\nY: U1.1 U3.1"
    merged = merge(text, text)
    assert nets(merged) == {"X": "U1.1 U2.1", "Y": "U1.1 U3.1"}
    assert merged.findings == ()


def test_three_inputs_weigh_in_their_order() -> None:
    merged = merge("part R1 1k", "part R1 2k", "part R1 3k\nX: R1.1 R2.1")
    assert merged.parts[0].marking == "3k"
    assert len(merged.findings) == 2


def test_facts_of_a_part_fill_up() -> None:
    """A marking that changes makes the symbol of the first input void."""
    first = Part(
        "U9", "", "74LS273", "74xx", "DIP", "", (Pin("1", "CLR", "input"), Pin("2", "Q")), origin=Origin("a")
    )
    later = Part("U9", "74HC374", "", "", "", "7E", (Pin("2", "", "output"), Pin("3", "D")), fitted=False)
    merged = merge_netlists([make_netlist("A", [first], []), make_netlist("B", [later], [])]).parts[0]
    assert merged == Part(
        "U9",
        "74HC374",
        "",
        "74xx",
        "DIP",
        "7E",
        (Pin("1", "CLR", "input"), Pin("2", "Q", "output"), Pin("3", "D")),
        fitted=False,
        origin=Origin("a"),
    )
    same = Part("U9", "", place="7E")
    assert (
        merge_netlists([make_netlist("A", [first], []), make_netlist("B", [same], [])]).parts[0].symbol
        == "74LS273"
    )


def test_inputs_and_name() -> None:
    one, two = (make_netlist(n, [], [], inputs=(Input(n, "table", n * 64),)) for n in "ab")
    merged = merge_netlists([one, two])
    assert (merged.name, [i.file for i in merged.inputs]) == ("a", ["a", "b"])


# Joined boards.


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("A:J3=B:J1", Join("A", "J3", "B", "J1")),
        (" upper:J3=lower:CN 1,mirror ", Join("upper", "J3", "lower", "CN 1", "mirror")),
        ("A:J3=B:J1,reverse", Join("A", "J3", "B", "J1", "reverse")),
    ],
)
def test_joins(text: str, expected: Join) -> None:
    assert parse_join(text) == expected


@pytest.mark.parametrize(
    "text", ["", "J3=J1", "A:J3", "A:J3=B", "A:J3=B:J1,turn", "A:J3=B:J1=C:J2", "A:J3,B:J1"]
)
def test_joins_that_are_not_understood(text: str) -> None:
    with pytest.raises(UsageError) as caught:
        parse_join(text)
    assert str(caught.value) == (
        f"--join {text} is not understood\nfix: write --join A:J3=B:J1, with ,mirror where the cable swaps the rows "
        "or ,reverse where it turns round"
    )


def joined(order: str = "straight", upper: str = "", lower: str = "") -> Netlist:
    boards = {
        "A": board(upper or "P: J3.1 U1.1\nQ: J3.2 U1.2\nR: J3.3 U1.3\nS: J3.4 U1.4", "upper"),
        "B": board(lower or "P: J1.1 U1.1\nK: J1.2 U1.2\nR: J1.3 U1.3\nS: J1.4 U1.4", "lower"),
    }
    return join_boards(boards, [Join("A", "J3", "B", "J1", order)])


@pytest.mark.parametrize(
    ("order", "partners"),
    [("straight", "1 2 3 4"), ("mirror", "2 1 4 3"), ("reverse", "4 3 2 1")],
)
def test_cables(order: str, partners: str) -> None:
    """Pin to pin; the rows of a two-row connector change places; end to end."""
    netlist = joined(order)
    assert netlist.name == "upper+lower"
    groups = {" ".join(sorted(pins.split())) for pins in nets(netlist).values()}
    assert groups == {
        f"A:J3.{a} A:U1.{a} B:J1.{b} B:U1.{b}" for a, b in zip("1234", partners.split(), strict=True)
    }


def test_names_of_joined_boards() -> None:
    """Every name has its board's in front; a joined net has the first board's, a supply's name goes before."""
    netlist = joined(upper="Net-(J3-Pad1): J3.1 U1.1\nX: J3.2 U1.2", lower="RED: J1.1 U1.1\nY: J1.2 U1.2")
    assert sorted(nets(netlist)) == ["A:X", "B:RED"]
    netlist = joined(upper="X: J3.1 U1.1", lower="VCC: J1.1 U1.20")
    assert sorted(nets(netlist)) == ["B:VCC"]


def test_several_pins_of_one_net_in_a_cable() -> None:
    netlist = joined(upper="GND: J3.1 J3.2 U1.7", lower="GND: J1.1 J1.2 U1.7\nOTHER: J1.3 U2.1")
    assert nets(netlist) == {"A:GND": "A:J3.1 A:J3.2 A:U1.7 B:J1.1 B:J1.2 B:U1.7", "B:OTHER": "B:J1.3 B:U2.1"}


def test_pins_without_a_partner_are_said() -> None:
    netlist = joined(lower="P: J1.1 U1.1\nZ: J1.9 U1.9")
    finding = next(f for f in netlist.findings if f.code == "unplaced-join")
    assert finding.severity == "note"
    assert finding.text == "joined connectors A:J3 and B:J1: no partner for A:J3.2, A:J3.3, A:J3.4, B:J1.9"


@pytest.mark.parametrize(
    ("upper", "lower", "said"),
    [
        ("VCC: J3.1 U1.20", "GND: J1.1 U1.10", True),
        ("VCC: J3.1 U1.20", "RED: J1.1 U1.2", True),
        ("VCC: J3.1 U1.20", "+5V: J1.1 U1.20", False),
        ("VCC: J3.1 U1.20", "Net-(J1-Pad1): J1.1 U1.20", False),
        ("RED: J3.1 U1.2", "RED: J1.1 U1.2", False),
    ],
)
def test_a_cable_that_ties_a_supply_to_something_else_is_said(upper: str, lower: str, said: bool) -> None:
    netlist = joined(upper=upper, lower=lower)
    assert [f.code for f in netlist.findings] == (["rails-joined"] if said else [])


def test_boards_and_connectors_that_are_not_there() -> None:
    boards = {"A": board("P: J3.1 U1.1"), "B": board("P: J1.1 CN2.1")}
    with pytest.raises(UsageError) as usage:
        join_boards(boards, [Join("A", "J3", "C", "J1")])
    assert str(usage.value) == (
        "--join names the board C, which is not there\nfix: the boards are: A, B (name one by writing NAME=FILE)"
    )
    with pytest.raises(PinNotFoundError) as missing:
        join_boards(boards, [Join("A", "J3", "B", "J9")])
    assert str(missing.value) == "board B has no connector J9\nfix: its connectors are: CN2, J1"
    assert join_boards(boards, [Join("A", "j3", "B", "j1")]).net_of(PinRef("A:J3", "1")) == "A:P"


def test_findings_of_a_joined_board_name_it() -> None:
    twice = merge_netlists([board("part R1 470"), board("part R1 220")])
    netlist = join_boards({"A": twice, "B": board("")}, [])
    assert [f.where for f in netlist.findings] == [("A:R1",)]
