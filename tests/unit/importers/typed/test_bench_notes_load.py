"""The monitor's input in notes: a fact of the bench that every command at one load uses."""

from __future__ import annotations

import pytest

from tracer.base.errors import NetlistError
from tracer.export.netlists.netlists import write_netlist
from tracer.importers import parse_netlist
from tracer.netlist.board import Netlist
from tracer.netlist.join import join_boards, parse_join
from tracer.netlist.merge import merge_netlists
from tracer.netlist.notes import Load


def notes(text: str) -> Netlist:
    return parse_netlist(text + "\n", "a.notes", format_name="bench-notes")


@pytest.mark.parametrize(
    ("line", "ohm"),
    [("load 1k", 1000.0), ("Load 75 ohm", 75.0), ("load none", None), ("load NONE  # bare", None)],
)
def test_a_load_is_ohms_or_none(line: str, ohm: float | None) -> None:
    assert notes(line).notes.load == Load(ohm)


def test_notes_without_a_load_say_nothing_of_it() -> None:
    assert notes("red is J1.12").notes.load is None
    assert "load" not in write_netlist("bench-notes", notes("red is J1.12"))[0]


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("load heavy", 1, "is no resistance"),
        ("load 0", 1, "is no resistance"),
        ("load 1k\nU9.1 = U8.1\nload 75", 3, "the load is 1k further up and 75 here"),
    ],
)
def test_a_load_that_cannot_be_is_refused_at_its_line(text: str, line: int, words: str) -> None:
    with pytest.raises(NetlistError) as caught:
        notes(text)
    assert caught.value.line == line
    assert caught.value.column == 6
    assert words in caught.value.what
    assert caught.value.fix


@pytest.mark.parametrize("load", ["1k", "75", "none", "4k7"])
def test_notes_written_back_keep_it(load: str) -> None:
    text = write_netlist("bench-notes", notes(f"load {load}\nU9.1 = U8.1"))[0]
    assert f"load {load}" in text.splitlines()
    assert str(notes(text).notes.load) == load


def test_a_form_that_cannot_hold_it_says_so() -> None:
    assert "1 monitor's load" in write_netlist("pads", notes("load 1k\nU9.1 = U8.1"))[1]


def test_the_later_notes_count_and_those_that_are_silent_do_not() -> None:
    first, later, silent = notes("load 1k"), notes("load none"), notes("U9.1 = U8.1")
    assert merge_netlists([first, later]).notes.load == Load(None)
    assert merge_netlists([first, silent]).notes.load == Load(1000.0)


def test_joined_boards_keep_it() -> None:
    joined = join_boards(
        {"A": notes("J1 is plug\nJ1.1 = U9.1\nload 1k"), "B": notes("J2 is plug\nJ2.1 = U9.1")},
        [parse_join("A:J1=B:J2")],
    )
    assert joined.notes.load == Load(1000.0)


def test_notes_that_begin_with_it_are_known_as_notes() -> None:
    assert parse_netlist("load 1k\nU9.1 = U8.1\n", "a.txt").notes.load == Load(1000.0)
