"""How near parts sit, in millimetres or by the grid of the board, in one measure and in words."""

from __future__ import annotations

import pytest

from tracer.beeps.nearness import BESIDE_MM, Nearness
from tracer.netlist.board import Netlist, Part, PinRef, make_netlist
from tracer.netlist.spots import Pad, Spot


def board(*parts: Part) -> Netlist:
    return make_netlist("b", parts, [])


def at(reference: str, place: str) -> Part:
    return Part(reference, place=place)


def drawn(reference: str, *pads: tuple[float, float]) -> Part:
    return Part(reference, spot=Spot(tuple(Pad(str(i), x, y) for i, (x, y) in enumerate(pads, 1))))


def test_a_board_twice_as_large_has_the_same_distances() -> None:
    small = Nearness(board(drawn("U1", (0, 0)), drawn("U2", (30, 40)), drawn("U3", (60, 80))))
    large = Nearness(board(drawn("U1", (0, 0)), drawn("U2", (60, 80)), drawn("U3", (120, 160))))
    assert small.between("U1", "U2") == large.between("U1", "U2") == pytest.approx(0.5)


def test_the_grid_and_millimetres_give_one_measure() -> None:
    """A chip in the middle of a board is half a diagonal from its corner, whatever tells it."""
    by_place = Nearness(board(at("U1", "1A"), at("U2", "5E"), at("U3", "9I")))
    by_mm = Nearness(board(drawn("U1", (0, 0)), drawn("U2", (100, 100)), drawn("U3", (200, 200))))
    assert by_place.between("U1", "U2") == pytest.approx(by_mm.between("U1", "U2"))


def test_two_noted_places_are_not_a_whole_board() -> None:
    near = Nearness(board(at("U1", "7E"), at("U2", "8E"))).between("U1", "U2")
    assert near is not None
    assert near < 0.2


def test_a_leg_of_a_long_connector_counts_where_it_is() -> None:
    nearness = Nearness(board(drawn("J1", (0, 0), (0, 100)), drawn("R1", (5, 0)), drawn("R2", (5, 100))))
    first = [nearness.between(PinRef("J1", "1"), r) for r in ("R1", "R2")]
    assert first[0] is not None
    assert first[1] is not None
    assert first[0] < first[1]
    assert nearness.between("J1", "R1") == nearness.between("J1", "R2")


def test_what_has_no_place_has_no_distance() -> None:
    nearness = Nearness(board(at("U1", "7E"), at("U2", "by the fan"), drawn("U3", (1, 1))))
    assert nearness.between("U1", "U2") is None
    assert nearness.between("U1", "U3") is None
    assert nearness.words("U1", "U2", "U2") == ""
    assert nearness.located == 2


@pytest.mark.parametrize(
    ("place", "words"),
    [
        ("8D", "beside U1"),
        ("8E", "beside U1"),
        ("10D", "3 columns from U1"),
        ("D5", "2 columns from U1"),
        ("7A", "3 rows from U1"),
        ("8F", "1 column and 2 rows from U1"),
    ],
)
def test_words_for_a_grid(place: str, words: str) -> None:
    assert Nearness(board(at("U1", "7D"), at("U2", place))).words("U2", "U1", "U1") == words


def test_words_for_millimetres() -> None:
    nearness = Nearness(board(drawn("U1", (0, 0)), drawn("U2", (0, BESIDE_MM - 1)), drawn("U3", (34.4, 0))))
    assert nearness.words("U2", "U1", "the connector") == "beside the connector"
    assert nearness.words("U3", "U1", "the connector") == "34 mm from the connector"
