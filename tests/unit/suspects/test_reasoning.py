"""From evidence to suspects: what a practised repairer sees at once, and that the numbers are Bayes' rule."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from tests.stage_boards import traced_stage, weighted
from tracer.base.errors import PartDataError
from tracer.importers import read_netlist
from tracer.suspects.answer import answer, shown_without
from tracer.suspects.fault import Group, Place, What
from tracer.suspects.likelihood import CARES, word_chances
from tracer.suspects.observation import ANSWERS, Candidate, Observation
from tracer.suspects.priors import load_priors
from tracer.suspects.reasoning import Reasoning, entropy
from tracer.suspects.text import fault_text
from tracer.suspects.words import WORDS
from tracer.tracing.pipeline import Traced, trace_fully


@pytest.fixture(scope="module")
def dunlin() -> Traced:
    return trace_fully(read_netlist("netlists/dunlin/dunlin.net"))


def reasoning(traced: Traced, *observations: Observation) -> Reasoning:
    found = Reasoning(traced, load_priors())
    for observation in observations:
        found.observe(observation)
    return found


def seen(**words: str) -> list[Observation]:
    return [Observation("seen", (colour,), word) for colour, word in words.items()]


def read(leg: str, word: str) -> Observation:
    part, _, pin = leg.partition(".")
    return Observation("read", (part, pin), word)


def at(what: What, *ends: str) -> Group:
    return what, Place(ends)


def test_priors_add_up_and_no_two_suspects_have_a_fault_of_one_name(dunlin: Traced) -> None:
    faults = reasoning(dunlin).faults
    assert sum(f.prior for f in faults) == pytest.approx(1.0)
    suspects: dict[str, set[Group]] = {}
    for fault in faults:
        suspects.setdefault(fault_text(fault), set()).add(fault.group)
    assert all(len(groups) == 1 for groups in suspects.values()), "one text, one suspect"
    assert [f.what for f in faults[-2:]] == ["unlisted", "outside"]


def test_the_chip_that_red_and_green_share_is_suspected_when_both_are_gone(dunlin: Traced) -> None:
    found = reasoning(dunlin, *seen(blue="fine", red="missing", green="missing")).by_group()
    ranked = [place.ends for what, place in found if what == "chip"]
    assert set(ranked[:2]) == {("U13",), ("U9",)}, "the latch and the memory of red and green"
    good = found[at("chip", "U14")] + found[at("chip", "U10")]
    assert good < 0.02, "blue is fine, so its chips are"


def test_one_reading_tells_the_latch_from_the_memory(dunlin: Traced) -> None:
    words = seen(blue="fine", red="missing", green="missing")
    latch = reasoning(dunlin, *words, read("U13.19", "low"), read("U13.18", "pulsing")).by_group()
    assert next(iter(latch)) == at("chip", "U13")
    memory = reasoning(dunlin, *words, read("U13.18", "low"), read("U13.14", "low")).by_group()
    assert next(iter(memory)) == at("chip", "U9")


def test_a_leg_that_floats_behind_one_that_pulses_is_a_joint(dunlin: Traced) -> None:
    found = reasoning(
        dunlin,
        *seen(red="always on", green="fine", blue="fine"),
        read("U9.17", "pulsing"),
        read("U13.18", "floating"),
    ).by_group()
    assert next(iter(found)) == at("joint", "U9.17", "U13.18")


def test_all_colours_wrong_alike_speaks_for_what_all_come_from(dunlin: Traced) -> None:
    """Two memories do not fail at once: what addresses both, or what lies before that."""
    found = list(reasoning(dunlin, *seen(red="wrong", green="wrong", blue="wrong")).by_group())
    assert set(found[:3]) == {at("chip", "U11"), at("chip", "U12"), at("outside")}


def test_all_colours_gone_speak_for_what_blanks_or_clocks_them(dunlin: Traced) -> None:
    found = reasoning(dunlin, *seen(red="missing", green="missing", blue="missing")).by_group()
    assert {place.ends for _, place in list(found)[:3]} >= {("U22",), ("U21",)}


def test_a_clear_that_stands_low_is_found_at_its_leg(dunlin: Traced) -> None:
    words = seen(red="missing", green="missing", blue="missing")
    found = reasoning(dunlin, *words, read("U13.1", "low")).by_group()
    assert next(iter(found)) == at("chip", "U22")
    innocent = reasoning(dunlin, *words, read("U13.1", "pulsing"), read("U22.8", "pulsing")).by_group()
    assert innocent[at("chip", "U22")] < 0.05


def test_a_wrong_word_does_not_close_the_case(dunlin: Traced) -> None:
    """One colour misjudged: the true chip stays among the first."""
    found = list(reasoning(dunlin, *seen(red="missing", green="weak", blue="fine")).by_group())
    assert at("chip", "U13") in found[:3]


def test_posterior_is_prior_times_likelihood(dunlin: Traced) -> None:
    observations = [*seen(red="weak"), read("U13.19", "low")]
    found = reasoning(dunlin, *observations)
    plain = reasoning(dunlin)
    careless = load_priors()("careless", "person")
    weights = [
        sum(
            f.prior * share * math.prod(plain.likelihood(i, o, care) for o in observations)
            for care, share in zip(CARES, (1 - careless, careless), strict=True)
        )
        for i, f in enumerate(plain.faults)
    ]
    assert found.posterior == pytest.approx([w / sum(weights) for w in weights])


def test_chances_of_all_answers_add_up(dunlin: Traced) -> None:
    plain = reasoning(dunlin)
    for candidate in plain.candidates():
        for fault in (0, len(plain.faults) // 2, len(plain.faults) - 1):
            total = sum(
                plain.likelihood(fault, Observation(candidate.kind, candidate.where, word))
                for word in ANSWERS[candidate.kind]
            )
            assert total == pytest.approx(1.0)
    for predicted in WORDS:
        assert sum(word_chances({predicted: 1.0}, 0.1, 0.5).values()) == pytest.approx(1.0)


def test_outcomes_agree_with_observing_them(dunlin: Traced) -> None:
    """What a measurement is said to mean is what observing it gives."""
    candidate = Candidate("read", ("U13", "19"), 1.0)
    words = seen(red="missing", green="fine", blue="fine")
    predicted = reasoning(dunlin, *words).outcomes(candidate)
    assert sum(p for p, _ in predicted.values()) == pytest.approx(1.0)
    for word, (_, groups) in predicted.items():
        after = reasoning(dunlin, *words, read("U13.19", word)).by_group()
        for group, p in groups.items():
            assert after[group] == pytest.approx(p, abs=1e-6)


def test_the_next_measurement_is_the_best_of_all_by_exhaustive_search() -> None:
    """On a small board every measurement's worth is worked out again from the posteriors themselves."""
    traced = traced_stage(weighted(470), 1)
    words = seen(red="missing", green="fine", blue="fine")
    found = reasoning(traced, *words)
    told, before = reasoning(traced), entropy(found.by_group().values())

    def worth(candidate: Candidate) -> float:
        after = 0.0
        for word in ANSWERS[candidate.kind]:
            told.begin_anew()
            for observation in (*words, Observation(candidate.kind, candidate.where, word)):
                told.observe(observation)
            after += found.outcomes(candidate)[word][0] * entropy(told.by_group().values())
        return (before - after) / (load_priors()("minutes", "told") + candidate.minutes)

    best = found.best_next(1)[0]
    alone = replace(best, minutes=load_priors()("minutes", "read"), swept=()) if best.kind == "read" else best
    assert worth(alone) == pytest.approx(max(worth(c) for c in found.candidates()), abs=1e-7)
    assert found.worth(best) >= worth(alone) - 1e-7


def test_when_one_suspect_is_all_but_certain_the_proof_comes_next(dunlin: Traced) -> None:
    found = reasoning(
        dunlin,
        *seen(blue="fine", red="missing", green="missing"),
        read("U13.19", "low"),
        read("U13.18", "pulsing"),
        read("U13.11", "pulsing"),
    )
    assert found.best_next(1)[0].kind == "swapped"


def test_the_answer_says_why_what_next_and_what_is_normal_after(dunlin: Traced) -> None:
    observations = seen(blue="fine", red="always on", green="always on")
    table = answer(reasoning(dunlin, *observations), observations)
    assert table.evidence == ("blue fine", "red always on", "green always on")
    assert sum(s.probability for s in table.suspects) <= 1 + 1e-9
    assert [s.probability for s in table.suspects] == sorted(
        (s.probability for s in table.suspects), reverse=True
    )
    first = table.suspects[0]
    assert "explains: blue fine" in first.why
    assert all(m.caution and m.outcomes for m in table.next)
    assert any("Power off" in line for line in table.afterwards)


def test_a_new_palette_ram_shows_wrong_colours_at_first(dunlin: Traced) -> None:
    observations = [*seen(blue="fine", red="wrong", green="wrong"), Observation("swapped", ("U9",), "cured")]
    table = answer(reasoning(dunlin, *observations), observations)
    assert table.suspects[0].part == "U9"
    assert any("until the game writes it again" in line for line in table.afterwards)


def test_pulling_the_memory_of_red_and_green_lights_both(dunlin: Traced) -> None:
    """Common practice, no source: TTL inputs left open read high, so yellow where blue is off."""
    found = reasoning(dunlin)
    assert shown_without(found, "U9") == {"red": "always on", "green": "always on", "blue": "fine"}
    assert shown_without(found, "U13") == {"red": "missing", "green": "missing", "blue": "fine"}
    assert shown_without(found, "U99") == {}


def test_priors_of_ones_own() -> None:
    mine = load_priors("[share]\nram = 0.9\n")
    assert mine("share", "ram") == 0.9
    assert mine("share", "logic") == load_priors()("share", "logic")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[share\n", "not in the form of TOML"),
        ("[shares]\nram = 1\n", "nothing here is called [shares]"),
        ("[share]\nrams = 1\n", "has no number called rams"),
        ("[share]\nram = 'much'\n", "is no number"),
        ("[share]\nram = -1\n", "is no number"),
        ("[share]\nram = true\n", "is no number"),
        ("[share]\nram = nan\n", "is no number"),
    ],
)
def test_wrong_priors_are_a_sentence(text: str, words: str) -> None:
    with pytest.raises(PartDataError) as caught:
        load_priors(text, "mine.toml")
    assert words in str(caught.value)
    assert caught.value.fix
    assert "mine.toml" in str(caught.value)
