"""What a fault of a leg or chip does: the rules that follow from the circuit.

S1, S3, S4, S10 are consequences of the theorem named in ``tests/published/test_levels.py``; that an open TTL input
reads high is of the family's data sheet (common practice).
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.stage_boards import PULLED_DOWN, stage_board, traced_stage, weighted
from tracer.importers import read_netlist
from tracer.levels.drive_values import Override
from tracer.netlist.board import PinRef
from tracer.suspects.fault import Fault, Manner, What
from tracer.suspects.hits import AtDriver
from tracer.suspects.listing import list_faults
from tracer.suspects.path_legs import path_legs
from tracer.suspects.picture import HEALTHY, picture_of
from tracer.suspects.priors import load_priors
from tracer.suspects.readings import ohms_of, readings_under
from tracer.tracing.pipeline import Traced, trace_fully

IDEAL = Override(5.0, 0.0, 0.0)
THREE = weighted(1000, 470, 220)
PRIORS = load_priors()
HIGH, LET_GO, UNTOLD = AtDriver(1), AtDriver(None, let_go=True), AtDriver(None)


def find(traced: Traced, what: What, manner: Manner, at: str, level: int | None = None) -> Fault:
    """The fault of a leg (``U9.6``) or a part; of a track, the one that ends there."""
    (found,) = (
        f
        for f in list_faults(traced, PRIORS)
        if (f.what, f.manner, f.level) == (what, manner, level)
        and at
        in (f.part, *(f.place.ends if what == "track" else (f"{leg.part}.{leg.pin}" for leg in f.legs)))
    )
    return found


def stuck(traced: Traced, leg: str, level: int) -> Fault:
    part, _, pin = leg.partition(".")
    is_output = path_legs(traced).is_output((part, pin))
    return find(traced, *(("chip", "stuck") if is_output else ("track", "shorted")), leg, level)


def opened(traced: Traced, leg: str) -> Fault:
    return find(traced, "joint", "open", leg)


def hit(traced: Traced, fault: Fault) -> dict[tuple[str, int], AtDriver]:
    return picture_of(traced).bits_hit(fault.effect)


def volts(traced: Traced, fault: Fault | None, colour: str = "red") -> tuple[float, ...] | None:
    return picture_of(traced, 75.0, IDEAL).volts_by_code(colour, fault.effect if fault else HEALTHY)


@pytest.fixture(scope="module")
def three() -> Traced:
    return traced_stage(THREE, 3)


def healthy(traced: Traced) -> tuple[float, ...]:
    found = volts(traced, None)
    assert found is not None
    return found


def test_s1_an_output_stuck_low_leaves_its_bit_out(three: Traced) -> None:
    whole, faulty = healthy(three), volts(three, stuck(three, "U9.6", 0))
    assert faulty == tuple(whole[code & 0b011] for code in range(8))
    assert faulty[7] == pytest.approx(0.74445, abs=1e-4)


def test_s2_an_output_stuck_high_lifts_black(three: Traced) -> None:
    whole, faulty = healthy(three), volts(three, stuck(three, "U9.6", 1))
    assert faulty == tuple(whole[code | 0b100] for code in range(8))


def test_s3_s4_an_open_leg_reads_higher_than_one_stuck_low(three: Traced) -> None:
    """N09 and N10: 0.95 V against 0.74 V tell the joint from the chip."""
    faulty = volts(three, opened(three, "U9.6"))
    assert faulty is not None
    assert faulty[7] == pytest.approx(0.95002, abs=1e-4)


def test_an_open_input_of_ttl_reads_high_and_of_cmos_nobody_knows() -> None:
    ttl, cmos = traced_stage(THREE, 3), traced_stage(THREE, 3, "74HC273")
    assert hit(ttl, opened(ttl, "U9.7")) == {("red", 2): HIGH}
    assert hit(cmos, opened(cmos, "U9.7")) == {("red", 2): UNTOLD}
    assert volts(cmos, opened(cmos, "U9.7")) is None


def test_s10_a_memory_out_of_its_socket_before_ttl_lights_all_its_bits() -> None:
    """Common practice, no source: with one memory for red and green pulled, yellow where blue is off."""
    traced = trace_fully(read_netlist("netlists/dunlin/dunlin.net"))
    fault = find(traced, "chip", "loose", "U9")
    assert hit(traced, fault) == {(colour, bit): HIGH for colour in ("red", "green") for bit in range(4)}
    for colour in ("red", "green"):
        found = volts(traced, fault, colour)
        assert found is not None
        assert list(found) == pytest.approx([1.89359] * 16, abs=1e-4)


def test_a_latch_out_of_its_socket_lets_the_stage_go() -> None:
    traced = traced_stage(THREE, 3)
    assert volts(traced, find(traced, "chip", "loose", "U9")) == (0.0,) * 8


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
    assert hit(traced, stuck(traced, "U4.9", 0)) == {("red", 0): HIGH}
    assert hit(traced, stuck(traced, "U9.2", 0)) == {("red", 0): HIGH}
    assert hit(traced, stuck(traced, "U7.1", 1)) == {("red", 0): AtDriver(0)}
    assert hit(traced, opened(traced, "U7.1")) == {("red", 0): AtDriver(0)}
    assert hit(traced, stuck(traced, "U7.2", 0)) == {("red", 0): AtDriver(0)}
    assert hit(traced, opened(traced, "U7.2")) == {("red", 0): LET_GO}


def test_a_chip_that_a_bit_passes_twice_is_hit_at_both_and_the_last_decides() -> None:
    """Two inverters of one 74LS04 in a row: with all its outputs low, each of them reads low."""
    stage = """
part U7 74LS04
part R0 470
B0: U7.1
M0: U7.4 R0.1
K0: U7.2 U7.3
RED: R0.2
VCC: U7.14
GND: U7.7
"""
    traced = traced_stage(stage, 1)
    dead = find(traced, "chip", "dead", "U7", 0)
    assert [h.at for h in dead.effect.hits["red", 0]] == [4, 6]
    assert hit(traced, dead) == {("red", 0): AtDriver(0)}
    read = readings_under(dead, path_legs(traced), picture_of(traced), None, PRIORS)
    assert read == {("U7", pin): {"low": 1.0} for pin in ("2", "3", "4")}
    assert hit(traced, find(traced, "chip", "loose", "U7")) == {("red", 0): LET_GO}


def test_a_track_that_feeds_two_bits_is_low_for_both() -> None:
    """A leg that reads low is low for all that hang on its net; an open joint of one of them leaves the other alone."""
    drawn = stage_board(weighted(1000, 470), 2)
    nets = {n.name: n for n in drawn.nets}
    both = replace(nets["D0"], pins=(*nets["D0"].pins, PinRef("U9", "4")))
    others = tuple(n for n in drawn.nets if n.name not in ("D0", "D1"))
    traced = trace_fully(replace(drawn, nets=(*others, both)))
    low = find(traced, "track", "shorted", "U4.9", 0)
    assert set(hit(traced, low)) == {("red", 0), ("red", 1)}
    assert set(hit(traced, opened(traced, "U9.4"))) == {("red", 1)}


def test_a_capacitor_hides_what_never_changes() -> None:
    """Behind a coupling capacitor a colour that stands still is black, and a bit that is let go takes no part in the charge."""
    coupled = weighted(1000, 470).replace("RED: R0.2 R1.2", "part C1 100uF\nMIX: R0.2 R1.2 C1.1\nRED: C1.2")
    traced = traced_stage(coupled, 2)
    whole = healthy(traced)
    assert whole[0] == 0.0
    assert whole[3] > whole[2] > whole[1] > 0.0
    high = volts(traced, stuck(traced, "U9.5", 1))
    assert high is not None
    assert high[0] == high[2] == 0.0
    assert high[1] == pytest.approx(high[3]) == pytest.approx(whole[3] - whole[2], abs=2e-6)
    shown = picture_of(traced).shown(find(traced, "chip", "dead", "U9", 1).effect)
    assert set(shown.volts["red"]) == {0.0}


def test_the_common_leg_of_a_pack_reads_open() -> None:
    """It was a short that a meter was said to show there."""
    fault = find(traced_stage(PULLED_DOWN, 2), "resistor", "common open", "RN1")
    assert "short" not in ohms_of(fault, fault.place, PRIORS)
    assert ohms_of(fault, fault.place, PRIORS)["open"] > 0.5


def test_a_leg_off_the_path_has_no_fault(three: Traced) -> None:
    at = {(leg.part, leg.pin) for f in list_faults(three, PRIORS) if f.what != "track" for leg in f.legs}
    assert ("U9", "6") in at
    assert ("U9", "11") not in at


@pytest.mark.parametrize("name", ["wren", "dunlin", "plover"])
def test_every_leg_of_the_path_can_be_open_and_every_bit_be_hit(name: str) -> None:
    traced = trace_fully(read_netlist(f"netlists/{name}/{name}.net"))
    faults = [
        f for f in list_faults(traced, PRIORS) if (f.what, f.manner) == ("joint", "open") and f.effect.hits
    ]
    assert {(f.legs[0].part, f.legs[0].pin) for f in faults} == set(path_legs(traced).uses)
    assert all(hit(traced, fault) for fault in faults)
    assert {bit for fault in faults for bit in hit(traced, fault)} == {
        (c.name, b.bit) for c in traced.bit_map.colours for b in c.bits
    }
