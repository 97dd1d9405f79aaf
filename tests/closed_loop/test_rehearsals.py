"""The search by beeps on random boards: the map that comes out is the board's, and the touches are few."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from tests.closed_loop.beep_boards import KINDS, beep_board
from tests.closed_loop.beeped_recipes import beeped_recipe
from tests.closed_loop.built.judge import faults
from tests.closed_loop.built.make import built_board
from tracer.beeps.bench import set_up
from tracer.beeps.choice import MOST_TIMES, look
from tracer.beeps.facts import facts_of
from tracer.beeps.rehearsal import Meter, rehearse, undrawn
from tracer.beeps.rehearsal_values import Rehearsed
from tracer.beeps.weights import load_wiring
from tracer.cli.beep_dialogue import Memory
from tracer.importers import read_netlist
from tracer.netlist.board import PinRef
from tracer.netlist.join import join_boards, parse_join
from tracer.parts.library import load_library

NETLISTS = Path(__file__).parents[2] / "netlists"
SEEDS = range(6)
#: What is played at every run of the tests; the rest is slow.
FEW = range(2)
#: Share of the plain way's touches that a kind of board may take on average over these few seeds.
SHARE = {"regular": 0.6, "shuffled": 1.1, "mixed": 0.7, "packs": 0.8}


def rehearsed(kind: str, seed: int, wrong: float = 0.0) -> Rehearsed:
    return rehearse(beep_board(kind, seed), load_library(), load_wiring(), wrong=wrong, seed=seed)


@pytest.mark.parametrize("seed", FEW)
@pytest.mark.parametrize("kind", KINDS)
def test_the_map_of_a_board_is_right(kind: str, seed: int) -> None:
    assert rehearsed(kind, seed).map_right


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_every_map_is_right_and_the_touches_are_fewer_than_the_plain_ways(kind: str) -> None:
    results = [rehearsed(kind, seed) for seed in SEEDS]
    assert all(r.map_right for r in results), [r.board for r in results if not r.map_right]
    share = sum(r.touches for r in results) / sum(r.plain_touches for r in results)
    assert share <= SHARE[kind]


@pytest.mark.parametrize(
    ("board", "share"), [("dunlin", 0.5), ("wren", 0.8), pytest.param("plover", 0.5, marks=pytest.mark.slow)]
)
def test_the_demo_boards_come_out_right(board: str, share: float) -> None:
    result = rehearse(read_netlist(NETLISTS / board / f"{board}.net"), load_library(), load_wiring())
    assert result.map_right
    assert result.touches <= share * result.plain_touches


@pytest.mark.slow
def test_most_maps_are_right_though_three_touches_in_a_hundred_are_misread() -> None:
    results = [rehearsed("regular", seed, wrong=0.03) for seed in range(12)]
    assert sum(r.misread for r in results) > 10
    assert sum(r.map_right for r in results) >= 10


@pytest.mark.slow
def test_two_joined_boards_with_a_ladder_come_out_right() -> None:
    boards = {b: read_netlist(NETLISTS / "avocet" / f"avocet-{b}.net") for b in ("main", "video")}
    joined = join_boards(boards, [parse_join("main:J3=video:J1")])
    result = rehearse(joined, load_library(), load_wiring())
    assert result.map_right
    assert result.touches < result.plain_touches


@pytest.mark.slow
def test_what_is_said_to_be_left_is_near_what_is_left() -> None:
    library, numbers = load_library(), load_wiring()
    said, spent = [], []
    for seed in SEEDS:
        netlist = beep_board("regular", seed)
        truth = set_up(netlist, library)
        meter = Meter(truth.circuit, numbers("answer", "beep_ohm"), 0.0, seed)
        record = Memory(undrawn(netlist, truth.colours))
        at = []
        while (search := look(set_up(record.netlist(), library), numbers)).choice is not None:
            at.append((search.touches_left, meter.touches))
            record.add(facts_of(search.choice, meter.answer(search.choice)))
        said += [left for left, _ in at]
        spent += [meter.touches - touches for _, touches in at]
    off = [abs(a - b) for a, b in zip(said, spent, strict=True)]
    assert sum(off) < 0.5 * sum(spent)
    assert max(said) < 2 * max(spent)


def test_a_rehearsal_is_the_same_twice() -> None:
    assert rehearsed("mixed", 3) == rehearsed("mixed", 3)


# -- boards of idioms, put together without the program's rules -----------------------------------------


@pytest.mark.parametrize("seed", [2, 8, 14, 15, 20])
def test_a_board_of_idioms_comes_out_whole_or_it_is_said(seed: int) -> None:
    true = built_board(beeped_recipe(seed, in_order=True), seed)
    result = rehearse(true.netlist, load_library(), load_wiring(), told=true.told or None)
    assert result.map is not None
    assert [str(f) for f in faults(true, result.map) if not f.said] == []
    assert result.map_right or result.stopped


@pytest.mark.slow
@pytest.mark.parametrize("in_order", [True, False])
def test_boards_of_idioms_come_out_whole_or_it_is_said(in_order: bool) -> None:
    whole = touches = plain = 0
    seeds = range(30, 36)
    for seed in seeds:
        true = built_board(beeped_recipe(seed, in_order=in_order), seed)
        result = rehearse(true.netlist, load_library(), load_wiring(), told=true.told or None)
        assert result.map is not None
        found = faults(true, result.map)
        assert [str(f) for f in found if not f.said] == []
        assert not found or result.stopped, seed
        whole += not found
        touches, plain = touches + result.touches, plain + result.plain_touches
    assert whole >= len(seeds) - 1
    assert touches <= (0.55 if in_order else 0.85) * plain


@pytest.mark.parametrize("kind", ["regular", "shuffled"])
def test_nothing_is_asked_again_in_the_same_state_of_knowledge(kind: str) -> None:
    """Every touch is of two legs that were not tried, or it repeats one that is in doubt, and that not for ever."""
    netlist = beep_board("packs", 7) if kind == "regular" else built_board(beeped_recipe(61), 61).netlist
    library, numbers = load_library(), load_wiring()
    truth = set_up(netlist, library)
    meter = Meter(truth.circuit, numbers("answer", "beep_ohm"), 0.05, 1)
    record = Memory(undrawn(netlist, truth.colours))
    asked: Counter[frozenset[PinRef]] = Counter()
    while (search := look(set_up(record.netlist(), library), numbers)).choice is not None:
        for leg, _ in search.choice.legs:
            asked[frozenset((search.choice.held, leg))] += 1
        record.add(facts_of(search.choice, meter.answer(search.choice)))
        assert meter.touches < 4000
    # A sweep stops at the first beep: legs behind it are asked for anew, each time with one leg fewer.
    assert max(asked.values()) <= 2 * MOST_TIMES
