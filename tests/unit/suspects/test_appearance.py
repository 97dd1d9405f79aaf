"""`white as blue`: what should be and what is, weighed by how far apart colours look."""

from __future__ import annotations

from functools import cache

import pytest

from tests.boards import board
from tracer.base.errors import UsageError
from tracer.importers import read_netlist
from tracer.suspects.appearance import SAID, named_points
from tracer.suspects.cielab import COLOUR_NAMES, distance
from tracer.suspects.fault import Group
from tracer.suspects.find import find_suspects
from tracer.suspects.observation import Observation
from tracer.suspects.priors import load_priors
from tracer.suspects.reasoning import Reasoning
from tracer.tracing.pipeline import trace_fully

BOARDS = ["dunlin", "plover"]
#: Honest lines that a person gives.
LINES = 3


@cache
def reasoning(name: str) -> Reasoning:
    return Reasoning(trace_fully(read_netlist(f"netlists/{name}/{name}.net")), load_priors())


def nearest(lab: object, names: tuple[str, ...]) -> str:
    return min(names, key=lambda n: min(distance(lab, p) for p in named_points(n)))  # type: ignore[arg-type]


def honest_lines(found: Reasoning, fault: int, names: tuple[str, ...]) -> list[tuple[str, str]]:
    """The basic colours that look most different, each with the name of what shows in its place."""
    lines = []
    for wanted in SAID:
        healthy, shown = found.likely.appearance.shown(wanted)
        labs = shown[fault]
        assert labs is not None
        said = nearest(labs[0], names)
        lines.append((said != wanted, distance(healthy[0], labs[0]), wanted, said))
    return [(wanted, said) for *_, wanted, said in sorted(lines, reverse=True)[:LINES]]


def after(found: Reasoning, lines: list[tuple[str, str]]) -> list[float]:
    weights = [f.prior for f in found.faults]
    for wanted, said in lines:
        weights = [p * found.likely.appearance.of(i, wanted, said) for i, p in enumerate(weights)]
    total = sum(weights)
    return [p / total for p in weights]


def stuck_drivers(found: Reasoning) -> list[tuple[tuple[str, int], int]]:
    """Each bit's driver stuck at each level: the bit, and the fault's number."""
    cases = []
    for bit, path in found.legs.paths.items():
        last = path.legs[-1]
        cases += [
            (bit, i)
            for i, f in enumerate(found.faults)
            if (f.what, f.manner, f.part) == ("chip", "stuck", last.part)
            and [leg.pin for leg in f.legs] == [last.pin]
        ]
    return cases


def rank_of_bit(found: Reasoning, weights: list[float], bit: tuple[str, int]) -> int:
    """How many bits are likelier: all that lies on the way of one bit alone shows alike."""
    by_bit: dict[object, float] = {}
    for fault, p in zip(found.faults, weights, strict=True):
        if len(fault.effect.hits) == 1:
            at = next(iter(fault.effect.hits))
            by_bit[at] = by_bit.get(at, 0.0) + p
    return sum(p > by_bit[bit] for p in by_bit.values())


def rank_of_place(found: Reasoning, weights: list[float], fault: int) -> int:
    """How many suspects are likelier than the chip, its joints and its tracks."""
    own = found.faults[fault]
    leg = f"{own.part}.{own.legs[0].pin}"
    by_group: dict[Group, float] = {}
    for group, p in zip(found.groups, weights, strict=True):
        by_group[group] = by_group.get(group, 0.0) + p
    ranked = sorted(by_group, key=lambda g: -by_group[g])
    return next(
        n for n, (what, place) in enumerate(ranked) if (what, place) == own.group or leg in place.ends
    )


def share(ranks: list[int], within: int) -> float:
    return sum(rank < within for rank in ranks) / len(ranks)


@pytest.mark.slow
@pytest.mark.parametrize("name", BOARDS)
def test_three_honest_lines_find_most_bits(name: str) -> None:
    """Every driver stuck low and high, and three lines in the names of CSS: the bit is the first for most.

    Dunlin 18 of 24 and plover 23 of 30 when this was written; the lightest bits move a colour by less than a person
    has names for.
    """
    found = reasoning(name)
    cases = stuck_drivers(found)
    assert len(cases) == 2 * len(found.legs.paths)
    ranks, places = [], []
    for bit, fault in cases:
        weights = after(found, honest_lines(found, fault, tuple(sorted(COLOUR_NAMES))))
        ranks.append(rank_of_bit(found, weights, bit))
        places.append(rank_of_place(found, weights, fault))
    assert share(ranks, 1) >= 0.7
    assert share(ranks, 3) >= 0.9
    # The memory that the bit comes from, the latches on the way and the joints show the same: a probe tells them apart.
    assert share(places, 3) >= 0.45


@pytest.mark.parametrize("name", BOARDS)
def test_a_dozen_words_find_the_heaviest_bits(name: str) -> None:
    """In the eleven basic words, cyan and magenta; the two heaviest bits are most of a colour."""
    found = reasoning(name)
    heaviest = {(c.name, b.bit) for c in found.traced.bit_map.colours for b in c.bits[:2]}
    ranks = [
        rank_of_bit(found, after(found, honest_lines(found, fault, SAID)), bit)
        for bit, fault in stuck_drivers(found)
        if bit in heaviest
    ]
    assert share(ranks, 1) >= 0.6
    assert share(ranks, 3) >= 0.8


@pytest.mark.parametrize("name", BOARDS)
def test_what_a_colour_is_called_is_shared_by_the_words_there_are(name: str) -> None:
    found = reasoning(name)
    for fault in range(0, len(found.faults), 7):
        assert sum(found.likely.appearance.of(fault, "white", said) for said in SAID) == pytest.approx(1.0)


def test_white_as_cyan_is_red_gone_and_says_so() -> None:
    """Without red white is cyan, yellow green and magenta blue: additive mixture."""
    table = find_suspects(
        reasoning("dunlin").traced, seen={"white": "as cyan", "yellow": "as green", "magenta": "as blue"}
    )
    assert table.evidence == ("white as cyan", "yellow as green", "magenta as blue")
    first = table.suspects[0]
    assert first.faults[0].faults[0].colours == ("red",) or all(
        colour == "red" for colour, _ in first.faults[0].faults[0].effect.hits
    )
    assert "explains: white as cyan" in first.why


def test_red_and_blue_turned_round_are_two_wires() -> None:
    table = find_suspects(
        reasoning("dunlin").traced, seen={"red": "as blue", "blue": "as red", "yellow": "as cyan"}
    )
    assert [(s.what, s.faults[0].faults[0].manner) for s in table.suspects[:1]] == [
        ("beyond", "wires swapped")
    ]


def test_a_colour_that_is_right_clears_the_path() -> None:
    found = reasoning("dunlin")
    weights = after(found, [("white", "white"), ("black", "black"), ("orange", "orange")])
    stuck = [i for bit, i in stuck_drivers(found) if bit[1] == 3]
    assert all(weights[i] < found.faults[i].prior for i in stuck)


def test_figures_weigh_as_names_do() -> None:
    found = Reasoning(reasoning("dunlin").traced, load_priors()).likely.appearance
    assert found.of(0, "white", "#00ffff") > 0
    assert found.shown("#ffffff")[0] == found.shown("white")[0]


def test_what_should_be_green_may_be_screen_green_or_css_green() -> None:
    """CSS calls full green lime; everybody at a screen calls it green."""
    assert len(named_points("green")) == 2
    assert len(named_points("lime")) == 1


RED_ALONE = """
part U9 74LS273
part U4 6116
part J1 plug 1=RED symbol=Conn_01x03
part R1 470
RED: J1.1 R1.2
B0: U9.2 R1.1
D0: U4.9 U9.3
VCC: U9.20 U4.24
GND: U9.10 U4.12
"""


def test_a_board_without_blue_cannot_mix() -> None:
    found = Reasoning(trace_fully(board(RED_ALONE), pins={"red": "J1.1"}), load_priors())
    with pytest.raises(UsageError) as caught:
        found.likely.appearance.shown("white")
    assert "red=missing" in str(caught.value.fix)


def test_a_denied_colour_weighs_the_other_way() -> None:
    found = reasoning("dunlin")
    said = Observation("appears", ("white",), "cyan")
    denied = Observation("appears", ("white",), "cyan", is_denied=True)
    for i in (0, 50, len(found.faults) - 1):
        assert found.likelihood(i, denied) == pytest.approx(1 - found.likelihood(i, said))
