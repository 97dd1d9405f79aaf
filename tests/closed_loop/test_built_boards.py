"""Boards put together from what people draw: the map is what they were put together from, or it says where it is not."""

from __future__ import annotations

from collections import Counter

import pytest

from tests.closed_loop.built.chains import ENDS
from tests.closed_loop.built.judge import faults
from tests.closed_loop.built.make import Recipe, built_board, random_recipe
from tests.closed_loop.built.networks import NETWORKS
from tests.closed_loop.built.sides import SIDES
from tests.closed_loop.built.stages import AMPLIFIERS, ENTRIES, EXITS
from tracer.tracing.pipeline import trace

QUICK = range(80)
MANY = range(1000)
#: Boards of which the map may stop or ask where it could know: one is in a hundred.
MOST_SAID = 0.01


@pytest.mark.parametrize("seed", QUICK)
def test_the_map_is_what_the_board_was_put_together_from(seed: int) -> None:
    true = built_board(random_recipe(seed), seed)
    assert [str(f) for f in faults(true, trace(true.netlist, pins=true.told or None))] == []


def test_a_header_in_the_way_is_named_with_what_a_bridge_would_join() -> None:
    true = built_board(Recipe((2, 1, 1), way=("termination", "header"), naming="none"))
    bit_map = trace(true.netlist, pins=true.told)
    assert not any(colour.bits for colour in bit_map.colours)
    assert all(f.said for f in faults(true, bit_map))
    assert all("bridged it is" in f.text for f in bit_map.findings if f.code == "no-drivers")


@pytest.mark.slow
def test_of_a_thousand_boards_no_bit_is_wrong_in_silence_and_hardly_one_stops_early() -> None:
    wrong, stopped = [], []
    for seed in MANY:
        true = built_board(random_recipe(seed), seed)
        found = faults(true, trace(true.netlist, pins=true.told or None))
        wrong += [f"{seed}: {f}" for f in found if not f.said]
        stopped += [seed] if found else []
    assert wrong == []
    assert len(stopped) <= MOST_SAID * len(MANY), stopped


def test_every_idiom_is_there() -> None:
    idioms = Counter(i for seed in MANY for i in built_board(random_recipe(seed), seed).idioms)
    for name in (*NETWORKS, *ENTRIES, *AMPLIFIERS, *EXITS.keys() - {"header"}, *SIDES, *ENDS):
        assert idioms[name] >= 15, name
    others = {
        "intensity", "brightness", "blanking gates", "blanking by clear", "multiplexer", "damping",
        "selector: before", "selector: behind", "selector: single switches", "address multiplexers",
        "counters on the address bus", "names: lying", "names: none", "names: automatic", "names: labels",
    }  # fmt: skip
    assert {name for name in others if idioms[name] < 15} == set()
