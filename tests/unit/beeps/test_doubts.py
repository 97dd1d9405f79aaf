"""How far a beep can be trusted: by what speaks for the leg, and for the legs beside it."""

from __future__ import annotations

import pytest

from tests.closed_loop.beep_boards import beep_board
from tests.unit.beeps.test_bench import bench
from tracer.beeps.advice import advice_of
from tracer.beeps.bench import set_up
from tracer.beeps.choice import look
from tracer.beeps.doubts import doubtful
from tracer.beeps.facts import facts_of
from tracer.beeps.rehearsal import Meter, undrawn
from tracer.beeps.weights import load_wiring
from tracer.cli.beep_dialogue import Memory
from tracer.parts.library import load_library
from tracer.tracing.pipeline import trace

#: Three bits straight from a memory, in order; what R4 beeped with is to be added.
ROW = "U9 is 6116\n[R1 R2 R3 R4] is 220\nJ1 is plug, 4 legs\nJ1.1 = [R1 R2 R3 R4].1\n[R1 R2 R3].2 = U9.[9 10 11]\n"


def doubts_of(text: str) -> dict[str, float]:
    looked = look(bench(text), load_wiring())
    found = doubtful(looked.bench, looked.wanted, looked.wiring, load_wiring())
    return {str(connection.end): chance for chance, connection in found}


def test_a_leg_that_breaks_the_order_is_doubted_more_than_one_that_keeps_it() -> None:
    kept = doubts_of(ROW + "R4.2 = U9.13\n")["U9.13"]
    broken = doubts_of(ROW + "R4.2 = U9.14\n")["U9.14"]
    assert broken > 10 * kept


def test_a_touch_that_was_made_twice_is_not_doubted() -> None:
    assert "U9.14" not in doubts_of(ROW + "R4.2 = U9.14\nU9.14 = R4.2\n")


def said_at_the_end(kind: str, seed: int) -> str:
    library, numbers = load_library(), load_wiring()
    netlist = beep_board(kind, seed)
    truth = set_up(netlist, library)
    meter = Meter(truth.circuit, numbers("answer", "beep_ohm"), 0.0, seed)
    record = Memory(undrawn(netlist, truth.colours))
    while (search := look(set_up(record.netlist(), library), numbers)).choice is not None:
        record.add(facts_of(search.choice, meter.answer(search.choice)))
    pins = {colour: str(pin) for colour, pin in truth.colours.items()}
    return advice_of(search, trace(record.netlist(), library, pins=pins), numbers).unsure


def test_where_legs_follow_no_order_the_end_says_that_a_slip_would_not_show() -> None:
    assert "on the leg beside" in said_at_the_end("shuffled", 13)
    assert "on the leg beside" not in said_at_the_end("regular", 9)


def test_a_colour_with_fewer_bits_than_another_is_named() -> None:
    assert "blue has 2 bits where red has 3" in said_at_the_end("regular", 9)
    assert "bits where" not in said_at_the_end("regular", 8)


@pytest.mark.parametrize(
    ("more", "kind", "said"),
    [
        ("U8.2 = U9.2", "two outputs", "U8.2 and U9.2 are both outputs and would fight, but by the notes they are one net"),
        ("U8.20 = U8.10", "ground and supply", "U8.10 and U8.20 are ground and supply, but by the notes they are one net"),
        ("U8.2 = U8.20", "output and supply", "U8.2 and U8.20 are an output and a supply, but by the notes they are one net"),
        ("R1.2 != U8.2", "heard and not heard", "R1.2 and U8.2 did not beep, but by other lines they are one net"),
    ],
)  # fmt: skip
def test_answers_that_cannot_all_be_right(more: str, kind: str, said: str) -> None:
    text = "U8 is 74LS273\nU9 is 74LS273\n[R1 R2] is 220\nJ1 is plug, 4 legs\nJ1.1 = R1.1\nred is J1.1\nR1.2 = U8.2\n"
    looked = look(bench(text + more + "\n"), load_wiring())
    assert [clash.kind for clash in looked.clashes] == [kind]
    [contradiction] = advice_of(
        looked, trace(looked.bench.known, pins={"red": "J1.1"}), load_wiring()
    ).contradictions
    assert contradiction.text == said
