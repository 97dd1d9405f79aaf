"""Which drivers are bits: what leaks in from another colour, blanks, or is mixed in as sync, is none."""

from __future__ import annotations

import pytest

from tests.boards import board
from tracer.circuit.graph import Circuit, build_circuit
from tracer.netlist.board import PinRef
from tracer.parts.library import load_library
from tracer.stage.model import StageDriver
from tracer.stage.weights import StageBit, WeighedStage
from tracer.tracing.bits import bits_alone, without_crosstalk


def driver(net: str) -> StageDriver:
    return StageDriver(net, (PinRef("U1", {"HSYNC": "2", "R0": "5", "R1": "6"}.get(net, "9")),))


def weighed(*shares: tuple[str, float], undecided: bool = False) -> WeighedStage:
    bits = tuple(StageBit(driver(net), weight, weight, first=f"R-{net}") for net, weight in shares)
    return WeighedStage(bits, (), undecided, 2 ** len(bits), ())


def shown(stage: WeighedStage) -> dict[str, float]:
    return {b.driver.net: round(b.weight, 3) for b in stage.bits}


@pytest.fixture(scope="module")
def circuit() -> Circuit:
    return build_circuit(board("part U1 74LS273\nHSYNC: U1.2\nR0: U1.5\nR1: U1.6\nX: U1.9"), load_library())


def stores_colours(which: StageDriver) -> bool:
    return which.net.startswith("R")


def test_a_driver_that_weighs_much_less_here_than_in_another_colour_is_the_others() -> None:
    stages = {"red": weighed(("R0", 0.96), ("B0", 0.04)), "blue": weighed(("B0", 1.0))}
    found, (finding,) = without_crosstalk(stages)
    assert shown(found["red"]) == {"R0": 1.0}
    assert (found["red"].levels, found["blue"]) == (2, stages["blue"])
    assert finding.code == "crosstalk"
    assert "4.0%" in finding.text


def test_a_driver_that_two_colours_share_about_evenly_is_a_bit_of_both() -> None:
    stages = {"red": weighed(("R0", 0.6), ("I", 0.4)), "blue": weighed(("B0", 0.5), ("I", 0.5))}
    assert without_crosstalk(stages) == (stages, [])


def test_of_two_drivers_that_gate_one_another_the_stored_one_is_the_bit(circuit: Circuit) -> None:
    found, (finding,) = bits_alone(
        circuit, "red", weighed(("R0", 0.5), ("X", 0.5), undecided=True), stores_colours
    )
    assert shown(found) == {"R0": 1.0}
    assert (finding.code, finding.where) == ("clamp", ("U1.9",))


def test_sync_is_mixed_in_only_where_other_drivers_store_bits(circuit: Circuit) -> None:
    found, (finding,) = bits_alone(
        circuit, "green", weighed(("R0", 0.5), ("R1", 0.25), ("HSYNC", 0.25)), stores_colours
    )
    assert shown(found) == {"R0": 0.667, "R1": 0.333}
    assert (found.levels, finding.code) == (4, "sync-mixed")
    alone = weighed(("X", 0.5), ("HSYNC", 0.5))
    assert bits_alone(circuit, "green", alone, stores_colours) == (alone, [])
