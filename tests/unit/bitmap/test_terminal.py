"""The map in a terminal: what is the same of several bits and colours is said once."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.boards import board
from tracer.bitmap import csv
from tracer.bitmap.read import read_map
from tracer.bitmap.terminal import emit
from tracer.tracing.pipeline import trace

NETLISTS = Path(__file__).parents[3] / "netlists"
#: Two bits of red and one each of green and blue, from a latch that J3 feeds.
LATCHED = """
part J1 plug symbol=Conn_01x04 1=RED 2=GREEN 3=BLUE
part U1 74LS174
part J3 plug symbol=Conn_01x20
part R1 1k
part R2 470
part R3 470
part R4 470
J1.1 R1.1 R2.1
J1.2 R3.1
J1.3 R4.1
R1.2 U1.2
R2.2 U1.5
R3.2 U1.7
R4.2 U1.10
GND: U1.8 J1.4
VCC: U1.16
"""
LEFT = "stopped: the way leaves the board at"


def text(more: str, without: str = "") -> str:
    """The map of the latched board, its lines put together."""
    return " ".join(emit(trace(board(LATCHED.replace(without, "") + more))).split())


def test_bits_that_stop_at_legs_of_one_part_for_one_reason_tell_the_reason_once() -> None:
    found = text("U1.3 J3.1\nU1.4 J3.10\nU1.6 J3.2\nU1.11 J3.3")
    assert f"{LEFT} J3.10; join the other board" in found
    assert "stopped at J3.1, as above" in found
    # Green and blue have tables of their own.
    assert found.count(LEFT) == 3


def test_bits_that_stop_at_one_leg_stop_as_above() -> None:
    assert "stopped, as above" in text("U1.3 U1.4 J3.1\nU1.6 J3.2\nU1.11 J3.3")


@pytest.mark.parametrize("other", ["U1.4 J4.10\npart J4 plug symbol=Conn_01x20", ""])
def test_another_part_or_reason_is_told_in_full(other: str) -> None:
    found = text(f"U1.3 J3.1\n{other}\nU1.6 J3.2\nU1.11 J3.3")
    assert "as above" not in found
    assert found.count("stopped: ") == 4


def test_what_several_colours_say_of_their_own_parts_is_one_line() -> None:
    unread = "part R3 470\npart R4 470\n"
    more = "part R3\npart R4\npart R5\npart R6\nJ1.2 R5.1\nJ1.3 R6.1\nR5.2 U1.12\nR6.2 U1.15\nU1.3 J3.1\nU1.4 J3.2"
    found = text(more, unread)
    assert found.count("are missing or cannot be read") == 1
    assert "green: the values of R3, R5 are missing" in found
    assert "likewise blue (R4, R6)" in found


def test_a_chip_is_called_what_a_shop_sells_and_its_type_where_no_family_is_drawn() -> None:
    feeding = "part J4 plug symbol=Conn_01x20\npart U2 74LS04\nU2.2 U1.3\nU2.1 U2.14 U2.7"
    assert "U1 74LS174 latch red 1-0" in text(feeding)
    assert "U1 74x174 latch red 1-0" in " ".join(
        emit(trace(board(LATCHED.replace("74LS174", "74x174") + feeding))).split()
    )


def test_the_way_back_tells_each_chip_with_the_leg_in_and_the_leg_out() -> None:
    """Programs have fields for it; a person reads which leg is which, one chip below the other."""
    map_file = NETLISTS / "plover" / "plover.map.json"
    bit_map = read_map(map_file.read_text(encoding="utf-8"), str(map_file))
    lines = emit(bit_map).splitlines()
    at = next(i for i, line in enumerate(lines) if "U33.16 7Q" in line)
    assert lines[at].split("7Q ")[1].split() == ["U33", "in", "17,", "out", "16", "U27.18", "D6"]
    assert lines[at + 1].strip() == "U31 in 17, out 16"
    assert not re.search(r"\.\w+<", emit(bit_map))
    assert "U33.16<17 U31.16<17" in csv.emit(bit_map)
    assert max(map(len, lines)) <= 80


def test_legs_that_no_data_sheet_was_compared_for_are_said_once_a_map() -> None:
    map_file = NETLISTS / "avocet" / "avocet.map.json"
    bit_map = read_map(map_file.read_text(encoding="utf-8"), str(map_file))
    found = " ".join(emit(bit_map).split())
    assert found.count("no data sheet was compared for the legs of 82S129 (avocet-main:U16); likewise ") == 1
    assert found.count("no data sheet was compared") == 1
    assert "from memory" not in found
