"""The rules of wiring: each has its weight, its order and its sentence."""

from __future__ import annotations

from itertools import product

import pytest

from tests.unit.beeps.test_bench import bench
from tracer.beeps.advice import RULES_OF_ONE_WORD
from tracer.beeps.candidates import END_ORDERS
from tracer.beeps.choice import look
from tracer.beeps.rules import ANY, HELD_ORDERS, Rules
from tracer.beeps.weights import load_wiring

#: The outputs of a 82S129 go down by name where they go up by leg.
BOARD = "U5 is 82S129\nU13 is 74LS273\n[R1 R2 R3] is 220\nJ1 is plug, 4 legs\nred is J1.1\nJ1.1 = [R1 R2 R3].1\nR1.2 = U13.2\n"


@pytest.fixture(scope="module")
def rules() -> Rules:
    return look(bench(BOARD), load_wiring()).wiring.rules


def test_every_rule_has_a_weight_and_all_together_are_certain(rules: Rules) -> None:
    for kind, orders in HELD_ORDERS.items():
        prior = rules.prior(kind)
        assert sum(prior.values()) == pytest.approx(1.0)
        assert min(prior.values()) > 0
        of_order = {rule for rule in prior if len(rule) == 3}
        assert of_order == set(product(orders, END_ORDERS, ("up", "down", "as_before")))


def test_every_rule_of_one_word_has_a_sentence(rules: Rules) -> None:
    words = {rule[0] for rule in rules.prior("driver") if len(rule) == 1} - {*ANY}
    assert words == set(RULES_OF_ONE_WORD)
    assert all(sentence and not sentence.endswith(".") for sentence in RULES_OF_ONE_WORD.values())


def test_legs_and_names_are_two_orders(rules: Rules) -> None:
    by_leg, by_name = (rules.candidates.ends("U5", order) for order in ("end_legs", "end_names"))
    assert [leg.pin for leg in by_leg] == ["9", "10", "11", "12"]
    assert by_name == by_leg[::-1]


def test_an_order_that_nobody_knows_is_no_order(rules: Rules) -> None:
    with pytest.raises(KeyError):
        rules.candidates.ends("U5", "end_columns")
