"""Touches against textbooks and against exhaustive search.

D. E. Knuth, The Art of Computer Programming, vol. 3, section 6.1 (sequential search): n keys alike take (n + 1)/2 looks
on average; the order of falling probability is the best; under Zipf's law it takes n/H_n. T. M. Cover and J. A.
Thomas, Elements of Information Theory, chapter 5: no questions with two answers take fewer on average than the
entropy, and Huffman's code is the best set of them; (1/2, 1/4, 1/8, 1/8) takes 1.75. All cited from memory.
"""

from __future__ import annotations

import heapq
import itertools
import math
import random
from fractions import Fraction
from functools import cache

import pytest

from tests.boards import board
from tracer.beeps.bench import set_up
from tracer.beeps.choice import expected_touches, look
from tracer.beeps.facts import facts_of, with_touches
from tracer.beeps.rehearsal import Meter, undrawn
from tracer.beeps.weights import load_wiring
from tracer.netlist.board import PinRef
from tracer.parts.library import load_library


def chances(values: list[float]) -> dict[PinRef, float]:
    return {PinRef("U1", str(i)): v for i, v in enumerate(values)}


@pytest.mark.parametrize("n", [1, 2, 6, 8, 14])
def test_one_lead_and_n_legs_alike_take_half_of_n_plus_one(n: int) -> None:
    assert expected_touches(chances([1 / n] * n)) == pytest.approx((n + 1) / 2)


@pytest.mark.parametrize("n", [4, 8, 20])
def test_legs_by_zipfs_law_take_n_over_the_harmonic_number(n: int) -> None:
    harmonic = sum(1 / i for i in range(1, n + 1))
    values = [1 / (i * harmonic) for i in range(1, n + 1)]
    random.Random(n).shuffle(values)
    assert expected_touches(chances(values)) == pytest.approx(n / harmonic)


def test_no_order_of_the_legs_is_better_than_falling_chances() -> None:
    values = [0.1, 0.4, 0.3, 0.15, 0.05]
    ours = expected_touches(chances(values))
    assert ours == pytest.approx(
        min(sum(i * p for i, p in enumerate(order, 1)) for order in itertools.permutations(values))
    )


def huffman(values: list[float]) -> float:
    """Expected length of Huffman's code: the sum of the inner nodes."""
    heap = list(values)
    heapq.heapify(heap)
    total = 0.0
    while len(heap) > 1:
        joined = heapq.heappop(heap) + heapq.heappop(heap)
        total += joined
        heapq.heappush(heap, joined)
    return total


@pytest.mark.parametrize("values", [[0.5, 0.25, 0.125, 0.125], [0.7, 0.2, 0.1], [0.9, 0.05, 0.03, 0.02]])
def test_where_chances_halve_leg_by_leg_is_huffmans_code_and_one_touch_to_make_sure(
    values: list[float],
) -> None:
    # A set of questions need not ask for the last leg that is left; a map wants its beep all the same.
    assert expected_touches(chances(values)) == pytest.approx(huffman(values) + min(values))


def test_twenty_questions_of_the_textbook() -> None:
    values = [0.5, 0.25, 0.125, 0.125]
    entropy = -sum(p * math.log2(p) for p in values)
    assert entropy == pytest.approx(1.75)
    assert huffman(values) == pytest.approx(1.75)


# -- exhaustive search --------------------------------------------------------------------------------


def best_possible(held: int, legs: int) -> Fraction:
    """Expected touches of the best strategy there is, all ways of joining `held` to different legs alike.

    Every joint must have beeped. Exhaustive over all touches at every state of knowledge.
    """
    ways = tuple(itertools.permutations(range(legs), held))

    @cache
    def cost(left: frozenset[tuple[int, ...]], sure: frozenset[int]) -> Fraction:
        if len(sure) == held:
            return Fraction(0)
        best = None
        for row, leg in itertools.product(set(range(held)) - sure, range(legs)):
            yes = frozenset(w for w in left if w[row] == leg)
            no = left - yes
            if not yes:
                continue
            value = 1 + Fraction(len(yes), len(left)) * cost(yes, sure | {row})
            if no:
                value += Fraction(len(no), len(left)) * cost(no, sure)
            best = value if best is None else min(best, value)
        assert best is not None
        return best

    return cost(frozenset(ways), frozenset())


def touches_of(order: tuple[int, ...], legs: tuple[str, ...]) -> int:
    """Touches of the program on a board of one PROM whose resistors are joined to its outputs in this order."""
    rows = "\n".join(f"B{i}: R{i + 1}.2 U1.{legs[leg]}" for i, leg in enumerate(order))
    parts = "\n".join(f"part R{i + 1} 470" for i in range(3))
    netlist = board(
        f"part U1 82S129\npart J1 plug 1=RED 2=GREEN 3=BLUE symbol=Conn_01x03\n{parts}\n{rows}\n"
        "RED: J1.1 R1.1\nGREEN: J1.2 R2.1\nBLUE: J1.3 R3.1\nVCC: U1.16\nGND: U1.8"
    )
    library, numbers = load_library(), load_wiring()
    truth = set_up(netlist, library)
    meter = Meter(truth.circuit, 50.0)
    # The resistors are known; what is counted is which output feeds which.
    stage = "\n".join(f"J1.{i + 1} = R{i + 1}.1" for i in range(3))
    from tracer.export.netlists.notes import write
    from tracer.importers.typed.bench_notes import parse

    notes = parse(write(undrawn(netlist, truth.colours)) + stage + "\n", "x.notes", "x")
    used = 0
    for _ in range(100):
        search = look(set_up(notes, library), numbers)
        if search.choice is None or search.choice.want is None or search.choice.want.kind != "driver":
            break
        before = meter.touches
        answer = meter.answer(search.choice)
        used += meter.touches - before
        notes = with_touches(notes, [facts_of(search.choice, answer)])
    found = {c.want.held.part: c.end.pin for c in search.wanted.found if c.want.kind == "driver"}
    assert found == {f"R{i + 1}": legs[leg] for i, leg in enumerate(order)}
    return used


def test_the_best_strategy_takes_more_touches_than_the_entropy() -> None:
    for held, legs in ((1, 4), (2, 3), (3, 4)):
        assert best_possible(held, legs) >= Fraction(math.log2(math.perm(legs, held)))


def test_one_lead_needs_a_touch_for_every_leg_but_those_it_need_not_try() -> None:
    assert best_possible(1, 4) == Fraction(5, 2)


def test_three_resistors_on_four_outputs_take_hardly_more_than_the_best_strategy() -> None:
    legs = ("12", "11", "10", "9")
    orders = list(itertools.permutations(range(4), 3))
    mean = sum(touches_of(order, legs) for order in orders) / len(orders)
    assert mean <= 1.15 * float(best_possible(3, 4))


def test_a_tidy_board_takes_fewer_than_the_best_strategy_for_boards_of_any_wiring() -> None:
    legs = ("12", "11", "10", "9")
    tidy = [(0, 1, 2), (1, 2, 3), (3, 2, 1), (2, 1, 0)]
    assert sum(touches_of(order, legs) for order in tidy) / len(tidy) < float(best_possible(3, 4))
