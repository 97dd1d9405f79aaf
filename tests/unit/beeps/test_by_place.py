"""Nearness among candidates: it moves chances and makes none, and it is believed as long as it proves right."""

from __future__ import annotations

import pytest

from tests.unit.beeps.test_bench import bench
from tracer.beeps.by_place import ByPlace
from tracer.beeps.choice import look
from tracer.beeps.nearness import Nearness
from tracer.beeps.wanted import Connection, Want
from tracer.beeps.weights import load_wiring
from tracer.netlist.board import Netlist, Part, PinRef, make_netlist

PLACES = {"J1": "1D", "U1": "2D", "U2": "5D", "U3": "9D", "U4": "9H"}
CHIPS = {"U1": 1.0, "U2": 1.0, "U3": 1.0, "U4": 1.0}
RED = {"red": PinRef("J1", "1")}
WANT = Want("driver", PinRef("R1", "2"), "red", 220.0)


def board(places: dict[str, str]) -> Netlist:
    return make_netlist("b", [Part(r, place=place) for r, place in places.items()], [])


def by_place(places: dict[str, str] = PLACES) -> ByPlace:
    return ByPlace(Nearness(board(places)), CHIPS, RED, load_wiring())


def found(*chips: str) -> list[Connection]:
    return [Connection(WANT, PinRef(chip, "2")) for chip in chips]


def test_the_nearer_the_likelier_and_the_mean_is_as_before() -> None:
    """The resistor has no place; the connector stands for it."""
    factors = by_place().factors(WANT, [], {})
    assert factors["U1"] > factors["U2"] > factors["U3"] > factors["U4"]
    assert sum(factors.values()) == pytest.approx(len(CHIPS))


def test_a_chip_without_a_place_is_as_likely_as_before() -> None:
    factors = by_place({**PLACES, "U4": ""}).factors(WANT, [], {})
    assert factors.keys() == {"U1", "U2", "U3"}
    assert sum(factors.values()) == pytest.approx(3)


def test_without_places_nothing_is_said() -> None:
    assert by_place(dict.fromkeys(PLACES, "")).factors(WANT, [], {}) == {}


def spread(*chips: str, in_vain: dict[str, float] | None = None) -> float:
    factors = by_place().factors(WANT, found(*chips), in_vain or {})
    return max(factors.values()) - min(factors.values())


def test_near_chips_that_were_found_make_it_surer_and_far_ones_less_sure() -> None:
    assert spread("U4", "U1") < 0.5 * spread("U1", "U2")


def test_near_chips_that_were_tried_in_vain_make_it_less_sure() -> None:
    assert spread(in_vain={"U1": 1.0, "U2": 1.0}) < 0.8 * spread()


NOTES = (
    "J1 is plug, 4 legs at 1D\n[R1 R2 R3] is 220\nU1 is 74LS374 at 9H\nU2 is 74LS374 at 2D\n"
    "red is J1.1\ngreen is J1.2\nblue is J1.3\nJ1.1 = R1.1\nJ1.2 = R2.1\nJ1.3 = R3.1\n"
)


def test_beep_tries_the_chip_by_the_connector_first() -> None:
    choice = look(bench(NOTES), load_wiring()).choice
    assert choice is not None
    assert {leg.part for leg, _ in choice.legs} == {"U2"}
    moved = look(bench(NOTES.replace("9H", "1E").replace("2D", "9H")), load_wiring()).choice
    assert moved is not None
    assert {leg.part for leg, _ in moved.legs} == {"U1"}
