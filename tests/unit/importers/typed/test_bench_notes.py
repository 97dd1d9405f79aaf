"""Bench notes: what a person types at the bench, a line a fact."""

from __future__ import annotations

import pytest

from tracer.base.errors import NetlistError
from tracer.importers import detect
from tracer.importers.typed.bench_notes import parse
from tracer.netlist.board import Netlist, PinRef
from tracer.netlist.check import check_netlist
from tracer.netlist.merge import merge_netlists
from tracer.netlist.notes import ToldNet


def notes(text: str) -> Netlist:
    return parse(text, "bench.notes", "bench")


def nets(netlist: Netlist) -> dict[str, str]:
    return {net.name: " ".join(str(p) for p in net.pins) for net in netlist.nets}


def test_a_part_has_a_marking_a_symbol_and_a_place() -> None:
    netlist = notes(
        "U9 is 74LS273 at 7E\nRN1 is 8 x 470 isolated\nrn2 is 1k drawn as R_Pack08\nR7 is not fitted"
    )
    parts = netlist.by_reference
    assert (parts["U9"].marking, parts["U9"].place) == ("74LS273", "7E")
    assert parts["RN1"].marking == "8 x 470 isolated"
    assert (parts["RN2"].marking, parts["RN2"].symbol) == ("1k", "R_Pack08")
    assert not parts["R7"].fitted


def test_beeps_on_one_line_are_one_net_and_lines_that_share_a_leg_are_joined() -> None:
    assert nets(notes("J1.12 = R5.1 = r6.1\nR6.1 = R7.1\nR5.2 = U9.2")) == {
        "Net-(J1-Pad12)": "J1.12 R5.1 R6.1 R7.1",
        "Net-(R5-Pad2)": "R5.2 U9.2",
    }


def test_a_net_can_have_a_name_and_grow_under_it() -> None:
    assert nets(notes('PIXCLK: U9.11 = U12.3\n"MY NET": U1.1\nPIXCLK: U13.11')) == {
        "MY NET": "U1.1",
        "PIXCLK": "U9.11 U12.3 U13.11",
    }


def test_lists_are_joined_leg_by_leg() -> None:
    assert nets(notes("U9.[2 5 6] = [R8 R7 R6].2 = U4.[9, 10, 11]")) == {
        "Net-(R6-Pad2)": "R6.2 U4.11 U9.6",
        "Net-(R7-Pad2)": "R7.2 U4.10 U9.5",
        "Net-(R8-Pad2)": "R8.2 U4.9 U9.2",
    }


def test_names_in_quotes_may_hold_brackets_dots_and_signs_of_a_comment() -> None:
    assert nets(notes('"U[9]".["a]" 5] = [R8 "R.[7]"].2\nJ1.1 = "R #1".2 # the rest is a comment "')) == {
        "Net-(R8-Pad2)": "R8.2 U[9].a]",
        "Net-(R.[7]-Pad2)": "R.[7].2 U[9].5",
        "Net-(J1-Pad1)": "J1.1 R #1.2",
    }


def test_a_list_under_one_name_is_one_net() -> None:
    assert nets(notes("GND: U9.10 = U4.[8 12] = C1.2")) == {"GND": "C1.2 U4.8 U4.12 U9.10"}


def test_a_leg_that_beeps_to_nothing_stands_alone_and_is_not_the_same_as_not_stated() -> None:
    netlist = notes("U9.4 alone\nread U9.5 low")
    assert nets(netlist) == {"unconnected-(U9-Pad4)": "U9.4"}
    assert netlist.net_of(PinRef("U9", "5")) is None


def test_on_an_edge_connector_the_case_of_a_leg_counts() -> None:
    netlist = notes("J1 is edge 56\nJ1.a = R1.1\nJ1.A = R2.1\nU1.a1 = R3.1")
    assert nets(netlist) == {
        "Net-(J1-PadA)": "J1.A R2.1",
        "Net-(J1-Pada)": "J1.a R1.1",
        "Net-(R3-Pad1)": "R3.1 U1.A1",
    }


def test_colour_pins_missing_beeps_and_evidence_travel_with_the_board() -> None:
    netlist = notes(
        "red is J1.12\nGreen is net:GREEN_OUT\nU4.11 != U9.13\nseen red missing\nread U4.11 stuck low\n"
        "swapped U4, no change\nmeasured R5.1 to R5.2 470 ohm"
    )
    assert netlist.notes.colour_pins == (("red", PinRef("J1", "12")), ("green", ToldNet("GREEN_OUT")))
    assert netlist.notes.apart == ((PinRef("U4", "11"), PinRef("U9", "13")),)
    assert [(e.kind, e.where, e.words) for e in netlist.notes.evidence] == [
        ("seen", (), "red missing"),
        ("read", ("U4.11",), "stuck low"),
        ("swapped", ("U4",), "no change"),
        ("measured", ("R5.1", "R5.2"), "470 ohm"),
    ]


def test_legs_can_be_named() -> None:
    pins = notes("U5.[1 2] called [D0 D1] (input)\nU5.3 called Q0").by_reference["U5"].pins
    assert [(p.number, p.name, p.kind) for p in pins] == [
        ("1", "D0", "input"),
        ("2", "D1", "input"),
        ("3", "Q0", ""),
    ]


def test_comments_blank_lines_and_the_board_s_name() -> None:
    netlist = notes(
        "# the lower board\n\nboard Dunlin lower board   # from a junk box\n  U1 is 7404  # hot\n"
    )
    assert netlist.name == "Dunlin lower board"
    assert netlist.by_reference["U1"].marking == "7404"


@pytest.mark.parametrize(
    "text", ["board x", "# hi\n\nU9.11 = U12.3", "CLK: U1.1 = U2.2", "red is J1.12", "seen red weak"]
)
def test_notes_are_known_by_their_first_statement(text: str) -> None:
    assert detect(text + "\n", "x").name == "bench-notes"


@pytest.mark.parametrize(
    ("line", "column", "message"),
    [
        ("U9 74LS273", 4, "'74LS273' is not understood here"),
        ("U9.2 =", 7, "the line ends too soon"),
        ("U9.2 = = U3.1", 8, "'=' is not understood here"),
        ("U9.[2 3] = U4.[1 2 3]", 1, "this list has 2 legs, another in the line has 3"),
        ("U9.[2 3 = U4.1", 4, "this [ is never closed"),
        ("U9.[] = U3.1", 1, "the list in [ ] is empty"),
        ("red is 12", 8, "'12' is not understood here"),
        ("read U4 low", 6, "'U4' is not understood here"),
        ("U9.2 alone really", 12, "'really' is not understood here"),
        ("U5.[1 2] called [A B C]", 17, "2 legs but 3 names"),
        ("hello world", 7, "'world' is not understood here"),
        ("seen", 5, "the line ends too soon"),
    ],
)
def test_an_error_points_at_the_word(line: str, column: int, message: str) -> None:
    with pytest.raises(NetlistError) as caught:
        notes("U1 is 7400\n" + line)
    assert (caught.value.what, caught.value.line, caught.value.column) == (message, 2, column)
    assert caught.value.excerpt == f"{line}\n{' ' * (column - 1)}^"


def test_two_lines_that_tell_one_colour_differently_are_an_error() -> None:
    with pytest.raises(NetlistError, match=r"red is told twice: J1\.12 further up"):
        notes("red is J1.12\nred is J1.13")


def test_a_colour_typed_wrong_is_refused_with_the_one_it_is_near() -> None:
    with pytest.raises(NetlistError) as caught:
        notes("U1 is 82S123\nrde is J1.12")
    assert (caught.value.line, caught.value.column) == (2, 1)
    assert "rde is nearly red" in str(caught.value)
    assert caught.value.fix == "write red is J1.12, or give the colour a name unlike red, green and blue"


# -- with a netlist ---------------------------------------------------------------------------------


def drawing() -> Netlist:
    from tests.boards import board

    return board(
        """
        part U9 74LS374
        part R5 220 symbol=R
        D3: U9.8 U4.12
        D4: U9.13 U4.14
        Net-(R5-Pad2): R5.2 U9.9
        """
    )


def test_notes_correct_a_marking_and_say_so() -> None:
    merged = merge_netlists([drawing(), notes("U9 is 74LS273")])
    assert merged.by_reference["U9"].marking == "74LS273"
    assert [f.code for f in merged.findings] == ["contradiction"]


def test_a_beep_joins_whole_nets_that_were_drawn_apart_and_says_so() -> None:
    merged = merge_netlists([drawing(), notes("U9.8 = U9.13")])
    assert nets(merged)["D3"] == "U4.12 U4.14 U9.8 U9.13"
    assert [f.code for f in merged.findings] == ["contradiction"]
    assert "were drawn on D3 and D4; they were joined" in merged.findings[0].text


def test_a_beep_to_a_leg_that_was_not_drawn_only_adds() -> None:
    merged = merge_netlists([drawing(), notes("U9.8 = J2.1\nU1.1 = U2.2")])
    assert nets(merged)["D3"] == "J2.1 U4.12 U9.8"
    assert nets(merged)["Net-(U1-Pad1)"] == "U1.1 U2.2"
    assert merged.findings == ()


def test_a_name_from_the_bench_replaces_an_automatic_one() -> None:
    merged = merge_netlists([drawing(), notes("RED3: U9.9")])
    assert nets(merged)["RED3"] == "R5.2 U9.9"


def test_a_leg_that_beeps_to_nothing_against_the_drawing_is_a_finding_and_the_drawing_stays() -> None:
    merged = merge_netlists([drawing(), notes("U9.8 alone")])
    assert nets(merged)["D3"] == "U4.12 U9.8"
    assert [f.code for f in merged.findings] == ["contradiction"]


def test_no_beep_on_a_drawn_net_is_a_finding() -> None:
    merged = merge_netlists([drawing(), notes("U4.12 != U9.8")])
    assert "no beep was heard between U4.12 and U9.8, but both stand on D3" in check_netlist(merged)[-1].text


def test_parts_that_are_alike_go_on_one_line() -> None:
    parts = notes("[R1 r5 R9] is 220 at 4C").by_reference
    assert {r: (p.marking, p.place) for r, p in parts.items()} == dict.fromkeys(
        ("R1", "R5", "R9"), ("220", "4C")
    )


def test_twelve_bits_typed_in_21_lines_give_the_map_of_the_drawn_board() -> None:
    """The same colour path as the demo board dunlin, without its surroundings."""
    from pathlib import Path

    from tracer.importers import read_netlist
    from tracer.tracing.pipeline import trace

    here = Path(__file__).parents[3]
    typed = trace(read_netlist(here / "cases" / "notes" / "twelve_bits.notes"))
    drawn = trace(read_netlist(here.parent / "netlists" / "dunlin" / "dunlin.net"))
    assert typed.is_complete
    for a, b in zip(typed.colours, drawn.colours, strict=True):
        for bit, other in zip(a.bits, b.bits, strict=True):
            assert (bit.driver, bit.resistors, bit.weight) == (other.driver, other.resistors, other.weight)
            assert bit.paths[0].source == other.paths[0].source
