"""What a trace of bench notes needs and nobody has to beep."""

from __future__ import annotations

from tracer.bitmap.model import BitMap
from tracer.circuit.beeped import traceable
from tracer.importers.typed.bench_notes import parse
from tracer.parts.library import load_library
from tracer.tracing.pipeline import trace

FOLLOWER = (
    "U9 is 82S129\nQ1 is 2N3904\nR1 is 75\nR2 is 470\nR3 is 470\nR4 is 470\nJ1 is plug, 4 legs\n"
    "red is J1.1\ngreen is J1.2\nblue is J1.3\n"
    "J1.1 = R1.1\nR1.2 = Q1.1\nQ1.2 = R2.1\nR2.2 = U9.12\n"
)


def traced(text: str) -> BitMap:
    return trace(parse(text, "x.notes", "x"))


def test_the_collector_of_a_follower_need_not_be_beeped_and_the_map_says_what_it_took_it_for() -> None:
    bit_map = traced(FOLLOWER)
    red = bit_map.colours[0]
    assert [(b.driver.part, b.driver.pin) for b in red.bits] == [("U9", "12")]
    assert any("Q1.3, the collector of a follower, was not beeped" in f.text for f in bit_map.findings)


def test_a_collector_that_was_beeped_is_where_the_notes_say() -> None:
    bit_map = traced(FOLLOWER + "VCC: Q1.3 = U9.16\n")
    assert not any("collector" in f.text for f in bit_map.findings)


def test_a_colour_pin_that_nothing_beeped_with_has_no_bits_and_stops_nothing() -> None:
    bit_map = traced(FOLLOWER)
    assert [len(c.bits) for c in bit_map.colours] == [1, 0, 0]


def test_a_select_leg_that_beeps_with_a_chips_ground_leg_is_low() -> None:
    notes = FOLLOWER.replace("R2.2 = U9.12", "R2.2 = U5.4\nU5.2 = U9.12\nU5.1 = U9.8\n") + "U5 is 74LS157\n"
    (bit,) = traced(notes).colours[0].bits
    assert {(p.source.part, p.source.pin) for p in bit.paths} == {("U9", "12")}


def test_a_number_of_legs_that_was_not_believed_is_said() -> None:
    notes = parse(FOLLOWER + "RN1 is 201 x 470 isolated\nRN2 is 200 x 470 isolated\n", "x.notes", "x")
    texts = [f.text for f in traceable(notes, load_library()).findings]
    assert [t for t in texts if "up to 400 legs" in t] == [
        "RN1 is 201 x 470 isolated: a part has up to 400 legs here, so only those that the notes name count"
    ]
