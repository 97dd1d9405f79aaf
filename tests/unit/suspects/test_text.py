"""Every sentence scrambled at its source: ranking, probabilities, the next measurement, volts, faults and readings stay."""

from __future__ import annotations

import hashlib
import sys
from collections.abc import Callable
from dataclasses import replace
from functools import wraps
from types import ModuleType

import pytest

from tests.boards import NETLISTS
from tracer.base.findings import Finding
from tracer.card.make import make_card
from tracer.importers import read_netlist
from tracer.levels import findings, words
from tracer.page import text as page_text
from tracer.page.make import make_page
from tracer.suspects import text as suspects_text
from tracer.suspects.answer import answer, shown_without
from tracer.suspects.evidence import parse_pressed, parse_read, parse_seen
from tracer.suspects.observation import Observation
from tracer.suspects.priors import load_priors
from tracer.suspects.reasoning import Reasoning
from tracer.suspects.values import SuspectTable
from tracer.tracing.pipeline import trace_fully

WORDING: tuple[ModuleType, ...] = (suspects_text, page_text, words, findings)
EVIDENCE = {
    "dunlin": [
        *parse_seen("red", "missing"), *parse_seen("green", "flickers when warm"), *parse_seen("blue", "not missing"),
        *parse_seen("white", "as yellow"), *parse_seen("shapes", "right"),
        parse_pressed("U13", "changes"), parse_read("U13.19", "low"),
    ],
    "wren": [*parse_seen("red", "coarse"), parse_read("U9.1", "floating")],
}  # fmt: skip


def scrambled(said: object) -> object:
    """Nonsense in the place of what is said, the same for the same."""
    if isinstance(said, str):
        return "".join(chr(97 + b % 26) for b in hashlib.sha256(said.encode()).digest())
    if isinstance(said, Finding):
        return replace(said, text=str(scrambled(said.text)))
    if isinstance(said, list) and all(isinstance(each, str) for each in said):
        return [scrambled(each) for each in said]
    if isinstance(said, dict):
        return {key: scrambled(each) for key, each in said.items()}
    return said


def scramble_all(monkeypatch: pytest.MonkeyPatch) -> int:
    """Let all functions and tables of the wording modules say nonsense, wherever they are used; gives how many places."""
    n = 0
    for module in WORDING:
        for name in module.__all__:
            plain = getattr(module, name)
            other = _nonsense(plain) if callable(plain) else scrambled(plain)
            for user in [m for key, m in sys.modules.items() if key.startswith("tracer.")]:
                for known in [k for k, value in vars(user).items() if value is plain]:
                    monkeypatch.setattr(user, known, other)
                    n += 1
    return n


def _nonsense(plain: Callable[..., object]) -> Callable[..., object]:
    @wraps(plain)
    def says(*args: object, **kwargs: object) -> object:
        return scrambled(plain(*args, **kwargs))

    return says


def facts_of(table: SuspectTable) -> object:
    return (
        [replace(s, why="", faults=tuple(replace(f, text="") for f in s.faults)) for s in table.suspects],
        [
            replace(
                m,
                what="",
                caution="",
                tell="",
                outcomes=tuple(replace(o, means="", tell="") for o in m.outcomes),
            )
            for m in table.next
        ],
        len(table.evidence),
        len(table.afterwards),
    )


def everything(board: str, evidence: list[Observation]) -> tuple[dict[str, object], SuspectTable]:
    traced = trace_fully(read_netlist(NETLISTS / board / f"{board}.net"))
    reasoning = Reasoning(traced, load_priors())
    for observation in evidence:
        reasoning.observe(observation)
    table = answer(reasoning, evidence)
    page, card = make_page(traced), make_card(traced)
    found: dict[str, object] = {
        "suspects": reasoning.by_group(),
        "answer": facts_of(table),
        "pulled": shown_without(reasoning, "U9"),
        "page faults": page.faults,
        "page volts": page.volts,
        "levels": [(c, [replace(f, text="") for f in page.levels.findings]) for c in page.levels.colours],
        "legs": page.legs,
        "chips": card.chips,
        "order of probing": card.order,
    }
    return found, table


@pytest.mark.parametrize("board", EVIDENCE)
def test_scrambled_sentences_change_no_result(board: str, monkeypatch: pytest.MonkeyPatch) -> None:
    plain, table = everything(board, EVIDENCE[board])
    assert scramble_all(monkeypatch) > 20
    nonsense, other = everything(board, EVIDENCE[board])
    for what, found in plain.items():
        assert nonsense[what] == found, what
    # The sentences themselves are nonsense now.
    pairs = [(s.why, t.why) for s, t in zip(table.suspects, other.suspects, strict=True)]
    pairs += [(m.what, n.what) for m, n in zip(table.next, other.next, strict=True)]
    assert pairs
    assert all(a != b for a, b in pairs)
