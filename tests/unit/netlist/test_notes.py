"""What notes say of a board, as values."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.boards import board
from tracer.netlist.board import Evidence, Notes, PinRef
from tracer.netlist.join import join_boards
from tracer.netlist.notes import ToldNet

A, B = PinRef("R5", "1"), PinRef("U9", "2")


@pytest.mark.parametrize(
    ("words", "ohm"), [("470 ohm", 470.0), ("4k7", 4700.0), ("0.3 ohm", 0.3), ("1 kohm", 1000.0)]
)
def test_ohms_between_two_legs(words: str, ohm: float) -> None:
    assert Evidence("measured", ("R5.1", "U9.2"), words).ohm_between == (A, B, ohm)


@pytest.mark.parametrize(
    "evidence",
    [
        Evidence("measured", ("R5.1", "U9.2"), "a beep"),
        Evidence("measured", ("R5.1",), "470 ohm"),
        Evidence("read", ("R5.1", "U9.2"), "470 ohm"),
        Evidence("seen", (), "red missing"),
    ],
)
def test_what_is_no_measurement_between_two_legs(evidence: Evidence) -> None:
    assert evidence.ohm_between is None


def test_told_places_of_joined_boards() -> None:
    """A leg's part and a net's name get their board's name in front, as all names do."""
    drawn = board("RED: J1.1 R5.1")
    drawn = replace(drawn, notes=Notes((("red", PinRef("J1", "1")), ("green", ToldNet("/video/G")))))
    joined = join_boards({"A": board("X: J1.1"), "B": drawn}, [])
    assert dict(joined.notes.colour_pins) == {"red": PinRef("B:J1", "1"), "green": ToldNet("B:/video/G")}
    assert [str(where) for _, where in joined.notes.colour_pins] == ["B:J1.1", "net:B:/video/G"]
