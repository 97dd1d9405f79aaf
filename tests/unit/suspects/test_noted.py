"""What a person told can be kept as lines of notes, and means the same when it is read again."""

from __future__ import annotations

import pytest

from tests.browser.pages import traced_board
from tracer.importers import parse_netlist
from tracer.suspects.evidence import observations_of
from tracer.suspects.noted import note_line
from tracer.suspects.observation import ANSWERS, Observation
from tracer.suspects.priors import load_priors
from tracer.suspects.reasoning import Reasoning
from tracer.suspects.words import WORDS


def _read_back(reasoning: Reasoning, wanted: list[Observation]) -> list[Observation]:
    text = "\n".join(map(note_line, wanted)) + "\n"
    notes = parse_netlist(text, "saved.notes", format_name="bench-notes").notes
    found, unused = observations_of(reasoning, notes.evidence)
    assert unused == []
    return found


@pytest.mark.parametrize("name", ["dunlin", "wren", "plover", "avocet"])
def test_every_answer_to_every_measurement_is_read_back(name: str) -> None:
    reasoning = Reasoning(traced_board(name), load_priors())
    wanted = []
    for candidate in reasoning.candidates():
        words = ANSWERS[candidate.kind]
        if candidate.kind == "ohms" and len(candidate.where) > 1:
            # Of a track a meter says whether it is shorted, no more.
            words = ("as it should be", "short")
        wanted += [Observation(candidate.kind, candidate.where, word) for word in words]
    assert len(wanted) > 400
    assert _read_back(reasoning, wanted) == wanted


def test_what_is_seen_is_read_back_said_and_denied() -> None:
    reasoning = Reasoning(traced_board("dunlin"), load_priors())
    colours = ("red", "green", "blue")
    wanted = [Observation("seen", (c,), word, no) for c in colours for word in WORDS for no in (False, True)]
    wanted += [
        Observation("appears", ("white",), "blue"),
        Observation("appears", ("white",), "pink", is_denied=True),
        Observation("shapes", (), "right"),
        Observation("shapes", (), "broken"),
        *(
            one
            for no in (False, True)
            for one in (Observation("warmth", (), "changes", no), Observation("layer", (), "one", no))
        ),
        Observation("read", ("U13", "19"), "low", is_denied=True),
    ]
    assert _read_back(reasoning, wanted) == wanted
