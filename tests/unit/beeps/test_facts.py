"""What an answer adds to the notes."""

from __future__ import annotations

from tracer.beeps.choice import Choice
from tracer.beeps.facts import Answer, facts_of, with_touches
from tracer.beeps.wanted import Connection, Want
from tracer.importers.typed.bench_notes import parse
from tracer.netlist.board import PinRef

HELD = PinRef("R1", "2")
LEGS = tuple((PinRef("U13", n), 0.2) for n in ("2", "5", "6"))
FIND = Choice(HELD, LEGS, Want("driver", HELD, "red"))


def test_the_legs_before_the_one_that_beeped_did_not() -> None:
    facts = facts_of(FIND, Answer(PinRef("U13", "6")))
    assert [(str(t.pins[1]), t.heard) for t in facts.touches] == [
        ("U13.2", False),
        ("U13.5", False),
        ("U13.6", True),
    ]


def test_none_speaks_for_every_leg_of_the_sweep() -> None:
    facts = facts_of(FIND, Answer(None))
    assert [t.heard for t in facts.touches] == [False, False, False]


def test_a_beep_of_some_ohms_is_no_connection() -> None:
    facts = facts_of(FIND, Answer(PinRef("U13", "2"), 33.0))
    assert facts.touches == ()
    assert facts.measured == ((HELD, PinRef("U13", "2"), 33.0),)


def test_a_beep_of_lead_resistance_is_one() -> None:
    assert facts_of(FIND, Answer(PinRef("U13", "2"), 0.4)).touches[0].heard


def test_a_repeated_touch_without_a_beep_strikes_the_first() -> None:
    repeat = Choice(HELD, LEGS[:1], repeat=Connection(Want("driver", HELD, "red"), PinRef("U13", "2")))
    notes = parse("R1 is 220\nU13 is 74LS273\nR1.2 = U13.2\n", "x.notes", "x")
    after = with_touches(notes, [facts_of(repeat, Answer(None))])
    assert after.nets == ()
    assert [t.heard for t in after.notes.touches] == [False]


def test_a_beep_takes_back_that_none_was_heard_on_the_same_two_legs() -> None:
    notes = parse("R1 is 220\nU13 is 74LS273\nU13.2 != R1.2\n", "x.notes", "x")
    after = with_touches(notes, [facts_of(FIND, Answer(PinRef("U13", "2")))])
    assert [t.heard for t in after.notes.touches] == [True]
