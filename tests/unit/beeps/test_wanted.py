"""Open ends: what the beeps so far leave to be found."""

from __future__ import annotations

from tests.unit.beeps.test_bench import COLOURS, bench
from tracer.beeps.wanted import Wanted
from tracer.beeps.ways_back import find_wanted
from tracer.netlist.board import PinRef

PARTS = "U9 is 6116\nU13 is 74LS273\nR1 is 220\nR2 is 470\nJ1 is plug, 4 legs\n"


def wanted(text: str) -> Wanted:
    return find_wanted(bench(text, COLOURS))


def open_ends(text: str) -> set[tuple[str, str]]:
    return {(w.kind, str(w.held)) for w in wanted(text).open}


def test_at_first_only_the_colour_pins_are_open() -> None:
    assert open_ends(PARTS) == {("stage", "J1.1"), ("stage", "J1.2"), ("stage", "J1.3")}


def test_a_resistor_on_a_colour_pin_opens_its_far_end() -> None:
    assert ("driver", "R1.2") in open_ends(PARTS + "J1.1 = R1.1")


def test_a_driver_opens_the_input_of_its_section() -> None:
    ends = open_ends(PARTS + "J1.1 = R1.1\nR1.2 = U13.19")
    assert ("input", "U13.18") in ends
    assert not any(kind == "driver" for kind, _ in ends)


def test_a_memory_closes_the_way() -> None:
    found = wanted(PARTS + "J1.1 = R1.1\nR1.2 = U13.19\nU13.18 = U9.17")
    assert list(found.memories) == [PinRef("U9", "17")]
    assert {w.kind for w in found.open} == {"stage"}


def test_one_leg_of_each_memory_is_tried_on_the_data_legs_of_every_other_for_a_shared_bus() -> None:
    path = PARTS + "U10 is 6264\nJ1.1 = R1.1\nR1.2 = U13.19\nU13.18 = U9.17\n"
    assert ("bank", "U9.17") in open_ends(path)
    assert ("bank", "U9.17") in open_ends(path + "U9.17 != U10.19")
    assert ("bank", "U9.17") not in open_ends(path + "U9.17 != U10.[11 12 13 15 16 17 18 19]")


def test_a_bus_that_is_shared_on_one_leg_is_followed_on_the_others() -> None:
    path = (
        PARTS
        + "U10 is 6116\nJ1.1 = [R1 R2].1\n[R1 R2].2 = U13.[19 16]\nU13.[18 17] = U9.[17 16]\nU9.17 = U10.17"
    )
    assert ("bank", "U9.16") in open_ends(path)


def test_of_a_gate_one_input_with_a_memory_behind_it_is_enough() -> None:
    path = PARTS + "U5 is 74LS08\nJ1.1 = R1.1\nR1.2 = U5.3\n"
    assert {("input", "U5.1"), ("input", "U5.2")} <= open_ends(path)
    assert ("input", "U5.2") not in open_ends(path + "U5.1 = U9.17")


def test_an_input_on_a_supply_is_not_open() -> None:
    path = PARTS + "U5 is 74LS157\nJ1.1 = R1.1\nR1.2 = U5.4\n"
    assert ("input", "U5.3") in open_ends(path)
    assert ("input", "U5.3") not in open_ends(path + "U5.3 = U9.12")


def test_behind_a_small_resistor_the_base_of_the_follower_is_open_and_its_collector_is_not() -> None:
    path = PARTS + "Q1 is 2N3904\nR3 is 75\nJ1.1 = R3.1\nR3.2 = Q1.1\n"
    ends = open_ends(path)
    assert ("stage", "Q1.2") in ends
    assert not any(held == "Q1.3" for _, held in ends)
