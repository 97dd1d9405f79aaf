"""What a fault of a leg or chip does: the rules that follow from the circuit.

S1, S3, S4, S10 are consequences of the theorem named in ``tests/published/test_levels.py``; that an open TTL input
reads high is of the family's data sheet (common practice).
"""

from __future__ import annotations

import pytest

from tests.stage_boards import traced_stage, weighted
from tracer.importers import read_netlist
from tracer.levels.drive_values import Override
from tracer.suspects.leg_faults import BitEffect, Fault, bits_hit, faults_of_path, volts_with
from tracer.tracing.pipeline import Traced, trace_fully

IDEAL = Override(5.0, 0.0, 0.0)
THREE = weighted(1000, 470, 220)


def volts(traced: Traced, fault: Fault, colour: str = "red") -> tuple[float, ...] | None:
    return volts_with(traced, colour, bits_hit(traced, fault), 75.0, IDEAL)


@pytest.fixture(scope="module")
def three() -> Traced:
    return traced_stage(THREE, 3)


def healthy(traced: Traced) -> tuple[float, ...]:
    found = volts_with(traced, "red", {}, 75.0, IDEAL)
    assert found is not None
    return found


def test_s1_an_output_stuck_low_leaves_its_bit_out(three: Traced) -> None:
    whole, faulty = healthy(three), volts(three, Fault("stuck low", "U9", "6"))
    assert faulty == tuple(whole[code & 0b011] for code in range(8))
    assert faulty[7] == pytest.approx(0.74445, abs=1e-4)


def test_s2_an_output_stuck_high_lifts_black(three: Traced) -> None:
    whole, faulty = healthy(three), volts(three, Fault("stuck high", "U9", "6"))
    assert faulty == tuple(whole[code | 0b100] for code in range(8))


def test_s3_s4_an_open_leg_reads_higher_than_one_stuck_low(three: Traced) -> None:
    """N09 and N10: 0.95 V against 0.74 V tell the joint from the chip."""
    opened = volts(three, Fault("open", "U9", "6"))
    assert opened is not None
    assert opened[7] == pytest.approx(0.95002, abs=1e-4)


def test_an_open_input_of_ttl_reads_high_and_of_cmos_nobody_knows() -> None:
    fault = Fault("open", "U9", "7")
    assert bits_hit(traced_stage(THREE, 3), fault) == {("red", 2): BitEffect(1)}
    cmos = traced_stage(THREE, 3, "74HC273")
    assert bits_hit(cmos, fault) == {("red", 2): BitEffect(None)}
    assert volts(cmos, fault) is None


def test_s10_a_memory_out_of_its_socket_before_ttl_lights_all_its_bits() -> None:
    """Common practice, no source: with one memory for red and green pulled, yellow where blue is off."""
    traced = trace_fully(read_netlist("netlists/dunlin/dunlin.net"))
    hit = bits_hit(traced, Fault("out of its socket", "U9"))
    assert hit == {(colour, bit): BitEffect(1) for colour in ("red", "green") for bit in range(4)}
    for colour in ("red", "green"):
        found = volts_with(traced, colour, hit, 75.0, IDEAL)
        assert found is not None
        assert list(found) == pytest.approx([1.89359] * 16, abs=1e-4)


def test_a_latch_out_of_its_socket_lets_the_stage_go() -> None:
    traced = traced_stage(THREE, 3)
    assert volts(traced, Fault("out of its socket", "U9")) == (0.0,) * 8


def test_a_level_is_turned_over_by_the_inverters_behind_it() -> None:
    stage = """
part U7 74LS04
part R0 470
B0: U7.1
N0: U7.2 R0.1
RED: R0.2
VCC: U7.14
GND: U7.7
"""
    traced = traced_stage(stage, 1)
    assert bits_hit(traced, Fault("stuck low", "U4", "9")) == {("red", 0): BitEffect(1)}
    assert bits_hit(traced, Fault("stuck low", "U9", "2")) == {("red", 0): BitEffect(1)}
    assert bits_hit(traced, Fault("stuck high", "U7", "1")) == {("red", 0): BitEffect(0)}
    assert bits_hit(traced, Fault("open", "U7", "1")) == {("red", 0): BitEffect(0)}
    assert bits_hit(traced, Fault("stuck low", "U7", "2")) == {("red", 0): BitEffect(0)}
    assert bits_hit(traced, Fault("open", "U7", "2")) == {("red", 0): BitEffect(None, let_go=True)}


def test_a_leg_off_the_way_hits_nothing(three: Traced) -> None:
    assert bits_hit(three, Fault("stuck low", "U9", "11")) == {}
    assert bits_hit(three, Fault("open", "U99", "1")) == {}


@pytest.mark.parametrize("name", ["wren", "dunlin", "plover"])
def test_every_fault_of_the_path_hits_something_and_is_listed_once(name: str) -> None:
    traced = trace_fully(read_netlist(f"netlists/{name}/{name}.net"))
    faults = faults_of_path(traced)
    assert len(faults) == len(set(faults))
    assert all(bits_hit(traced, fault) for fault in faults)
    hit = {bit for fault in faults for bit in bits_hit(traced, fault)}
    assert hit == {(c.name, b.bit) for c in traced.bit_map.colours for b in c.bits}
