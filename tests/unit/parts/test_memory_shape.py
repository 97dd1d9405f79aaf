"""What a dump of a memory must fit, from the part library."""

from __future__ import annotations

import pytest

from tracer.parts.library import load_library
from tracer.parts.memory_shape import MemoryShape, shape_of


def shape(marking: str, *pins: str) -> MemoryShape | None:
    known = load_library().find(marking)
    assert known is not None
    return shape_of("U4", known, pins)


@pytest.mark.parametrize(
    ("marking", "pin", "depth", "width", "n_bytes"),
    [
        ("82S129", "12", 256, 4, 256),
        ("82S123", "1", 32, 8, 32),
        ("6116", "9", 2048, 8, 2048),
        ("2114", "14", 1024, 4, 1024),
        ("271024", "19", 65536, 16, 131072),
        ("74x670", "10", 4, 4, 4),
    ],
)
def test_depth_and_width_follow_from_the_legs(
    marking: str, pin: str, depth: int, width: int, n_bytes: int
) -> None:
    found = shape(marking, pin)
    assert found is not None
    assert (found.depth, found.width, found.n_bytes) == (depth, width, n_bytes)


def test_bits_run_from_the_lightest_by_name_whatever_the_legs() -> None:
    found = shape("82S129", "12", "9")
    assert found is not None
    assert found.names == ("O1", "O2", "O3", "O4")
    assert found.data == ("12", "11", "10", "9")
    assert found.address == ("5", "6", "7", "4", "3", "2", "1", "15")
    assert str(found) == "U4 (82S129, 256 x 4)"


def test_outputs_that_turn_over_are_known() -> None:
    assert (found := shape("74x189", "5")) is not None
    assert found.inverts
    assert (found := shape("74x219", "5")) is not None
    assert not found.inverts


def test_a_dynamic_ram_is_no_table() -> None:
    assert shape("4164", "14") is None


def test_a_leg_that_is_data_or_address_by_a_mode_is_not_guessed() -> None:
    assert shape("27400", "13") is None
    assert shape("27400", "13", "14") is None
