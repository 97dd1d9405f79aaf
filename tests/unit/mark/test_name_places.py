"""Where a bit's name stands at a leg."""

from __future__ import annotations

import pytest

from tracer.importers.kicad.sheet_file import STEPS_PER_MM
from tracer.mark.name_places import Box, NamePlaces, label_box

AT = (100 * STEPS_PER_MM, 50 * STEPS_PER_MM)
RIGHT, LEFT, UP, DOWN = (1, 0), (-1, 0), (0, -1), (0, 1)


@pytest.mark.parametrize(
    ("off", "angle", "justify"),
    [(RIGHT, 0, "left top"), (LEFT, 0, "right top"), (UP, 90, "left top"), (DOWN, 90, "right top")],
)
def test_a_name_runs_along_the_wire_away_from_the_body(
    off: tuple[int, int], angle: int, justify: str
) -> None:
    place = NamePlaces([]).place(AT, off, "red 3", 0.3)
    assert (place.angle, place.justify) == (angle, justify)
    assert (place.x - 100) * off[0] + (place.y - 50) * off[1] == pytest.approx(0.5)


def test_a_label_on_the_next_row_sends_the_name_above_and_behind_its_own() -> None:
    own = label_box("PA0", AT, 0, is_local=True)
    below = label_box("PA1", (AT[0], AT[1] + round(2.54 * STEPS_PER_MM)), 0, is_local=True)
    assert NamePlaces([own]).place(AT, RIGHT, "red 3", 0.3).justify == "left top"
    place = NamePlaces([own, below]).place(AT, RIGHT, "red 3", 0.3)
    assert place.justify == "left bottom"
    assert place.x > own.x1
    assert place.y < 50


def test_names_of_two_legs_do_not_cover_one_another() -> None:
    places = NamePlaces([])
    first = places.place(AT, RIGHT, "green 3", 0.3)
    second = places.place((AT[0] + STEPS_PER_MM, AT[1]), RIGHT, "red 3", 0.3)
    assert (second.y < 50) != (first.y < 50)


def test_a_crowded_leg_is_named_all_the_same() -> None:
    assert NamePlaces([Box(0, 0, 500, 500)]).place(AT, RIGHT, "red 3", 0.3).height > 0


def test_markup_takes_no_room() -> None:
    assert label_box("~{RD}", AT, 0, is_local=True) == label_box("RD", AT, 0, is_local=True)
    assert label_box("RD", AT, 180, is_local=True).x1 == 100
    assert label_box("RD", AT, 90, is_local=True).y1 == 50
