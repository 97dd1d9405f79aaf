"""R-2R ladders among the candidates: where one may go on, and where it cannot."""

from __future__ import annotations

from tests.unit.beeps.test_bench import bench
from tracer.beeps.ladder import ends_ladder, ladder_legs
from tracer.beeps.ways_back import find_wanted
from tracer.beeps.weights import load_wiring
from tracer.netlist.board import PinRef

#: The end of a ladder on red: R and 2R on the colour pin; R3 and R4 wait, R5 fits nowhere.
END = (
    "U9 is 74LS273\n[R1 R3] is 1k\n[R2 R4] is 2k\nR5 is 4k7\nJ1 is plug, 4 legs\nred is J1.1\ngreen is J1.2\n"
    "blue is J1.3\nJ1.1 = [R1 R2].1\n"
)


def legs_behind(text: str, held: str) -> tuple[set[str], float]:
    looked = bench(text)
    wanted = find_wanted(looked)
    part, pin = held.split(".")
    want = next(w for w in wanted.open if w.kind == "driver" and w.held == PinRef(part, pin))
    weights, chance = ladder_legs(looked, wanted, want, load_wiring())
    return {str(leg) for leg in weights}, chance


def test_one_to_two_on_a_pin_is_the_end_of_a_ladder_and_other_pairs_are_not() -> None:
    assert ends_ladder([1000, 2000])
    assert ends_ladder([2010, 1000])
    assert not ends_ladder([1000, 2200])
    assert not ends_ladder([1000, 2000, 3900])
    assert not ends_ladder([1000])


def test_a_ladder_goes_on_behind_its_smaller_resistor_to_either_value() -> None:
    legs, chance = legs_behind(END, "R1.2")
    assert legs == {"R3.1", "R3.2", "R4.1", "R4.2"}
    assert chance > 0.5


def test_behind_the_larger_resistor_stands_a_driver() -> None:
    assert legs_behind(END, "R2.2") == (set(), 0.0)


def test_a_colour_with_more_resistors_on_its_pin_speaks_against_ladders() -> None:
    with_green = END + "[R6 R7 R8] is 1k\nJ1.2 = [R6 R7 R8].1\n"
    assert legs_behind(with_green, "R1.2") == (set(), 0.0)
