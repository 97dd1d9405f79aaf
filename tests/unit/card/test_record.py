"""Which swap of the notes was the cure."""

from __future__ import annotations

import pytest

from tests.boards import NETLISTS
from tracer.card.make import make_card
from tracer.card.record import cure_of, record_rows
from tracer.card.values import BoardCard
from tracer.importers import parse_netlist, read_netlist
from tracer.netlist.merge import merge_netlists
from tracer.tracing.pipeline import trace_fully


def card_with(notes: str) -> BoardCard:
    netlist = read_netlist(NETLISTS / "dunlin/dunlin.net")
    return make_card(trace_fully(merge_netlists([netlist, parse_netlist(notes, "bench.notes")])))


@pytest.mark.parametrize(
    ("notes", "cure"),
    [
        ("swapped U9, cured\n", "U9 6116 at 7D"),
        ("swapped U13, no change\nswapped R1, fixed\n", "R1"),
        ("swapped U9, cured\nswapped U13, no change\n", ""),
        ("swapped U9, not cured\n", ""),
        ("swapped U9, it rained\n", ""),
        ("seen red missing\n", ""),
    ],
)
def test_the_last_swap_is_the_cure_where_it_says_so(notes: str, cure: str) -> None:
    assert cure_of(card_with(notes))[:2] == ("cured by", cure)


def test_what_was_done_stands_in_its_order_with_marking_and_place() -> None:
    notes = "seen red missing\nexchanged red and green, moves\npressed U13, changes\nmeasured U9.17 to ground, 20k\n"
    assert record_rows(card_with(notes)) == [
        ("seen", "", "red missing"),
        ("exchanged", "red and green", "moves"),
        ("pressed", "U13 74LS273 at 8D", "changes"),
        ("measured", "U9.17", "to ground, 20k"),
    ]
