"""Several inputs for one board."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.boards import board
from tracer.netlist.board import Input, Netlist, Origin, Part, Pin, PinRef, make_netlist
from tracer.netlist.merge import merge_netlists


def nets(netlist: Netlist) -> dict[str, str]:
    return {net.name: " ".join(map(str, net.pins)) for net in netlist.nets}


def merge(*texts: str) -> Netlist:
    return merge_netlists([board(text, name) for text, name in zip(texts, "ABC", strict=False)])


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


def test_nets_without_pins_are_kept() -> None:
    """Whoever counts nets, or looks one up by name, finds those of both inputs; one that lost its pins is gone."""
    drawn = make_netlist("A", [], [("SPARE", [], None), ("X", [PinRef("U1", "1")], None)])
    later = make_netlist("B", [], [("OTHER", [], None), ("Y", [PinRef("U2", "1"), PinRef("U1", "1")], None)])
    assert nets(merge_netlists([drawn, later])) == {"OTHER": "", "SPARE": "", "X": "U1.1 U2.1"}
    beeped = replace(later, beeped=True)
    assert nets(merge_netlists([drawn, beeped])) == {"OTHER": "", "SPARE": "", "Y": "U1.1 U2.1"}
    moved = make_netlist("B", [], [("X", [PinRef("U3", "1")], None), ("Y", [PinRef("U1", "1")], None)])
    lost = merge_netlists([make_netlist("A", [], [("X", [PinRef("U1", "1")], None)]), moved])
    assert nets(lost) == {"X": "U3.1", "Y": "U1.1"}


def test_inputs_and_name() -> None:
    one, two = (make_netlist(n, [], [], inputs=(Input(n, "table", n * 64),)) for n in "ab")
    merged = merge_netlists([one, two])
    assert (merged.name, [i.file for i in merged.inputs]) == ("a", ["a", "b"])
