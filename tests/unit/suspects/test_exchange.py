"""Two colours exchanged at the plug: what a repairer does before the board is opened at all."""

from __future__ import annotations

from typing import Final

import pytest

from tracer.base.errors import NetlistError, UsageError
from tracer.importers import parse_netlist, read_netlist
from tracer.suspects.evidence import observations_of, observations_told
from tracer.suspects.exchange import exchangeable
from tracer.suspects.observation import Observation
from tracer.suspects.priors import load_priors
from tracer.suspects.reasoning import Reasoning
from tracer.tracing.pipeline import Traced, trace_fully

EXCHANGED: Final = "exchanged"


@pytest.fixture(scope="module")
def dunlin() -> Traced:
    return trace_fully(read_netlist("netlists/dunlin/dunlin.net"))


def behind(traced: Traced, *told: tuple[str, str, str]) -> float:
    """How likely it is that the fault lies behind the connector."""
    found = Reasoning(traced, load_priors())
    for kind, where, words in told:
        for observation in observations_told(found, kind, where, words):
            found.observe(observation)
    return sum(p for (what, _), p in found.by_group().items() if what == "beyond")


def test_what_moves_to_the_other_colour_lies_on_the_board(dunlin: Traced) -> None:
    words = (("seen", "red", "missing"), ("seen", "green", "fine"))
    unknown = behind(dunlin, *words)
    assert behind(dunlin, *words, (EXCHANGED, "red and green", "moves")) < unknown / 1.5
    assert behind(dunlin, *words, (EXCHANGED, "red and green", "stays")) > 0.7


def test_two_wires_that_were_swapped_are_right_once_they_are_exchanged(dunlin: Traced) -> None:
    found = Reasoning(dunlin, load_priors())
    for colour in ("red", "green"):
        found.observe(Observation("seen", (colour,), "mixed"))
    found.observe(Observation(EXCHANGED, ("red", "green"), "cured"))
    (what, place), p = next(iter(found.by_group().items()))
    assert (what, place.ends) == ("beyond", ("J1.12", "J1.N"))
    assert p > 0.8


def test_it_is_proposed_when_the_plug_is_suspected_and_its_words_are_understood(dunlin: Traced) -> None:
    found = Reasoning(dunlin, load_priors())
    for colour, word in (("red", "missing"), ("green", "fine"), ("blue", "fine")):
        found.observe(Observation("seen", (colour,), word))
    found.observe(Observation("read", ("J1", "12"), "pulsing"))
    worth = {(c.kind, c.where): found.worth(c) for c in found.candidates()}
    assert worth[EXCHANGED, ("red", "green")] > max(v for (kind, _), v in worth.items() if kind == "swapped")
    assert exchangeable(dunlin) == (("red", "green"), ("red", "blue"), ("green", "blue"))


@pytest.mark.parametrize(
    ("words", "meant"),
    [
        ("follows", "moves"),
        ("moved", "moves"),
        ("unchanged", "stays"),
        ("did not move", "stays"),
        ("fixed", "cured"),
    ],
)
def test_people_say_it_in_words_of_their_own(dunlin: Traced, words: str, meant: str) -> None:
    found = Reasoning(dunlin, load_priors())
    expected = [Observation(EXCHANGED, ("red", "green"), meant)]
    assert observations_told(found, EXCHANGED, "Green and red", words) == expected
    with pytest.raises(UsageError, match="two colours"):
        observations_told(found, EXCHANGED, "red and brown", words)


def test_notes_hold_what_was_pressed_exchanged_and_beeped_between_neighbours(dunlin: Traced) -> None:
    lines = (
        "pressed U13, no change",
        "exchanged red and green at the plug, moves",
        "measured U9.16 to U9.17 none",
        "measured R5 470",
        "measured J1.12 to ground, short",
    )
    notes = parse_netlist("\n".join(lines) + "\n", "a.notes", format_name="bench-notes").notes
    found, unused = observations_of(Reasoning(dunlin, load_priors()), notes.evidence)
    assert unused == []
    assert found == [
        Observation("press", ("U13",), "no change"),
        Observation(EXCHANGED, ("red", "green"), "moves"),
        Observation("beep", ("U9.16", "U9.17"), "no beep"),
        Observation("ohms", ("R5",), "wrong value"),
        Observation("ohms", ("J1.12", "ground"), "short"),
    ]


def test_a_note_that_names_no_two_colours_says_how_it_is_written() -> None:
    with pytest.raises(NetlistError, match="does not name two colours") as caught:
        parse_netlist("exchanged red\n", "a.notes", format_name="bench-notes")
    assert "exchanged red and green" in (caught.value.fix or "")
