"""Any text that is told of a fault is an observation, or refused in one sentence that says what to do."""

from __future__ import annotations

from functools import cache

from hypothesis import given
from hypothesis import strategies as st

from tests.stage_boards import stage_board
from tracer.base.errors import UsageError
from tracer.netlist.board import Evidence
from tracer.suspects.evidence import KINDS, observations_of, observations_told
from tracer.suspects.observation import Observation
from tracer.suspects.priors import load_priors
from tracer.suspects.reasoning import Reasoning
from tracer.tracing.pipeline import trace_fully

WORDS = (
    "red", "green", "white", "as", "blue", "#0000ff", "not", "no", "isn't", "missing", "fine", "and", ",", ";", "all", "rest",
    "shapes", "right", "broken", "half", "bright", "when", "warm", "pressed", "U9", "U9.2", "u4.9", "R0", "to", "ground", "low",
    "high", "between", "0.2", "V", "12 V", "-5V", "3V3", "470", "4k7", "=", "\"", "instead of", "should be", "only", "layer",
    "cured", "change", "beep", "none", "open", "short", "still", "pulsing", "the", "is", ".", "\u00b2", "\u0661", "\u2019",
)  # fmt: skip
#: Words of the bench in any order, and any text at all.
TEXTS = (
    st.lists(st.sampled_from(WORDS), max_size=9).map(" ".join)
    | st.text(max_size=60)
    | st.just("as not " * 90)
)


@cache
def reasoning() -> Reasoning:
    return Reasoning(trace_fully(stage_board("part R0 1000\nB0: R0.1\nRED: R0.2", 1)), load_priors())


@given(st.sampled_from(KINDS), TEXTS, TEXTS)
def test_any_text_is_an_observation_or_a_sentence(kind: str, where: str, words: str) -> None:
    refused = ""
    found: list[Observation] = []
    try:
        found = observations_told(reasoning(), kind, where, words)
    except UsageError as error:
        refused = error.fix or ""
    assert bool(found) != bool(refused)
    for observation in found:
        chances = [reasoning().likelihood(i, observation) for i in range(len(reasoning().faults))]
        assert all(0.0 <= p <= 1.0 + 1e-9 for p in chances)


@given(st.sampled_from(["seen", "read", "swapped", "measured"]), TEXTS)
def test_any_evidence_of_notes_is_used_or_said(kind: str, words: str) -> None:
    where = {"seen": (), "read": ("U9.2",), "swapped": ("U9",), "measured": ("R0.1", "R0.2")}[kind]
    found, unused = observations_of(reasoning(), (Evidence(kind, where, words),))
    assert bool(found) != bool(unused)
    assert all(isinstance(each, Observation) for each in found)
