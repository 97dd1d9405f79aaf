"""Netlists in the forms of other programs: the whole text, names that those forms cannot hold, and what is said of them."""

from __future__ import annotations

import pytest

from tracer.export.netlists.netlists import write_netlist
from tracer.export.netlists.plain_words import distinct, net_names, without_blanks
from tracer.importers import parse_netlist
from tracer.netlist.board import Netlist, Part, Pin, PinRef, make_netlist, pin_groups

FORMS = ("orcad-pcb2", "pads")


def small_board() -> Netlist:
    return make_netlist(
        "board",
        [
            Part("U9", "74LS273", "74LS273", footprint="DIP 20", pins=(Pin("2", "Q0", "output"), Pin("3"))),
            Part("R5", "1k 1%"),
            Part("J1", footprint="HEADER_6"),
        ],
        [
            ("RED 2", [PinRef("U9", "2"), PinRef("R5", "1")], None),
            ("RED_2", [PinRef("R5", "2"), PinRef("J1", "1")], None),
            ("?5V", [PinRef("J1", "2"), PinRef("X3", "1.1")], None),
        ],
    )


LOST = ["1 symbols", "1 pin names", "1 pin directions", "1 pins on no net"]


def test_orcad_pcb2() -> None:
    text, lost = write_netlist("orcad-pcb2", small_board())
    assert text == (
        "( { OrCAD PCB II netlist, written by rgbroots }\n"
        " ( 00000001 HEADER_6  J1 \n"
        "  (    1 RED_2 )\n"
        "  (    2 _?5V )\n"
        " )\n"
        " ( 00000002 $noname  R5 1k_1%\n"
        "  (    1 RED_2_2 )\n"
        "  (    2 RED_2 )\n"
        " )\n"
        " ( 00000003 DIP_20  U9 74LS273\n"
        "  (    2 RED_2_2 )\n"
        " )\n"
        " ( 00000004 $noname  X3 \n"
        "  (  1.1 _?5V )\n"
        " )\n"
        ")\n"
        "*\n"
    )
    assert lost == [
        *LOST,
        "2 names of nets as they are",
        "2 markings and footprints as they are",
    ]


def test_pads() -> None:
    text, lost = write_netlist("pads", small_board())
    assert text == (
        "*PADS-PCB*\n"
        "*PART*\n"
        "J1\tHEADER_6\n"
        "R5\t1k_1%@\n"
        "U9\t74LS273@DIP_20\n"
        "\n"
        "*NET*\n"
        "*SIGNAL* _?5V\n"
        "J1.2 X3.1_1\n"
        "*SIGNAL* RED_2_2\n"
        "R5.1 U9.2\n"
        "*SIGNAL* RED_2\n"
        "J1.1 R5.2\n"
        "*END*\n"
    )
    assert lost == [
        *LOST,
        "2 names of nets as they are",
        "1 numbers of pins as they are",
        "2 markings and footprints as they are",
    ]


@pytest.mark.parametrize("form", FORMS)
def test_no_two_nets_become_one(form: str) -> None:
    """Blanks, words for no connection and words in front of which a form puts a mark."""
    names = ["A B", "A_B", "A\tB", "A_B_2", "N/C", "_N/C", "NC", "nc", "?", "_?", "a b", "-"]
    board = _board_of_nets(names)
    back = parse_netlist(write_netlist(form, board)[0], "f", format_name=form)
    assert pin_groups(back) == pin_groups(board)
    assert len(back.nets) == len(names)
    assert len(set(net_names(board).values())) == len(names)


def _board_of_nets(names: list[str]) -> Netlist:
    return make_netlist(
        "b",
        [Part("U1")],
        [(name, [PinRef("U1", f"{i}"), PinRef("R1", f"{i}")], None) for i, name in enumerate(names)],
    )


def test_a_net_called_like_no_connection_stays_a_net_in_a_table() -> None:
    board = _board_of_nets(["N/C", "_N/C", "unconnected-(U1-Pad7)", "A"])
    text, lost = write_netlist("table", board)
    back = parse_netlist(text, "board.csv")
    assert pin_groups(back) == pin_groups(board)
    assert "1 names of nets as they are" in lost


def test_a_pin_without_a_number_is_said_where_a_table_cannot_hold_it() -> None:
    board = make_netlist("b", [Part("U1")], [("A", [PinRef("U1", ""), PinRef("U1", "2")], None)])
    assert "1 pins without a number" in write_netlist("table", board)[1]


def test_notes_say_that_a_pin_on_two_nets_joins_them() -> None:
    both = PinRef("U1", "1")
    board = make_netlist(
        "b", [Part("U1"), Part("U2")], [("A", [both, PinRef("U2", "1")], None), ("B", [both], None)]
    )
    assert (
        "1 pins that stand on several nets, which are one net in notes"
        in write_netlist("bench-notes", board)[1]
    )


def test_a_part_called_like_a_comment_stays_in_a_table() -> None:
    board = make_netlist("b", [Part("#2")], [("A", [PinRef("#2", "1"), PinRef("#FLG,", "1")], None)])
    text, lost = write_netlist("table", board)
    (net,) = parse_netlist(text, "board.csv").nets
    assert [pin.part for pin in net.pins] == ["_#2", "_#FLG,"]
    assert "2 references as they are" in lost


def test_notes_keep_a_net_without_a_name_and_drop_a_direction_that_is_no_word() -> None:
    pins = [PinRef(f"U{i}", "1") for i in range(1, 10)]
    board = make_netlist("b", [Part("U1", pins=(Pin("1", "A", "Ù"),))], [("", pins, None)])
    text, lost = write_netlist("bench-notes", board)
    back = parse_netlist(text, "board.notes")
    assert pin_groups(back) == pin_groups(board)
    assert back.by_reference["U1"].pins == (Pin("1", "A"),)
    assert lost == ["1 pin directions as they are"]


@pytest.mark.parametrize("form", FORMS)
def test_no_two_parts_become_one(form: str) -> None:
    parts = ["U 1", "U_1", "U_1_2"]
    board = make_netlist(
        "b",
        [Part(part, f"M{i}") for i, part in enumerate(parts)],
        [("A", [PinRef(part, "1") for part in parts], None)],
    )
    text, lost = write_netlist(form, board)
    back = parse_netlist(text, "f", format_name=form)
    assert {part.reference: part.marking for part in back.parts} == {
        "U_1_3": "M0",
        "U_1": "M1",
        "U_1_2": "M2",
    }
    assert len(back.nets[0].pins) == 3
    assert "1 references as they are" in lost


@pytest.mark.parametrize("form", FORMS)
def test_a_footprint_is_no_marking(form: str) -> None:
    parts = [
        Part("R1", footprint="R@0805"),
        Part("R2", "4k7"),
        Part("R3", "1k@70", footprint="R_0805"),
        Part("R4"),
    ]
    board = make_netlist("b", parts, [("A", [PinRef(f"R{i}", "1") for i in (1, 2, 3, 4)], None)])
    back = parse_netlist(write_netlist(form, board)[0], "f", format_name=form)
    at = "R_0805" if form == "pads" else "R@0805"
    assert [(p.marking, p.footprint) for p in back.parts] == [
        ("", at),
        ("4k7", ""),
        ("1k@70", "R_0805"),
        ("", ""),
    ]


def test_orcad_pcb2_has_no_net_without_a_pin_and_no_comment_for_a_marking() -> None:
    board = make_netlist("b", [Part("U1", "{X}")], [("EMPTY", [], None), ("A", [PinRef("U1", "(1)")], None)])
    text, lost = write_netlist("orcad-pcb2", board)
    back = parse_netlist(text, "f")
    assert [(part.reference, part.marking) for part in back.parts] == [("U1", "(X)")]
    assert [(net.name, net.pins) for net in back.nets] == [("A", (PinRef("U1", "[1]"),))]
    assert lost == [
        "1 nets without a pin",
        "1 numbers of pins as they are",
        "1 markings and footprints as they are",
    ]


def test_words_that_need_no_change_keep_their_name() -> None:
    assert distinct(["A B", "A_B", "A  B"], without_blanks) == {"A_B": "A_B", "A B": "A_B_2", "A  B": "A__B"}
