"""The choice of the next touch."""

from __future__ import annotations

from tests.unit.beeps.test_bench import bench
from tests.unit.beeps.test_wanted import PARTS
from tracer.beeps.choice import Search, look
from tracer.beeps.weights import load_wiring
from tracer.netlist.board import PinRef

#: Two bits of red found on a latch, in order; a third resistor waits.
ROW = (
    "U9 is 6116\nU13 is 74LS273\n[R1 R2 R3 R4] is 220\nJ1 is plug, 4 legs\nJ1.1 = [R1 R2 R3 R4].1\n"
    "[R1 R2 R3].2 = U13.[2 5 6]\n"
)


def search(text: str) -> Search:
    return look(bench(text), load_wiring())


def test_the_first_touch_is_at_a_colour_pin() -> None:
    choice = search(PARTS).choice
    assert choice is not None
    assert choice.held == PinRef("J1", "1")


def test_the_fourth_of_a_regular_row_is_asked_for_as_one_predicted_touch() -> None:
    looked = search(ROW)
    want = next(w for w, _ in looked.open if w.kind == "driver")
    chances = looked.wiring.chances(want)
    best = max(chances, key=lambda p: chances[p])
    assert best == PinRef("U13", "9")
    assert chances[best] > 0.5


def test_supply_legs_are_never_swept() -> None:
    looked = search(ROW)
    swept = {pin for want, chances in looked.open if want.kind == "stage" for pin in chances}
    assert not any(looked.bench.is_rail(pin) for pin in swept)


def test_a_leg_that_did_not_beep_is_put_off() -> None:
    before = search(ROW)
    after = search(ROW + "R4.2 != U13.9\n")
    want = next(w for w, _ in before.open if w.kind == "driver")
    leg = PinRef("U13", "9")
    assert after.wiring.chances(want)[leg] < 0.1 * before.wiring.chances(want)[leg]


def test_a_skipped_touch_is_not_asked_again() -> None:
    first = search(PARTS)
    assert first.choice is not None
    skipped = {(first.choice.held, leg) for leg, _ in first.choice.legs}
    second = look(bench(PARTS), load_wiring(), skipped)
    assert second.choice is not None
    assert not skipped & {(second.choice.held, leg) for leg, _ in second.choice.legs}


def test_two_outputs_on_one_net_are_asked_again_with_the_lines_they_rest_on() -> None:
    looked = search(ROW + "R3.2 = U13.12\n")
    (clash,) = looked.clashes
    assert clash.kind == "two outputs"
    assert looked.choice is not None
    assert looked.choice.clash is clash
    assert PinRef("R3", "2") in {pin for touch in clash.rests_on for pin in touch.pins}


def test_a_beep_that_nothing_spoke_for_is_asked_once_more() -> None:
    regular = "[R5 R6 R7 R8] is 470\nJ1.2 = [R5 R6 R7 R8].1\n"
    looked = search(ROW + regular + "R4.2 = U13.9\nR5.2 = U13.12\nR6.2 = U13.13\n")
    # Leg 13 is an input beside leg 12 and 15: no resistor of a colour ends there.
    assert looked.choice is not None


def test_ohms_between_two_legs_bring_the_small_resistor_to_the_front() -> None:
    text = ROW + "R9 is 33\nmeasured R4.2 to U13.9 33 ohm\n"
    looked = search(text)
    want = next(w for w, _ in looked.open if w.kind == "driver")
    chances = looked.wiring.chances(want)
    assert {p.part for p in sorted(chances, key=lambda p: -chances[p])[:2]} == {"R9"}
