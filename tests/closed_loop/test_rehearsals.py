"""The search by beeps on random boards: the map that comes out is the board's, and the touches are few."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.closed_loop.beep_boards import KINDS, beep_board
from tracer.beeps.rehearsal import rehearse
from tracer.beeps.weights import load_wiring
from tracer.importers import read_netlist
from tracer.parts.library import load_library
from tracer.rehearsed import Rehearsed

NETLISTS = Path(__file__).parents[2] / "netlists"
SEEDS = range(6)
#: Share of the plain way's touches that a kind of board may take on average over these few seeds.
SHARE = {"regular": 0.6, "shuffled": 1.1, "mixed": 0.7, "packs": 0.8}


def rehearsed(kind: str, seed: int, wrong: float = 0.0) -> Rehearsed:
    return rehearse(beep_board(kind, seed), load_library(), load_wiring(), wrong=wrong, seed=seed)


@pytest.mark.parametrize("kind", KINDS)
def test_every_map_is_right_and_the_touches_are_fewer_than_the_plain_ways(kind: str) -> None:
    results = [rehearsed(kind, seed) for seed in SEEDS]
    assert all(r.map_right for r in results), [r.board for r in results if not r.map_right]
    share = sum(r.touches for r in results) / sum(r.plain_touches for r in results)
    assert share <= SHARE[kind]


@pytest.mark.parametrize(("board", "share"), [("dunlin", 0.5), ("wren", 0.8), ("plover", 0.5)])
def test_the_demo_boards_come_out_right(board: str, share: float) -> None:
    result = rehearse(read_netlist(NETLISTS / board / f"{board}.net"), load_library(), load_wiring())
    assert result.map_right
    assert result.touches <= share * result.plain_touches


def test_most_maps_are_right_though_three_touches_in_a_hundred_are_misread() -> None:
    results = [rehearsed("regular", seed, wrong=0.03) for seed in range(12)]
    assert sum(r.misread for r in results) > 10
    assert sum(r.map_right for r in results) >= 8


def test_a_rehearsal_is_the_same_twice() -> None:
    assert rehearsed("mixed", 3) == rehearsed("mixed", 3)
