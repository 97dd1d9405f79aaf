"""The place view on a card: every part of the path is named or said to have no room."""

from __future__ import annotations

import pytest

from tests.boards import NETLISTS
from tests.card_reading import faults_of_page
from tracer.card.place_block import place_block
from tracer.card.shapes import Look, Page, Shape, Text, moved
from tracer.importers import read_netlist
from tracer.place.make import place_view
from tracer.place.values import PlacedPart, PlacePad, PlaceView
from tracer.tracing.pipeline import trace_fully


def drawn(view: PlaceView, room: float = 190.0, high: float = 90.0) -> list[Text]:
    """The texts of a block, once nothing in it is over another."""
    block = place_block(view, 3, room, high, Look())
    y, shapes = 10.0, list[Shape]()
    for strip in block.strips:
        shapes += moved(strip.shapes, 10.0, y)
        y += strip.height
    assert faults_of_page(Page(room + 20.0, y + 10.0, tuple(shapes))) == []
    return [s for s in shapes if isinstance(s, Text)]


@pytest.mark.parametrize("board", ["dunlin", "plover", "wren"])
def test_places_of_the_print_show_every_chip_in_its_row_and_column(board: str) -> None:
    view = place_view(trace_fully(read_netlist(NETLISTS / board / f"{board}.net")))
    assert view is not None
    texts = drawn(view)
    columns = {t.text: t.x for t in texts if t.bold and t.text.isdigit()}
    rows = {t.text: t.y for t in texts if t.bold and len(t.text) == 1 and t.text.isalpha()}
    for part in view.parts:
        own = next(t for t in texts if t.text.split()[0] == part.part)
        assert min(columns, key=lambda c: abs(columns[c] - own.x - 8.0)) == part.place[0]
        assert min(rows, key=lambda r: abs(rows[r] - own.y)) == part.place[1]
        assert own.bold == (part.role != "beside")


def board_of(*resistors: tuple[float, float]) -> PlaceView:
    """A board of 100 by 60 mm with a chip, and small resistors at these points."""
    pads = (PlacePad("1", 21.0, 21.0), PlacePad("2", 21.0, 23.5, ("red",)))
    chip = PlacedPart("U9", "6116", "7D", (20.0, 20.0, 30.0, 50.0), pads, ("red",), False, "chip")
    beside = PlacedPart("U1", "Z80A", "", (60.0, 20.0, 75.0, 50.0), (), (), False, "beside")
    small = [
        PlacedPart(f"R{i}", "220", "", (x, y, x + 0.8, y + 1.6), (), ("red",), False, "stage")
        for i, (x, y) in enumerate(resistors, 1)
    ]
    outline = (((0.0, 0.0), (100.0, 0.0)), ((100.0, 0.0), (100.0, 60.0)))
    return PlaceView("board", False, (0.0, 0.0, 100.0, 60.0), outline, (beside, chip, *small))


def test_parts_of_the_path_are_named_where_they_sit() -> None:
    texts = drawn(board_of((80.0, 10.0), (80.0, 30.0)))
    named = {t.text for t in texts}
    assert {"U9 6116"} & named or {"U9", "6116"} <= named
    assert {"R1", "R2"} <= named
    one, two = (next(t for t in texts if t.text == name) for name in ("R1", "R2"))
    assert two.y - one.y > 20.0


def test_small_parts_that_stand_close_are_drawn_again_larger() -> None:
    close = [(40.0 + 1.5 * i, 10.0 + 2.5 * k) for i in range(3) for k in range(3)]
    named = [t.text for t in drawn(board_of(*close), room=190.0, high=60.0)]
    assert all(f"R{i}" in named for i in range(1, 10))


def test_what_has_no_room_for_its_name_is_said() -> None:
    close = [(40.0 + 0.9 * i, 10.0 + 1.7 * k) for i in range(5) for k in range(5)]
    texts = [t.text for t in drawn(board_of(*close), room=100.0, high=60.0)]
    said = " ".join(t for t in texts if " " in t).replace(",", " ").replace(".", " ").split()
    assert all(f"R{i}" in texts or f"R{i}" in said for i in range(1, 26))
    assert "No room for the names of" in " ".join(texts)
