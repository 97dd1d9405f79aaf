"""The address lines of a palette memory: what sets each, and at which level those that are held stand."""

from __future__ import annotations

from tests.palettes import PROM, traced
from tracer.bitmap.model import Driver, IndexLine

FIRST = Driver("U2", "74x174", "2", "1Q", "74LS174")


def lines(old: str, new: str) -> dict[str, IndexLine]:
    """The lines of the PROM by name, of the board with one piece of its text changed."""
    assert old in PROM
    [memory] = traced(PROM.replace(old, new)).bit_map.index
    return {line.name: line for line in memory.lines}


def a0(new: str) -> IndexLine:
    return lines("IDX0: U1.10 U2.2", new)["A0"]


def test_an_output_sets_a_line_and_a_rail_holds_one() -> None:
    found = lines("IDX0", "IDX0")
    assert found["A0"] == IndexLine("10", "A0", "IDX0", "output", None, (FIRST,))
    assert found["A4"] == IndexLine("14", "A4", "GND", "rail", 0)
    assert [line.is_live for line in found.values()] == [True] * 4 + [False]


def test_a_line_on_the_supply_is_held_high() -> None:
    found = lines("U1.14 U1.15", "U1.15\nVCC: U1.14")
    assert (found["A4"].set_by, found["A4"].level) == ("rail", 1)


def test_a_resistor_to_a_rail_alone_pulls() -> None:
    line = a0("IDX0: U1.10 R9.1\npart R9 4k7\nGND: R9.2")
    assert (line.set_by, line.level, line.is_live) == ("pull", 0, False)


def test_an_output_with_a_pull_up_sets_its_line_itself() -> None:
    line = a0("IDX0: U1.10 U2.2 R9.1\npart R9 4k7\nVCC: R9.2")
    assert (line.set_by, line.level, line.drivers) == ("output", None, (FIRST,))


def test_an_output_behind_a_damping_resistor() -> None:
    line = a0("IDX0: U1.10 R9.1\npart R9 47\nFAR: R9.2 U2.2")
    assert (line.set_by, line.drivers, line.over) == ("output", (FIRST,), "R9")


def test_all_outputs_of_a_bus_are_told() -> None:
    line = a0("IDX0: U1.10 U3.18 U4.18 U5.18 U6.18\n" + "\n".join(f"part U{i} 74LS244" for i in range(3, 7)))
    assert [driver.part for driver in line.drivers] == ["U3", "U4", "U5", "U6"]
    assert {driver.type for driver in line.drivers} == {"74x244"}


def test_a_line_that_leaves_the_board() -> None:
    line = a0("IDX0: U1.10 J9.4\npart J9 socket symbol=Conn_01x06")
    assert (line.set_by, line.drivers[0].part, line.drivers[0].pin, line.is_live) == (
        "connector",
        "J9",
        "4",
        True,
    )


def test_a_line_alone_on_its_net_and_one_that_no_net_names() -> None:
    assert (a0("IDX0: U1.10").set_by, a0("IDX0: U1.10").net) == ("nothing", "IDX0")
    assert (a0("").set_by, a0("").net) == ("not stated", None)
