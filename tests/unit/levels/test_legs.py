"""What each leg should read, board on and board off."""

from __future__ import annotations

import pytest

from tests.stage_boards import traced_stage, weighted
from tests.unit.levels.test_codes import COUPLED
from tracer.importers import read_netlist
from tracer.levels.board_off import LEAD_OHM, RESISTOR_TOLERANCE, ohms_between
from tracer.levels.codes import bench_levels
from tracer.levels.leg_values import Cause, LegReading, OhmRange
from tracer.levels.legs import read_legs
from tracer.levels.words import cause_text
from tracer.parts.families import families
from tracer.tracing.pipeline import Traced, trace_fully

CONTROLS = """
part U20 74LS74
part U21 74LS04
PCLK: U9.11 U20.5
/BLANK: U9.1 U21.2
VCC: U20.14 U21.14
GND: U20.7 U21.7
"""


def legs(traced: Traced) -> dict[str, LegReading]:
    return {f"{x.part}.{x.pin}": x for x in read_legs(traced)}


def is_within(ohms: OhmRange | None, low: float, high: float | None) -> bool:
    """Whether a range is that from one value to another, widened by the tolerance and the lead."""
    assert ohms is not None
    wanted = high is None or high * (1 + RESISTOR_TOLERANCE) + LEAD_OHM
    return ohms.lowest == pytest.approx(low * (1 - RESISTOR_TOLERANCE), abs=1e-2) and (
        ohms.highest is None if high is None else ohms.highest == pytest.approx(wanted, abs=1e-2)
    )


def test_every_leg_from_the_memory_to_the_connector_is_listed_once() -> None:
    found = read_legs(traced_stage(weighted(1000, 470, 220), 3))
    names = [f"{x.part}.{x.pin}" for x in found]
    assert len(names) == len(set(names))
    assert {"U4.9", "U4.10", "U4.11", "U9.3", "U9.2", "U9.6", "J1.1", "U9.11", "U9.1"} <= set(names)
    # The connector comes last: the way of the picture is the way of the probe.
    assert names[-3:] == ["J1.1", "J1.2", "J1.3"]


def test_data_pulse_clocks_pulse_always_and_blanking_holds() -> None:
    found = legs(traced_stage(weighted(470) + CONTROLS, 1))
    assert found["U9.2"].activity == "pulses with the picture"
    assert found["U9.2"].cause is None
    clock, clear = found["U9.11"], found["U9.1"]
    assert clock.activity == "pulses all the time"
    assert clock.cause == Cause(clock.net, driver="U20.5", is_clock=True)
    assert cause_text(clock.cause) == "pixel clock, driven by U20.5"
    assert clear.activity == "held by blanking"
    assert clear.cause == Cause(clear.net, driver="U21.2")
    assert cause_text(clear.cause) == "BLANK, driven by U21.2"


def test_a_control_on_a_rail_is_still_at_that_level() -> None:
    found = legs(traced_stage(weighted(470) + "\npart U20 74LS74\nPCLK: U9.11 U20.5\nVCC: U9.1 U20.14", 1))
    clear = found["U9.1"]
    assert (clear.activity, clear.cause) == ("still", Cause("VCC", tied=1, rail="VCC"))
    assert cause_text(clear.cause) == "tied high to VCC"
    assert (clear.low, clear.high) == (None, (5.0, 5.0))


def test_a_control_that_the_drawing_leaves_open_is_not_known() -> None:
    clear = legs(traced_stage(weighted(470), 1))["U9.1"]
    assert clear.activity == "not known"
    assert clear.cause == Cause(None)
    assert cause_text(clear.cause) == "the drawing does not say where it goes"


def test_levels_on_a_plain_leg_are_those_of_the_output_that_drives_it() -> None:
    found = legs(traced_stage(weighted(470) + CONTROLS, 1))
    ls, cmos = families()["LS"], families()["CMOS"]
    assert found["U9.11"].high == (ls.high_min, ls.high)
    assert found["U9.11"].low == (0.0, ls.low_max)
    assert found["U9.3"].high == found["U4.9"].high == (cmos.high_min, cmos.high)


def test_a_leg_that_drives_the_stage_sags_as_the_stage_says() -> None:
    """High into 220 + 75 ohm: the divider of the output's resistance and the rest."""
    found = legs(traced_stage(weighted(220), 1))["U9.2"]
    ls = families()["LS"]
    typical = ls.high * 295 / (295 + ls.source_ohm)
    weak = ls.high_min * 295 / (295 + ls.source_ohm_max)
    assert found.high == pytest.approx((weak, typical), abs=1e-6)
    assert found.low == pytest.approx((0.0, 0.0), abs=1e-6)


def test_ohms_to_the_next_bits_leg_are_both_resistors() -> None:
    found = legs(traced_stage(weighted(1000, 470), 2))
    assert found["U9.2"].neighbour == "U9.5"
    assert is_within(found["U9.2"].to_neighbour, 1470, 1470)
    assert found["U9.5"].neighbour == "U9.2"


def test_ohms_to_ground() -> None:
    stage = weighted(1000, 470) + "\npart R30 470\nRED: R30.1\nGND: R30.2"
    found = legs(traced_stage(stage, 2))
    assert is_within(found["J1.1"].to_ground, 470, 470)
    assert is_within(found["U9.2"].to_ground, 1470, 1470)
    assert found["U4.9"].to_ground == OhmRange(None, None)


def test_a_pull_up_gives_a_range_as_the_supply_may_or_may_not_lead_to_ground() -> None:
    stage = weighted(1000) + "\npart R30 470\npart R31 470\nRED: R30.1 R31.1\nGND: R30.2\nVCC: R31.2"
    red = legs(traced_stage(stage, 1))["J1.1"].to_ground
    assert is_within(red, 235, 470)


def test_a_pull_up_alone_reads_its_value_or_open() -> None:
    stage = weighted(1000) + "\npart R31 470\nRED: R31.1\nVCC: R31.2"
    red = legs(traced_stage(stage, 1))["J1.1"].to_ground
    assert is_within(red, 470, None)


def test_a_link_is_no_resistance_and_an_unread_value_no_answer() -> None:
    traced = traced_stage(
        weighted(1000) + "\npart R30 0R\npart R31 470\nRED: R30.1\nX: R30.2 R31.1\nGND: R31.2", 1
    )
    assert is_within(legs(traced)["J1.1"].to_ground, 470, 470)
    unread = traced_stage(weighted(1000) + "\npart R30 BOURNS\nRED: R30.1\nGND: R30.2", 1)
    assert ohms_between(unread.circuit, "RED", None) is None


STAGES = {
    "a row of resistors": traced_stage(weighted(1000, 470, 220), 3),
    "behind a capacitor": traced_stage(COUPLED, 2),
    "more bits than are asked one by one": traced_stage(weighted(8200, 3900, 2000, 1000, 510, 240), 6),
}


@pytest.mark.parametrize("load", [75.0, 1000.0, None])
@pytest.mark.parametrize("stage", STAGES)
def test_a_colour_pin_reads_its_darkest_and_its_brightest_level(stage: str, load: float | None) -> None:
    """As the table of levels has them: its typical ones are an end, the weak ones within what it grants."""
    traced = STAGES[stage]
    levels = bench_levels(traced, load).colours[0].at(load)
    [pin] = [x for x in read_legs(traced, load) if x.role == "colour pin" and ("red", 0) in x.feeds]
    assert levels is not None
    assert pin.low is not None
    assert pin.high is not None
    dark, bright = levels.span
    assert bright > dark + 0.1
    assert any(end == pytest.approx(dark, abs=1e-5) for end in pin.low)
    assert any(end == pytest.approx(bright, abs=1e-5) for end in pin.high)
    for code, (least, greatest) in ((levels.codes[0], pin.low), (levels.codes[-1], pin.high)):
        assert code.lowest - 1e-5 <= least <= greatest <= code.highest + 1e-5
    assert pin.high[0] < pin.high[1], "a weak output gives less"


@pytest.mark.parametrize(
    "stage",
    [
        weighted(1000).replace("part R0 1000", "part R0 BOURNS"),
        # Open collectors without a pull-up move nothing.
        "part U7 7405\nB0: U7.1\nC0: U7.2 R0.1\npart R0 470\nVCC: U7.14\nGND: U7.7\nRED: R0.2",
    ],
)
def test_a_colour_pin_whose_stage_cannot_be_solved_tells_no_volts(stage: str) -> None:
    traced = traced_stage(stage, 1)
    assert not bench_levels(traced, 75.0).colours[0].loads
    pin = next(x for x in read_legs(traced) if f"{x.part}.{x.pin}" == "J1.1")
    assert (pin.low, pin.high) == (None, None)
    green = next(x for x in read_legs(traced) if f"{x.part}.{x.pin}" == "J1.2")
    assert green.high is not None


def test_the_colour_pins_are_read_at_the_load_at_which_the_board_was_traced() -> None:
    netlist = read_netlist("netlists/dunlin/dunlin.net")
    at_75, at_1k = trace_fully(netlist), trace_fully(netlist, load_ohm=1000.0)
    assert read_legs(at_1k) == read_legs(at_75, 1000.0)
    assert read_legs(at_1k) != read_legs(at_75)
    assert read_legs(at_75) == read_legs(at_75, 75.0)
