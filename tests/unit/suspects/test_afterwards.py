"""What comes with the cure of a chip: which others of the board a swap can be tried with."""

from __future__ import annotations

import pytest

from tests.boards import NETLISTS
from tracer.importers import parse_netlist, read_netlist
from tracer.netlist.board import with_markings
from tracer.netlist.merge import merge_netlists
from tracer.suspects.afterwards import after_parts, donor_texts
from tracer.suspects.priors import load_priors
from tracer.suspects.reasoning import Reasoning
from tracer.suspects.text import measurement_text
from tracer.tracing.pipeline import trace_fully


def reasoning(board: str) -> Reasoning:
    return Reasoning(trace_fully(read_netlist(NETLISTS / board / f"{board}.net")), load_priors())


@pytest.mark.parametrize(
    ("board", "part", "donors"),
    [
        ("dunlin", "U9", ("U3 at 3B", "U10 at 7E, of the path too: the fault moves with the chip")),
        ("plover", "U30", ("U21 at 7D", "U31 at 8F, of the path too: the fault moves with the chip")),
        ("dunlin", "U13", ()),
        ("wren", "U9", ()),
    ],
)
def test_a_swap_is_tried_with_a_chip_that_fits(board: str, part: str, donors: tuple[str, ...]) -> None:
    found = reasoning(board)
    assert donor_texts(found, part) == donors
    assert after_parts(found, part).donors == donors


def test_a_donor_of_another_type_says_which_and_one_in_a_socket_that_it_is() -> None:
    netlist = read_netlist(NETLISTS / "plover/plover.net")
    notes = parse_netlist("U21 is in a socket\n", "bench.notes")
    told = merge_netlists([with_markings(netlist, {"U21": "74ALS374"}), notes])
    found = Reasoning(trace_fully(told), load_priors())
    assert donor_texts(found, "U30")[0] == "U21 74ALS374 at 7D, in a socket"


def test_the_swap_names_what_to_try_it_with() -> None:
    words = measurement_text("swapped", ("U9",), None, (), (), ("U3 at 3B", "U4 at 4B"))
    assert words.endswith("; to try it with, from this board: U3 at 3B; U4 at 4B")
