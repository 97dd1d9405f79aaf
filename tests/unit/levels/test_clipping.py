"""Amplifiers at their supplies.

A non-inverting amplifier has the gain 1 + R2/R1 (any textbook, such as Horowitz and Hill, "The Art of Electronics", the
chapter on feedback and operational amplifiers; from memory). Here R1 = R2, so the gain is 2.
"""

from __future__ import annotations

import pytest

from tests.boards import board
from tracer.base.findings import Finding
from tracer.levels.codes import compute_levels
from tracer.levels.drive_values import Override
from tracer.tracing.pipeline import trace_fully

#: What stands at the inputs.
STRAIGHT = "R1.2 R2.2 R3.1 U2.3\nU2.4 R4.1 R5.1"
INVERTING = "R1.2 R2.2 R3.1 U2.4 R4.1 R5.1"
IDEAL = Override(5.0, 0.0, 0.0)
#: 1k and 2k into 1k to ground: 5 V x (1/2k) / (1/1k + 1/2k + 1/1k) = 1 V a step at the node.
BOARD = """
part J1 RGB symbol=Conn_01x06 1=RED 2=GREEN 3=BLUE
part U1 82S123
part U2 AD8051 symbol=AD8051 1=:output 2=V-:power_in 3=+:input 4=-:input 5=V+:power_in
part R1 2k
part R2 1k
part R3 1k
part R4 {low}
part R5 {high}
part R6 75
part R7 470
part R8 470
U1.1 R1.1
U1.2 R2.1
{inputs}
U2.1 R5.2 R6.1
R6.2 J1.1
U1.3 R7.1
R7.2 J1.2
U1.4 R8.1
R8.2 J1.3
GND: R3.2 R4.2 U1.8
VCC: U1.16
{supply}
"""


def clippings(
    supply: str = "VCC: U2.5\nGND: U2.2", low: str = "1k", high: str = "1k", load: float | None = 75.0
) -> list[Finding]:
    text = BOARD.format(low=low, high=high, supply=supply, inputs=STRAIGHT)
    table = compute_levels(trace_fully(board(text)), (load,), override=IDEAL)
    return [f for f in table.findings if f.code == "clips"]


def test_two_times_three_volts_are_over_a_supply_of_five() -> None:
    """The node stands at 0, 1, 2, 3 V; the output would at 0, 2, 4, 6 V."""
    [found] = clippings()
    assert found.where == ("U2",)
    assert "U2 clips at code 3" in found.text
    assert "asks for up to 6.00 V, over the 5 V of its supply VCC" in found.text


def test_four_times_clips_from_code_2_on() -> None:
    """1 + 3k/1k = 4: 0, 4, 8, 12 V."""
    [found] = clippings(high="3k")
    assert "from code 2 on" in found.text
    assert "12.00 V" in found.text


@pytest.mark.parametrize("load", [75.0, 1000.0, None])
def test_the_load_behind_the_amplifier_changes_nothing(load: float | None) -> None:
    assert "6.00 V" in clippings(load=load)[0].text


def test_a_supply_of_twelve_volts_is_enough() -> None:
    assert clippings("+12V: U2.5\nGND: U2.2") == []


def test_a_gain_of_one_and_a_half_is_not_too_much() -> None:
    """1 + 1k/2k: 4.5 V at the most."""
    assert clippings(low="2k") == []


def test_supplies_that_are_not_stated_are_no_limit() -> None:
    assert clippings("VCC: U1.15") == []


def test_an_inverting_amplifier_without_a_negative_supply_clips_at_ground() -> None:
    """- Rf (V1/R1 + V2/R2) = -1k x (2.5 mA, 5 mA, 7.5 mA): every code but 0 is below ground."""
    text = BOARD.format(low="1M", high="1k", inputs=INVERTING, supply="VCC: U2.5\nGND: U2.2 U2.3")
    table = compute_levels(trace_fully(board(text)), (75.0,), override=IDEAL)
    [found] = [f for f in table.findings if f.code == "clips"]
    assert "from code 1 on" in found.text
    assert "-7.50 V, under the 0 V of its supply GND" in found.text
