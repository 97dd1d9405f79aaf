"""Resistors that look wrong: by the other colours, by the doubling, by the order of the memory's pins."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.stage_boards import stage_board, weighted
from tracer.base.findings import Finding
from tracer.importers import read_netlist
from tracer.netlist.board import Netlist, with_markings
from tracer.tracing.pipeline import trace

DUNLIN = "netlists/dunlin/dunlin.net"


def found(netlist: Netlist, code: str) -> list[Finding]:
    return [f for f in trace(netlist).findings if f.code == code]


def dunlin(**values: str) -> Netlist:
    return with_markings(read_netlist(DUNLIN), values)


@pytest.mark.parametrize(
    ("values", "part", "words"),
    [
        ({"R1": "220k"}, "R1", "R1 is 220k where green and blue have 220R (a thousand times too much)"),
        ({"R4": "22k"}, "R4", "R4 is 22k where green and blue have 2k2 (ten times too much)"),
        ({"R3": "100"}, "R3", "R3 is 100R where green and blue have 1k (a tenth)"),
        ({"R2": "220"}, "R2", "R2 is 220R where green and blue have 470R (equal to R1)"),
        ({"R2": "510"}, "R2", "R2 is 510R where green and blue have 470R;"),
    ],
)
def test_the_other_colours_tell_a_wrong_value(values: dict[str, str], part: str, words: str) -> None:
    findings = [f for f in found(dunlin(**values), "resistor-slip") if f.where == (part,)]
    assert len(findings) == 1
    assert words in findings[0].text
    assert findings[0].severity == "warning"


def test_two_resistors_swapped_leave_the_order_of_the_memorys_pins() -> None:
    (finding,) = found(dunlin(R2="1k", R3="470"), "resistors-swapped")
    assert set(finding.where) == {"R2", "R3"}
    assert not found(dunlin(R2="1k", R3="470"), "resistor-slip")


def test_a_board_as_it_should_be_has_no_slips() -> None:
    codes = {f.code for f in trace(dunlin()).findings}
    assert not codes & {
        "resistor-slip",
        "resistors-swapped",
        "resistor-open",
        "pack-common-open",
        "not-fitted",
    }


def test_the_doubling_tells_a_slip_where_no_colour_can_be_compared() -> None:
    """68k fitted where 68 ohm belongs; green and blue of this board have one bit."""
    netlist = stage_board(weighted(270, 130, 68_000), 3)
    (finding,) = found(netlist, "resistor-slip")
    assert finding.where == ("R2",)
    assert "the doubling of the others wants 68R" in finding.text


def test_an_odd_set_that_two_explanations_fit_is_not_explained() -> None:
    assert not found(stage_board(weighted(1000, 100), 2), "resistor-slip")


def test_a_ladder_is_no_row_of_equal_resistors() -> None:
    stage = """
part R0 2k
part R1 2k
part R2 2k
part R10 1k
part R11 1k
part R12 2k
B0: R0.1
B1: R1.1
B2: R2.1
RED: R2.2 R11.1
N1: R1.2 R11.2 R10.1
N0: R0.2 R10.2 R12.1
GND: R12.2
"""
    assert not found(stage_board(stage, 3), "resistor-slip")


def test_a_resistor_that_leads_nowhere() -> None:
    (finding,) = found(
        stage_board(weighted(1000, 470) + "\npart R9 220\nRED: R9.1\nLOST: R9.2", 2), "resistor-open"
    )
    assert finding.where == ("R9.2",)


PACK = """
part RN1 4x1k symbol=R_Network04
part R0 1000
part R1 1000
B0: R0.1
B1: R1.1
RED: R0.2 R1.2 RN1.2
"""


def test_the_common_leg_of_a_pack_that_goes_nowhere() -> None:
    (finding,) = found(stage_board(PACK + "X: RN1.1", 2), "pack-common-open")
    assert finding.where == ("RN1.1",)
    assert len(found(stage_board(PACK, 2), "pack-common-open")) == 1
    assert not found(stage_board(PACK + "GND: RN1.1", 2), "pack-common-open")


def test_a_pack_that_is_not_fitted_is_said() -> None:
    netlist = stage_board(PACK + "GND: RN1.1", 2)
    parts = tuple(replace(p, fitted=p.reference != "RN1") for p in netlist.parts)
    (finding,) = found(replace(netlist, parts=parts), "not-fitted")
    assert finding.where == ("RN1",)
