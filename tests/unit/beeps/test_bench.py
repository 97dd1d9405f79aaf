"""The board half-way: every leg on a net, supplies excluded before anything is asked."""

from __future__ import annotations

import pytest

from tracer.base.errors import ColourPinError
from tracer.beeps.bench import Bench, set_up
from tracer.importers.typed.bench_notes import parse
from tracer.netlist.board import PinRef
from tracer.parts.library import load_library

COLOURS = "red is J1.1\ngreen is J1.2\nblue is J1.3\n"


def bench(text: str, colours: str = COLOURS) -> Bench:
    return set_up(parse(text + "\n" + colours, "x.notes", "x"), load_library())


def legs(board: Bench, reference: str) -> list[str]:
    return [p.number for p in board.circuit.netlist.by_reference[reference].pins]


@pytest.mark.parametrize(
    ("line", "count"),
    [
        ("X1 is 74LS273", 20),
        ("R7 is 220", 2),
        ("Q1 is 2N3904", 3),
        ("RN1 is 8 x 470 isolated", 16),
        ("RN1 is 8x4k7", 9),
        ("U3 is ?, 24 legs", 24),
    ],
)
def test_a_part_list_alone_says_how_many_legs_a_part_has(line: str, count: int) -> None:
    reference = line.split()[0].replace("X1", "U9")
    assert len(legs(bench(line.replace("X1", "U9")), reference)) == count


def test_ground_and_supply_legs_of_known_chips_are_joined_before_the_first_touch() -> None:
    board = bench("U1 is 74LS273\nU2 is 6116")
    assert board.net(PinRef("U1", "10")) == board.net(PinRef("U2", "12")) == "GND"
    assert board.is_rail(PinRef("U1", "20"))
    assert not board.is_rail(PinRef("U1", "19"))


def test_legs_that_beeped_share_a_net_and_the_others_stand_alone() -> None:
    board = bench("U1 is 74LS273\nR1 is 220\nR1.2 = U1.19")
    assert board.net(PinRef("R1", "2")) == board.net(PinRef("U1", "19"))
    assert board.net(PinRef("R1", "1")) != board.net(PinRef("R1", "2"))


def test_a_touch_without_a_beep_speaks_for_all_legs_of_both_nets() -> None:
    board = bench("U1 is 74LS273\nR1 is 220\nR2 is 470\nR1.2 = R2.2\nR1.2 != U1.19\nR1.2 != U1.19")
    assert board.touched(PinRef("R2", "2"), PinRef("U1", "19")) == 2
    assert board.touched(PinRef("R2", "2"), PinRef("U1", "16")) == 0


def test_without_colour_pins_it_says_how_to_tell_them() -> None:
    with pytest.raises(ColourPinError, match="--pin red="):
        bench("U1 is 74LS273\nJ1 is plug, 6 legs", colours="")


def test_a_connector_of_a_published_standard_tells_its_colour_pins() -> None:
    board = bench("J1 is JAMMA edge 56\nU1 is 74LS273", colours="")
    assert {c: p.pin for c, p in board.colours.items()} == {"red": "12", "green": "N", "blue": "13"}


@pytest.mark.parametrize(
    ("line", "count"),
    [
        ("J2 is plug, 400 legs", 400),
        ("J2 is plug, 401 legs", 0),
        (f"J2 is plug, {'9' * 4000} legs", 0),
        ("RN1 is 200 x 470 isolated", 400),
        ("RN1 is 99999999 x 470 isolated", 0),
        ("RN1 is 400 x 470", 0),
    ],
)
def test_a_number_of_legs_beyond_any_part_is_not_believed(line: str, count: int) -> None:
    assert len(legs(bench(line), line.split()[0])) == count
