"""Where a part sits: a fact of its own, never a marking, and written back."""

from __future__ import annotations

import pytest

from tracer.base.errors import NetlistError
from tracer.export.netlists.netlists import write_netlist
from tracer.importers import parse_netlist
from tracer.netlist.board import Netlist
from tracer.netlist.join import join_boards, parse_join
from tracer.netlist.merge import merge_netlists


def notes(text: str) -> Netlist:
    return parse_netlist(text + "\n", "a.notes", format_name="bench-notes")


@pytest.mark.parametrize(
    ("line", "marking", "place", "told"),
    [
        ("U9 is in a socket", "", "", True),
        ("u9 is socketed", "", "", True),
        ("U9 is Soldered", "", "", False),
        ("U9 is not in a socket", "", "", False),
        ("U9 is 6116 in a socket", "6116", "", True),
        ("U9 is 6116, in its socket", "6116", "", True),
        ("U9 is 6116 in a socket at 7E", "6116", "7E", True),
        ("U9 is 6116 at 7E soldered", "6116", "7E", False),
    ],
)
def test_where_a_part_sits(line: str, marking: str, place: str, told: bool) -> None:
    read = notes(line)
    assert read.notes.sockets == (("U9", told),)
    assert (read.parts[0].marking, read.parts[0].place) == (marking, place)


def test_several_parts_at_once() -> None:
    assert dict(notes("[U9 U10] is in a socket").notes.sockets) == {"U9": True, "U10": True}


def test_both_at_once_is_refused() -> None:
    with pytest.raises(NetlistError) as caught:
        notes("U9 is in a socket\nU9 is soldered")
    assert caught.value.line == 2
    assert caught.value.fix


def test_a_marking_in_quotes_stays_one() -> None:
    read = notes('U9 is "soldered"')
    assert read.parts[0].marking == "soldered"
    assert notes(write_netlist("bench-notes", read)[0]).parts[0].marking == "soldered"


def test_notes_written_back_keep_it() -> None:
    read = notes("U9 is 6116 at 7E in a socket\nU13 is soldered\nU9.1 = U13.2\nseen white as #0000ff")
    again = notes(write_netlist("bench-notes", read)[0])
    assert dict(again.notes.sockets) == {"U9": True, "U13": False}
    assert [e.words for e in again.notes.evidence] == ["white as #0000ff"]


def test_later_notes_and_joined_boards_keep_it() -> None:
    merged = merge_netlists(
        [notes("U9 is in a socket\nU9.1 = U13.2"), notes("U9 is soldered\nU13 is socketed")]
    )
    assert dict(merged.notes.sockets) == {"U9": False, "U13": True}
    joined = join_boards(
        {"A": notes("J1 is plug\nU9 is socketed\nJ1.1 = U9.1"), "B": notes("J2 is plug\nJ2.1 = U9.1")},
        [parse_join("A:J1=B:J2")],
    )
    assert dict(joined.notes.sockets) == {"A:U9": True}


def test_six_figures_are_a_colour_where_the_screen_is_told_of() -> None:
    """Everywhere else a sign like that begins a comment."""
    assert notes("seen white as #0000ff # late").notes.evidence[0].words == "white as #0000ff"
    assert notes("seen red missing #facade1").notes.evidence[0].words == "red missing"
    assert notes("U9 is 6116 #decade").parts[0].marking == "6116"
