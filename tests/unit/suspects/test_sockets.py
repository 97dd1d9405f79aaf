"""What a swap costs: quick in a socket, long where the chip is soldered."""

from __future__ import annotations

import pytest

from tracer.importers import parse_netlist, read_netlist
from tracer.netlist.merge import merge_netlists
from tracer.suspects.find import find_suspects
from tracer.suspects.priors import load_priors
from tracer.suspects.reasoning import Reasoning
from tracer.tracing.pipeline import Traced, trace_fully

MINUTES = load_priors().tables["minutes"]


def traced(*notes: str) -> Traced:
    drawn = read_netlist("netlists/dunlin/dunlin.net")
    read = [parse_netlist(text, format_name="bench-notes", file="b.notes") for text in notes]
    return trace_fully(merge_netlists([drawn, *read]))


def minutes(board: Traced, part: str, sockets: dict[str, bool] | None = None) -> float:
    steps = Reasoning(board, load_priors(), sockets=sockets).candidates()
    return next(c.minutes for c in steps if (c.kind, c.where) == ("swapped", (part,)))


@pytest.fixture(scope="module")
def plain() -> Traced:
    return traced()


def test_a_memory_of_24_legs_counts_as_socketed_and_a_latch_as_soldered(plain: Traced) -> None:
    assert minutes(plain, "U9") == MINUTES["swap"]
    assert minutes(plain, "U13") == MINUTES["swap_soldered"]
    assert MINUTES["swap_soldered"] > MINUTES["swap"]


def test_what_is_told_goes_before_what_is_usual(plain: Traced) -> None:
    assert minutes(plain, "U13", {"U13": True}) == MINUTES["swap"]
    assert minutes(plain, "U9", {"U9": False}) == MINUTES["swap_soldered"]


def test_notes_tell_it_and_the_command_line_goes_before_them() -> None:
    board = traced("U13 is in a socket\nU9 is soldered\n")
    assert minutes(board, "U13") == MINUTES["swap"]
    assert minutes(board, "U9") == MINUTES["swap_soldered"]
    assert minutes(board, "U9", {"U9": True}) == MINUTES["swap"]
    assert board.circuit.identified["U13"].type.name == "74x273", "the words are no marking"


def test_a_soldered_chip_is_measured_around_before_it_is_swapped(plain: Traced) -> None:
    words = {"red": "missing", "green": "missing", "blue": "fine"}
    table = find_suspects(plain, seen=words, sockets={"U13": False, "U9": False})
    assert all(step.kind != "swapped" for step in table.next)
