"""Boards joined by cables."""

from __future__ import annotations

import pytest

from tests.boards import board
from tracer.base.errors import PinNotFoundError, UsageError
from tracer.netlist.board import Netlist, PinRef, make_netlist
from tracer.netlist.join import Join, join_boards, parse_join
from tracer.netlist.merge import merge_netlists


def nets(netlist: Netlist) -> dict[str, str]:
    return {net.name: " ".join(map(str, net.pins)) for net in netlist.nets}


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


@pytest.mark.parametrize("made", ["Net-(J3-RED)", "NET-(J3-VCC)", "N$7", "unnamed_net2", "NetJ3_1", "$1N3"])
def test_a_given_name_goes_before_one_that_a_program_made(made: str) -> None:
    """And a made name with a supply in it is none: the cable ties nothing to one."""
    for upper, lower in ((made, "PIX"), ("PIX", made.replace("J3", "J1"))):
        netlist = joined(upper=f"{upper}: J3.1 U1.1", lower=f"{lower}: J1.1 U1.1")
        assert [name.partition(":")[2] for name in nets(netlist)] == ["PIX"]
        assert netlist.findings == ()


def test_naming_is_kept_when_boards_are_joined() -> None:
    """``NetU1_2`` is made because U1.2 stands on it, on the joined board as well."""
    boards = {"A": board("NetU1_2: U1.2 U2.1\nRED: U1.3"), "B": board("X: J1.1")}
    assert {net.name for net in join_boards(boards, []).nets if not net.is_named} == {"A:NetU1_2"}


def test_nets_without_pins_are_kept() -> None:
    upper = make_netlist("A", [], [("SPARE", [], None), ("X", [PinRef("J1", "1")], None)])
    lower = make_netlist("B", [], [("SPARE", [], None), ("Y", [PinRef("J2", "1")], None)])
    joined = join_boards({"A": upper, "B": lower}, ["A:J1=B:J2"])
    assert {net.name: len(net.pins) for net in joined.nets} == {"A:SPARE": 0, "B:SPARE": 0, "A:X": 2}


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
