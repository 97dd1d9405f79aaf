"""Notes that grow by answers, as lines; what becomes of a file of them is in tests/unit/cli/test_notes_file.py."""

from __future__ import annotations

from tracer.beeps.facts import Facts
from tracer.beeps.note_lines import fact_lines, with_answer, without_last
from tracer.netlist.board import PinRef, Touch

HELD, ONE, TWO, THREE = PinRef("R1", "2"), PinRef("U13", "2"), PinRef("U13", "5"), PinRef("U14", "A6")


def quiet(*legs: PinRef) -> tuple[Touch, ...]:
    return tuple(Touch((HELD, leg), False) for leg in legs)


def test_legs_of_one_part_that_do_not_beep_stand_on_one_line() -> None:
    assert fact_lines(Facts(quiet(ONE, TWO, THREE))) == ["R1.2 != U13.[2 5]", "R1.2 != U14.A6"]


def test_ohms_are_noted_as_measured() -> None:
    assert fact_lines(Facts((), ((HELD, ONE, 33.0),))) == ["measured R1.2 to U13.2 33 ohm"]


def test_what_was_added_last_is_what_is_taken_back() -> None:
    start = ["U13 is 74LS273"]
    once, _ = with_answer(start, Facts(quiet(ONE)), ())
    twice, added = with_answer(once, Facts((Touch((HELD, TWO), True),)), ())
    assert added == ["R1.2 = U13.5  # answer 2"]
    back, gone = without_last(twice)
    assert (back, gone) == ([*once, "# undone: R1.2 = U13.5  # answer 2"], added)


def test_where_no_answer_is_nothing_is_taken_back() -> None:
    assert without_last(["U13 is 74LS273"]) == (["U13 is 74LS273"], [])
