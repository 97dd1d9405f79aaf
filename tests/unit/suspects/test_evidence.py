"""What people say -> observations."""

from __future__ import annotations

import pytest

from tests.stage_boards import stage_board, weighted
from tracer.base.errors import UsageError
from tracer.netlist.board import Evidence
from tracer.suspects.evidence import observations_of, parse_read, parse_seen, parse_swapped
from tracer.suspects.observation import Observation
from tracer.suspects.priors import load_priors
from tracer.suspects.reasoning import Reasoning
from tracer.tracing.pipeline import trace_fully


@pytest.mark.parametrize(
    ("said", "word"),
    [
        ("missing", "missing"), ("gone", "missing"), ("is gone", "missing"), ("fine", "fine"), ("OK", "fine"),
        ("always on", "always on"), ("dim", "weak"), ("too strong", "too strong"), ("coarse steps", "coarse"),
        ("mixed with green", "mixed"), ("flickering", "flickers"), ("wrong all over", "wrong"),
    ],
)  # fmt: skip
def test_words_of_the_screen(said: str, word: str) -> None:
    assert parse_seen("red", said, ("red", "green")) == [Observation("seen", ("red",), word)]


@pytest.mark.parametrize(
    ("said", "word"),
    [
        ("stuck low", "low"), ("high", "high"), ("toggling", "pulsing"), ("floats", "floating"), ("in-between", "between"),
        ("0.3 V", "low"), ("1,4V", "between"), ("3.4 volts", "high"), ("0.8 V", "between"), ("2.0V", "between"),
    ],
)  # fmt: skip
def test_readings_as_words_and_volts(said: str, word: str) -> None:
    assert parse_read("U4.11", said) == Observation("read", ("U4", "11"), word)


def test_swaps() -> None:
    assert parse_swapped("U4", "no change").word == "no change"
    assert parse_swapped("U4", "fixed it").word == "cured"


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: parse_seen("red", "purple"),
        lambda: parse_read("U4.11", "yes"),
        lambda: parse_read("U4", "low"),
        lambda: parse_swapped("U4", "perhaps"),
    ],
)
def test_what_is_not_understood_is_a_sentence_with_the_words_that_are(wrong) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(UsageError) as caught:
        wrong()
    assert "fix: " in str(caught.value)


def test_evidence_of_notes() -> None:
    found = Reasoning(trace_fully(stage_board(weighted(1000, 470), 2)), load_priors())
    evidence = (
        Evidence("seen", (), "red and green missing, blue fine"),
        Evidence("seen", (), "red mixed with green"),
        Evidence("read", ("U9.2",), "stuck low"),
        Evidence("swapped", ("U4",), "no change"),
        Evidence("measured", ("R0.1", "R0.2"), "990 ohm"),
        Evidence("measured", ("R1.1", "R1.2"), "10M"),
        Evidence("measured", ("U4.9", "U9.3"), "0.3 ohm"),
        Evidence("measured", ("U9.3", "U4.9"), "20k"),
    )
    observations, unused = observations_of(found, evidence)
    assert not unused
    assert observations == [
        Observation("seen", ("red",), "missing"),
        Observation("seen", ("green",), "missing"),
        Observation("seen", ("blue",), "fine"),
        Observation("seen", ("red",), "mixed"),
        Observation("read", ("U9", "2"), "low"),
        Observation("swapped", ("U4",), "no change"),
        Observation("ohms", ("R0",), "as it should be"),
        Observation("ohms", ("R1",), "open"),
        Observation("beep", ("U4.9", "U9.3"), "beep"),
        Observation("beep", ("U4.9", "U9.3"), "no beep"),
    ]


def test_evidence_that_cannot_be_used_is_said_and_not_guessed() -> None:
    found = Reasoning(trace_fully(stage_board(weighted(1000), 1)), load_priors())
    evidence = (
        Evidence("seen", (), "the title is late"),
        Evidence("read", ("U99.1",), "low"),
        Evidence("measured", ("R0.1", "U4.9"), "5k"),
        Evidence("swapped", ("U4",), "perhaps"),
    )
    observations, unused = observations_of(found, evidence)
    assert observations == []
    assert [f.code for f in unused] == ["evidence-unused"] * 4
