"""Legs without a number."""

from __future__ import annotations

from tests.boards import board
from tracer.netlist.numberless import legs_apart
from tracer.tracing.pipeline import trace

TEXT = """
part J1 RGB symbol=Conn_01x06 1=RED 2=GREEN 3=BLUE
part U9 XQ12
part R1 470
part R2 470
part R3 470
R1.2 J1.1
R2.2 J1.2
R3.2 J1.3
A: U9. R1.1
B: U9. R2.1
C: U9. R3.1
"""


def test_legs_without_a_number_on_three_nets_are_three_legs() -> None:
    apart = legs_apart(board(TEXT))
    assert sorted(apart.pins_of_parts["U9"]) == ["?1", "?2", "?3"]
    assert all(len(nets) == 1 for nets in apart.nets_of_pins.values())


def test_one_output_is_not_said_to_drive_three_colours() -> None:
    bit_map = trace(board(TEXT))
    assert [c.bits[0].driver.pin for c in bit_map.colours] == ["?1", "?2", "?3"]
    assert bit_map.colours_possible == 8
    codes = {f.code for f in bit_map.findings}
    assert "numberless-legs" in codes
    assert not codes & {"shared-stage", "pin-on-two-nets"}


def test_a_board_with_numbers_is_left_as_it_is() -> None:
    known = board(TEXT.replace("C: U9. ", "C: U9.3 ").replace("B: U9. ", "B: U9.2 "))
    assert legs_apart(known) is known


def test_a_resistor_with_two_of_them_is_still_a_resistor() -> None:
    text = (
        TEXT.replace("part R1 470", "part R1 470 symbol=R =~:passive")
        .replace("R1.1", "R1.")
        .replace("R1.2", "R1.")
    )
    bit_map = trace(board(text))
    assert [(r.part, r.ohm) for r in bit_map.colours[0].bits[0].resistors] == [("R1", 470.0)]
