"""The page's script against the program: the same suspects, the same shares, the same next measurement."""

from __future__ import annotations

import json
import random
import re
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.pages import traced_board
from tracer.base.errors import UsageError
from tracer.suspects.doubts import contradictions
from tracer.suspects.evidence import observations_told
from tracer.suspects.observation import Observation
from tracer.suspects.priors import load_priors
from tracer.suspects.reasoning import Reasoning
from tracer.suspects.volts import scale_at, word_of_volts

from .cases import random_case

SCRIPT = (files("tracer.page") / "assets" / "reasoning.js").read_text(encoding="utf-8")
#: Plays cases by the tables that a page carries; suspects are told by what they are and where.
_PLAY = """([script, diagnosis, cases]) => {
  const R = new Function(script + "; return reasoningOf;")()(diagnosis);
  return cases.map(([evidence, sockets]) => {
    const state = R.after(evidence, sockets), next = state.next(3);
    return {
      suspects: state.suspects().map(([g, p]) => [R.groups[g].what, R.groups[g].ends, p]),
      next: next.map((c) => [c.m.kind, c.m.where, c.swept.map((m) => m.where), c.minutes]),
      outcomes: next.length ? state.outcomes(next[0].m).map((o) => [o.word, o.chance, R.groups[o.group].ends]) : [],
      chances: evidence.map((o) => state.chanceOf(o)),
      clashes: state.contradictions().length,
      fits: state.suspects().slice(0, 3).map(([g]) => evidence.map((o) => R.fits(state.waysOf(g)[0].faults[0], o))),
    };
  });
}"""
#: Cases of each board: 200 in all.
N_CASES = {"dunlin": 70, "wren": 60, "plover": 50, "avocet": 20}


def diagnosis_of(page: Path) -> Any:
    found = re.search(
        r'<script type="application/json" id="data">(.*?)</script>',
        page.read_text(encoding="utf-8"),
        re.DOTALL,
    )
    assert found is not None
    return json.loads(found[1])["diagnosis"]


@pytest.fixture
def blank(browser: Browser) -> Page:
    return browser.new_page()


def as_told(observation: Observation) -> dict[str, Any]:
    o = observation
    return {"kind": o.kind, "where": list(o.where), "word": o.word, "denied": o.is_denied}


def said_by_program(reasoning: Reasoning, case: list[Observation]) -> dict[str, Any]:
    best = reasoning.best_next()
    outcomes = reasoning.outcomes(best[0]) if best else {}
    top = [
        next(
            i
            for i, g in sorted(enumerate(reasoning.groups), key=lambda e: -reasoning.posterior[e[0]])
            if g == group
        )
        for group in list(reasoning.by_group())[:3]
    ]
    return {
        "suspects": [[what, list(place.ends), p] for (what, place), p in reasoning.by_group().items()],
        "next": [[c.kind, list(c.where), [list(w) for w in c.swept], c.minutes] for c in best],
        "outcomes": {
            word: (p, list(max(after.items(), key=lambda item: (item[1], item[0]))[0][1].ends))
            for word, (p, after) in outcomes.items()
        },
        "chances": [reasoning.chance_of(o) for o in case],
        "clashes": len(contradictions(reasoning.seen)),
        "fits": [[reasoning.likely.fits(i, o) for o in case] for i in top],
    }


def test_the_script_says_what_the_program_says(board: str, blank: Page, pages: dict[str, Path]) -> None:
    reasoning, chance = Reasoning(traced_board(board), load_priors()), random.Random(board)
    cases, wanted = [], []
    for _ in range(N_CASES[board]):
        case = random_case(reasoning, chance)
        cases.append([list(map(as_told, case)), {}])
        wanted.append(said_by_program(reasoning, case))
    played = blank.evaluate(_PLAY, [SCRIPT, diagnosis_of(pages[board]), cases])
    assert len(played) == len(wanted)
    for got, want in zip(played, wanted, strict=True):
        assert [s[:2] for s in got["suspects"]] == [s[:2] for s in want["suspects"]]
        assert [s[2] for s in got["suspects"]] == pytest.approx([s[2] for s in want["suspects"]], abs=1e-9)
        assert got["next"] == want["next"]
        assert {o[0]: o[1] for o in got["outcomes"]} == pytest.approx(
            {word: p for word, (p, _) in want["outcomes"].items()}, abs=1e-9
        )
        assert got["chances"] == pytest.approx(want["chances"], abs=1e-9)
        assert got["clashes"] == want["clashes"]
        assert got["fits"] == want["fits"]


def test_a_socket_makes_a_swap_cheap_in_both(blank: Page, pages: dict[str, Path]) -> None:
    traced = traced_board("dunlin")
    seen = [
        Observation("seen", (c,), w) for c, w in (("red", "missing"), ("green", "missing"), ("blue", "fine"))
    ]
    for sockets in ({}, {"U13": True, "U9": False}, {"U13": False, "U9": True}):
        reasoning = Reasoning(traced, load_priors(), sockets=sockets)
        for each in seen:
            reasoning.observe(each)
        [played] = blank.evaluate(
            _PLAY, [SCRIPT, diagnosis_of(pages["dunlin"]), [[list(map(as_told, seen)), sockets]]]
        )
        assert played["next"] == said_by_program(reasoning, seen)["next"]


_VOLTS = """([script, diagnosis, asked]) => {
  const R = new Function(script + "; return reasoningOf;")()(diagnosis);
  return asked.map(([kind, where, value]) => {
    const m = R.find(kind, where);
    return kind === "read" ? R.volts(value, m.scale).word || null : R.ohms(value, m.ohm);
  });
}"""


def test_volts_and_ohms_mean_the_same_to_both(board: str, blank: Page, pages: dict[str, Path]) -> None:
    reasoning, chance = Reasoning(traced_board(board), load_priors()), random.Random(board)
    asked: list[tuple[str, list[str], float]] = []
    wanted: list[str | None] = []
    for key in reasoning.likely.readable:
        for volts in (
            0.0,
            0.2,
            0.8,
            2.0,
            5.0,
            5.3,
            round(chance.uniform(-2, 8), 2),
            round(chance.uniform(0, 1), 2),
        ):
            asked.append(("read", list(key), volts))
            try:
                wanted.append(word_of_volts(volts, ".".join(key), scale_at(reasoning, key)))
            except UsageError:
                wanted.append(None)
    for what, place in dict.fromkeys(reasoning.groups):
        if what == "resistor":
            for ohm in (0.1, 50.0, 470.0, 1200.0, 2e6, round(chance.uniform(1, 5000))):
                [told] = observations_told(reasoning, "ohms", place.ends[0], f"{ohm:.1f} ohm")
                asked.append(("ohms", list(place.ends), ohm))
                wanted.append(told.word)
    assert len(set(wanted)) > 5
    assert blank.evaluate(_VOLTS, [SCRIPT, diagnosis_of(pages[board]), asked]) == wanted
