"""The netlist: what `make_netlist` promises, how pins and nets are found."""

from __future__ import annotations

import pytest

from tests.boards import board
from tracer.base.errors import PinNotFoundError
from tracer.netlist.board import (
    Netlist,
    Origin,
    Part,
    Pin,
    PinRef,
    make_netlist,
    pin_groups,
    with_markings,
)

A1, B1, B2 = PinRef("A", "1"), PinRef("B", "1"), PinRef("B", "2")


def test_order() -> None:
    """Parts, nets and pins are in natural order, whatever the order they came in."""
    parts = [Part("R10"), Part("R2"), Part("C1")]
    nets = [
        ("N10", [PinRef("R10", "2"), PinRef("R10", "1"), PinRef("R2", "10")], None),
        ("N2", [PinRef("C1", "1")], None),
    ]
    for netlist in (make_netlist("b", parts, nets), make_netlist("b", parts[::-1], nets[::-1])):
        assert [p.reference for p in netlist.parts] == ["C1", "R2", "R10"]
        assert [n.name for n in netlist.nets] == ["N2", "N10"]
        assert [str(p) for p in netlist.nets[1].pins] == ["R2.10", "R10.1", "R10.2"]


def test_nets_of_one_name_are_one() -> None:
    netlist = make_netlist(
        "b", [], [("N", [A1], Origin("f", 1)), ("n", [B1], None), ("N", [B2, A1], Origin("f", 9))]
    )
    assert [(n.name, n.pins, n.origin) for n in netlist.nets] == [
        ("N", (A1, B2), Origin("f", 1)),
        ("n", (B1,), None),
    ]


def test_two_parts_of_one_reference() -> None:
    """The first is kept with the pins of both; it is said where their markings differ."""
    one = Part("J2", "USB", pins=(Pin("1", "V"),), origin=Origin("f", 1, 2))
    two = Part("J2", "JACK", pins=(Pin("1", "T"), Pin("2", "R")), origin=Origin("f", 3))
    netlist = make_netlist("b", [one, two], [])
    assert netlist.parts == (
        Part("J2", "USB", pins=(Pin("1", "V"), Pin("2", "R")), origin=Origin("f", 1, 2)),
    )
    assert [(f.code, f.severity, f.where, f.text) for f in netlist.findings] == [
        (
            "duplicate-part",
            "warning",
            ("J2", "f:1:2", "f:3"),
            "two parts are called J2: USB and JACK; the first is kept, the pins of both are on it",
        )
    ]
    assert make_netlist("b", [one, one], []).findings == ()


def test_not_stated_is_not_alone() -> None:
    netlist = board("part U1 x 1=A 2=B\nlonely: U1.1")
    assert netlist.net_of(PinRef("U1", "1")) == "lonely"
    assert netlist.net_of(PinRef("U1", "2")) is None
    assert netlist.pins_of_parts == {"U1": ("1", "2")}


BOARD = "part U9 74LS273 1=~{CLR}:input 2=Q0\npart u10 x 1=A\n/video/RED: U9.2 R5.1\nVCC: U9.20\nred: R6.1\n/a/X: R7.1\n/b/X: R8.1"


@pytest.mark.parametrize(
    ("part", "pin", "expected"),
    [
        ("U9", "2", "U9.2"),
        ("u9", "2", "U9.2"),
        ("U10", "1", "u10.1"),
        ("U9", "q0", "U9.2"),
        ("U9", "~{clr}", "U9.1"),
        ("R5", "1", "R5.1"),
        ("U9", "20", "U9.20"),
    ],
)
def test_find_pin(part: str, pin: str, expected: str) -> None:
    assert str(board(BOARD).find_pin(part, pin)) == expected


@pytest.mark.parametrize(
    ("part", "pin", "message"),
    [
        ("U8", "1", "there is no part U8 on this board\nfix: the nearest parts are: U9, R8"),
        ("XYZZY", "1", "there is no part XYZZY on this board\nfix: no parts have a name like it"),
        ("U9", "3", "part U9 has no pin 3\nfix: its pins are: 1 2 20"),
        # A part without an entry in the part list has pins without names.
        ("R5", "A", "part R5 has no pin A\nfix: its pins are: 1"),
    ],
)
def test_pins_that_are_not_there(part: str, pin: str, message: str) -> None:
    with pytest.raises(PinNotFoundError) as caught:
        board(BOARD).find_pin(part, pin)
    assert str(caught.value) == message


def test_a_name_that_several_pins_carry() -> None:
    with pytest.raises(PinNotFoundError) as caught:
        board("part J1 x 1=F 2=f 3=G").find_pin("J1", "F")
    assert str(caught.value) == "several pins of J1 are called F\nfix: say which one: 1 2"


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("/video/RED", "/video/RED"),
        ("red", "red"),
        ("/VIDEO/red", "/video/RED"),
        ("vcc", "VCC"),
        ("/a/X", "/a/X"),
    ],
)
def test_find_net(name: str, expected: str) -> None:
    assert board(BOARD).find_net(name) == expected


def test_nets_that_are_not_there_or_many() -> None:
    with pytest.raises(PinNotFoundError) as caught:
        board(BOARD).find_net("X")
    assert str(caught.value) == "several nets are called X\nfix: say which one: /a/X, /b/X"
    with pytest.raises(PinNotFoundError) as caught:
        board(BOARD).find_net("VDD")
    assert str(caught.value).startswith("there is no net VDD on this board\nfix: ")


def test_markings_told_by_the_user() -> None:
    """They replace what the drawing says, symbol included, and may name a part that only a net has."""
    netlist = with_markings(board("part U9 x symbol=74LS374\nA: U9.1 R5.1"), {"u9": "74LS273", "R5": "470"})
    assert [(p.reference, p.marking, p.symbol) for p in netlist.parts] == [
        ("R5", "470", ""),
        ("U9", "74LS273", ""),
    ]
    with pytest.raises(PinNotFoundError) as caught:
        with_markings(netlist, {"U99": "x"})
    assert str(caught.value) == "there is no part U99 on this board\nfix: the nearest parts are: U9"


def test_pin_groups() -> None:
    netlist = Netlist("b", (), board("X: A.1 B.1\nY: B.2").nets)
    assert pin_groups(netlist) == {frozenset({A1, B1}), frozenset({B2})}
    assert pin_groups(netlist, at_least=2) == {frozenset({A1, B1})}


def test_origin_as_text() -> None:
    assert [str(o) for o in (Origin("f"), Origin("f", 3), Origin("f", 3, 7))] == ["f", "f:3", "f:3:7"]
