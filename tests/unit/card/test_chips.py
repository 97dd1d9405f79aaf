"""Chips and connectors as seen at the bench."""

from __future__ import annotations

import pytest

from tests.boards import board
from tracer.card.chip_values import ChipView, LegView
from tracer.card.chips import chip_views, chip_views_of_map, connector_views
from tracer.importers import read_netlist
from tracer.parts.library import load_library
from tracer.tracing.pipeline import trace_fully

DUNLIN = trace_fully(read_netlist("netlists/dunlin/dunlin.net"))
VIEWS = {v.part: v for v in chip_views(DUNLIN)}


def leg(view: ChipView, number: str) -> LegView:
    return next(g for g in view.legs if g.number == number)


def test_legs_with_their_bits_names_and_roles() -> None:
    u13 = VIEWS["U13"]
    assert (u13.marking, u13.type, u13.place, u13.outline) == ("74LS273", "74x273", "8D", "dip")
    assert [str(m) for m in leg(u13, "19").marks] == ["red 3"]
    assert [str(m) for m in leg(u13, "18").marks] == ["red 3"]
    assert (leg(u13, "11").name, leg(u13, "11").role, leg(u13, "11").driver) == ("CLK", "clock", "U21.5")
    assert leg(u13, "11").is_control
    assert (leg(u13, "20").role, leg(u13, "20").tied) == ("supply", 1)
    assert (leg(u13, "10").role, leg(u13, "10").tied) == ("ground", 0)


def test_rows_run_counter_clockwise_from_the_notch() -> None:
    rows = [(a.number, b.number) for a, b in VIEWS["U14"].rows]
    assert rows == [(str(i), str(17 - i)) for i in range(1, 9)]


def test_chips_that_only_write_come_last_without_marks() -> None:
    assert [v.part for v in chip_views(DUNLIN)] == ["U9", "U10", "U13", "U14", "U7", "U8"]
    assert not [g for g in VIEWS["U7"].legs if g.marks]


@pytest.mark.parametrize(
    ("footprint", "outline"), [("", "dip"), ("Package_DIP:DIP-20_W7.62mm", "dip"), ("PLCC-20", "list")]
)
def test_the_land_pattern_speaks_against_two_rows(footprint: str, outline: str) -> None:
    text = f"""
        part J1 plug symbol=Conn_01x03 1=RED 2=GREEN 3=BLUE
        part U1 74LS273 footprint={footprint}
        part R1 220
        part R2 220
        part R3 220
        J1.1 R1.1
        J1.2 R2.1
        J1.3 R3.1
        R1.2 U1.2
        R2.2 U1.5
        R3.2 U1.6
        """
    views = {v.part: v for v in chip_views(trace_fully(board(text)))}
    assert views["U1"].outline == outline
    assert len(views["U1"].legs) == 20


def test_a_part_without_an_entry_is_a_list_of_what_is_known() -> None:
    text = """
        part J1 plug symbol=Conn_01x03 1=RED 2=GREEN 3=BLUE
        part U1 XC1234
        part R1 220
        part R2 220
        part R3 220
        J1.1 R1.1
        J1.2 R2.1
        J1.3 R3.1
        R1.2 U1.1
        R2.2 U1.2
        R3.2 U1.3
        """
    (view,) = chip_views(trace_fully(board(text)))
    assert (view.outline, view.is_whole, view.does) == ("list", False, "unknown")
    assert [g.number for g in view.legs] == ["1", "2", "3"]


def test_views_of_a_map_have_the_librarys_legs_where_they_agree() -> None:
    views = {v.part: v for v in chip_views_of_map(DUNLIN.bit_map, load_library())}
    for part in ("U9", "U13", "U14"):
        assert [(g.number, g.name, g.marks) for g in views[part].legs] == [
            (g.number, g.name, g.marks) for g in VIEWS[part].legs
        ]
    assert leg(views["U13"], "11").net is not None, "the map names the nets of controls"


def test_connector() -> None:
    (view,) = connector_views(DUNLIN.bit_map, DUNLIN.circuit)
    uses = {p.number: p.use for p in view.pins}
    assert len(uses) == 56
    assert {n for n, use in uses.items() if use == "colour"} == {"12", "13", "N"}
    assert uses["P"] == "sync"
    assert uses["14"] == "ground"
    (bare,) = connector_views(DUNLIN.bit_map)
    assert [(p.number, p.colour) for p in bare.pins] == [("12", "red"), ("13", "blue"), ("N", "green")]
    assert not bare.is_whole
