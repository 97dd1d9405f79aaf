"""Volts at the colour pin, by code.

Expected values are worked out here from the theorem named; figures of another simulator are in
``tests/published/test_levels.py``.
"""

from __future__ import annotations

from itertools import product

import pytest

from tests.stage_boards import stage_board, traced_stage, weighted
from tracer.levels.codes import compute_levels
from tracer.levels.drive import drive_of
from tracer.levels.drive_values import Override
from tracer.levels.values import ColourLevels, LevelTable
from tracer.parts.families import families
from tracer.tracing.pipeline import Traced, trace_fully

IDEAL = Override(5.0, 0.0, 0.0)


def red(table: LevelTable) -> ColourLevels:
    found = table.of("red")
    assert found is not None
    return found


def codes(table: LevelTable) -> set[str]:
    return {f.code for f in table.findings}


def millman(
    ohms: tuple[float, ...], code: int, load: float | None, high: float = 5.0, low: float = 0.0
) -> float:
    """V = sum(v/R) / (sum(1/R) + 1/RL)."""
    top = sum((high if code >> i & 1 else low) / ohm for i, ohm in enumerate(ohms))
    return top / (sum(1 / ohm for ohm in ohms) + (1 / load if load else 0.0))


THREE = (1000.0, 470.0, 220.0)


def test_told_levels_without_resistance_follow_millman() -> None:
    table = compute_levels(traced_stage(weighted(*THREE), 3), override=IDEAL)
    assert [x.load_ohm for x in red(table).loads] == [75.0, 1000.0, None]
    for load in red(table).loads:
        assert load.volts == pytest.approx([millman(THREE, c, load.load_ohm) for c in range(8)], abs=1e-6)
        assert (load.n_levels, load.is_monotonic) == (8, True)


def test_bit_0_of_the_code_is_the_lightest_whatever_the_order_of_the_parts() -> None:
    table = compute_levels(traced_stage(weighted(220, 1000, 470), 3), override=IDEAL)
    assert red(table).loads[0].volts == pytest.approx([millman(THREE, c, 75) for c in range(8)], abs=1e-6)


def test_outputs_of_a_chip_sag_under_a_load() -> None:
    """All high: the resistors and the outputs' resistances in series, from the typical high level (Thevenin)."""
    table = compute_levels(traced_stage(weighted(*THREE), 3))
    ls = families()["LS"]
    siemens = sum(1 / (r + ls.source_ohm) for r in THREE)
    full = red(table).loads[0].codes[-1]
    assert full.volts == pytest.approx(ls.high * siemens / (siemens + 1 / 75), abs=1e-6)
    assert full.lowest < full.volts < full.highest < millman(THREE, 7, 75)
    assert red(table).loads[2].codes[-1].volts == pytest.approx(ls.high, abs=1e-6)


def test_a_low_bipolar_output_gives_no_current() -> None:
    """All low into 75 ohm reads 0 V, not a share of the low level; without a load the low level shows."""
    table = compute_levels(traced_stage(weighted(*THREE), 3))
    assert red(table).loads[0].volts[0] == pytest.approx(0.0, abs=1e-6)
    assert red(table).loads[2].volts[0] == pytest.approx(families()["LS"].low, abs=1e-6)


def test_a_pull_up_lifts_a_high_bipolar_output_but_not_a_cmos_one() -> None:
    stage = weighted(470) + "\npart R26 100\nRED: R26.1\nVCC: R26.2"
    bipolar = red(compute_levels(traced_stage(stage, 1))).loads[2].volts
    cmos = red(compute_levels(traced_stage(stage, 1, "74HC273"))).loads[2].volts
    assert bipolar[1] == pytest.approx(5.0, abs=1e-6)
    assert cmos[1] == pytest.approx(5.0, abs=1e-6)
    low = families()["LS"]
    assert bipolar[0] == pytest.approx(
        low.low + (5 - low.low) * (470 + low.sink_ohm) / (570 + low.sink_ohm), abs=1e-6
    )


def test_an_open_collector_is_a_switch_beside_its_pull_up() -> None:
    """74x05 outputs with 1k to +5 V: high is the pull-up's, low the switch's (voltage divider)."""
    stage = "\n".join(
        [
            "part U7 7405",
            "B0: U7.1",
            "C0: U7.2 R26.1 R0.1",
            "part R26 1k",
            "part R0 470",
            "VCC: R26.2 U7.14",
            "GND: U7.7",
            "RED: R0.2",
        ]
    )
    volts = red(compute_levels(traced_stage(stage, 1))).loads[0].volts
    assert volts[1] == pytest.approx(5 * 75 / (1000 + 470 + 75), abs=1e-6)
    assert volts[0] == pytest.approx(0.0, abs=0.06)


def test_an_open_collector_without_a_pull_up_has_no_levels() -> None:
    stage = "part U7 7405\nB0: U7.1\nC0: U7.2 R0.1\npart R0 470\nVCC: U7.14\nGND: U7.7\nRED: R0.2"
    table = compute_levels(traced_stage(stage, 1))
    assert red(table).loads == ()
    assert "levels-unknown" in codes(table)


FOLLOWER = """
part Q1 2N3904 1=E 2=B 3=C symbol=Q_NPN
part R0 1000
part R1 470
part R21 470
B0: R0.1
B1: R1.1
X: R0.2 R1.2 Q1.2
VCC: Q1.3
RED: Q1.1 R21.1
GND: R21.2
"""


def test_an_emitter_follower_drops_a_junction_and_cuts_off_below_it() -> None:
    table = compute_levels(traced_stage(FOLLOWER, 2), loads=(None,), override=IDEAL)
    volts = red(table).loads[0].volts
    base = [millman((1000.0, 470.0), c, None) for c in range(4)]
    assert volts[0] == pytest.approx(0.0, abs=5e-3)
    for code in (1, 2, 3):
        assert 0.6 < base[code] - volts[code] < 0.8


INVERTER = """
part Q1 2N3904 1=E 2=B 3=C symbol=Q_NPN
part R22 10k
part R23 470
B0: R22.1
X: R22.2 Q1.2
GND: Q1.1
VCC: R23.1
RED: R23.2 Q1.3
"""


def test_a_transistor_that_inverts_makes_the_high_code_dark() -> None:
    load = red(compute_levels(traced_stage(INVERTER, 1), loads=(None,))).loads[0]
    assert load.volts[0] == pytest.approx(5.0, abs=1e-3)
    assert load.volts[1] < 0.3
    assert load.is_monotonic


COUPLED = """
part Q1 2N3904 1=E 2=B 3=C symbol=Q_NPN
part R0 1000
part R1 470
part R22 1k
part R21 220
part C1 100uF symbol=CP
part R24 75
B0: R0.1
B1: R1.1
X: R0.2 R1.2 Q1.2 R22.1
VCC: Q1.3 R22.2
E: Q1.1 R21.1 C1.1
RED: C1.2 R24.1
GND: R21.2 R24.2
"""


def test_behind_a_capacitor_the_volts_are_those_above_black() -> None:
    table = compute_levels(traced_stage(COUPLED, 2), loads=(75.0, None))
    levels = red(table)
    assert levels.coupled_by == ("C1",)
    assert levels.loads[0].volts[0] == 0.0
    assert levels.loads[0].volts[3] > 0.5
    assert "coupled" in codes(table)
    # Without the second termination the swing is larger.
    assert levels.loads[1].volts[3] > levels.loads[0].volts[3]


def test_a_value_that_cannot_be_read_gives_no_levels_but_a_way_on() -> None:
    table = compute_levels(traced_stage(weighted(1000, 470).replace("part R1 470", "part R1 BOURNS"), 2))
    assert red(table).loads == ()
    (finding,) = [f for f in table.findings if f.code == "levels-unknown"]
    assert "R1" in finding.text
    assert "--part R1=470" in finding.text
    green = table.of("green")
    assert green is not None
    assert green.loads


def test_equal_resistors_make_equal_levels_and_a_heavy_light_bit_falls_back() -> None:
    equal = red(compute_levels(traced_stage(weighted(470, 470), 2), override=IDEAL)).loads[0]
    assert (equal.n_levels, equal.is_monotonic) == (3, True)
    table = compute_levels(traced_stage(weighted(470, 390, 330), 3), override=IDEAL)
    assert not red(table).loads[0].is_monotonic
    assert "not-monotonic" in codes(table)


@pytest.mark.parametrize("ohms", [THREE, (510.0, 470.0, 220.0), (2200.0, 1000.0, 470.0, 220.0)])
def test_tolerance_gives_the_corners_of_the_box(ohms: tuple[float, ...]) -> None:
    """Against all corners, tried one by one."""
    tolerance = 0.1
    table = compute_levels(
        traced_stage(weighted(*ohms), len(ohms)), loads=(75.0,), override=IDEAL, tolerance=tolerance
    )
    corners = [
        tuple(r * s for r, s in zip(ohms, scale, strict=True))
        for scale in product((1 - tolerance, 1 + tolerance), repeat=len(ohms))
    ]
    load = red(table).loads[0]
    for level in load.codes:
        volts = [millman(c, level.code, 75.0) for c in corners]
        assert level.lowest == pytest.approx(min(volts), abs=1e-6)
        assert level.highest == pytest.approx(max(volts), abs=1e-6)
    crossing = tuple(
        (k, k + 1)
        for k in range(len(load.codes) - 1)
        if min(millman(c, k + 1, 75.0) - millman(c, k, 75.0) for c in corners) < 0
    )
    assert red(table).crossing == crossing
    assert ("steps-cross" in codes(table)) == bool(crossing)


def test_no_tolerance_no_box() -> None:
    table = compute_levels(traced_stage(weighted(*THREE), 3), override=IDEAL)
    assert all(c.lowest == c.volts == c.highest for c in red(table).loads[0].codes)


BLANKED = (
    weighted(1000, 470)
    + """
part Q1 2N3904 1=E 2=B 3=C symbol=Q_NPN
part R25 1k
part U8 74LS04
BLANK: J1.4 U8.1
NB: U8.2 R25.1
QB: R25.2 Q1.2
RED: Q1.3
GND: Q1.1 U8.7
VCC: U8.14
"""
)


def test_blanking_is_held_where_it_lets_the_colour_through_and_what_it_leaves_is_said() -> None:
    load = red(compute_levels(traced_stage(BLANKED, 2), loads=(1000.0,))).loads[0]
    assert load.n_levels == 4
    assert load.blanked_volts is not None
    assert load.blanked_volts < 0.2 < load.volts[3]


def test_current_beyond_the_data_sheet_is_said_and_not_for_told_levels() -> None:
    traced = traced_stage(weighted(*THREE), 3)
    (finding,) = [f for f in compute_levels(traced).findings if f.code == "beyond-drive"]
    assert "0.4 mA" in finding.text
    assert "75 ohm" in finding.text
    assert "beyond-drive" not in codes(compute_levels(traced, override=IDEAL))
    light = traced_stage(weighted(47_000, 22_000, 10_000), 3)
    (other,) = [f for f in compute_levels(light, loads=(1000.0,)).findings if f.code == "beyond-drive"]
    assert "(2 outputs are over theirs)" in other.text, "green's and blue's one bit, over 470 ohm"


def test_an_output_of_unknown_family_is_taken_as_a_usual_one_and_that_is_said() -> None:
    table = compute_levels(traced_stage(weighted(470), 1, "74XX273"))
    assert "levels-assumed" in codes(table)


def test_guaranteed_and_typical_levels_are_those_of_the_family_table() -> None:
    traced: Traced = traced_stage(weighted(470), 1)
    driver = traced.stages["red"].drivers[0]
    weak, typical = drive_of(traced.circuit, driver, "weak"), drive_of(traced.circuit, driver, "typical")
    assert [d.high.volts for d in (weak, typical) if d.high] == [2.7, 3.5]


def test_an_output_that_feeds_all_colours_is_loaded_by_all_of_them() -> None:
    """One output over 75 ohm to each of three pins: three loads of 75 ohm hang on it (voltage divider)."""
    stage = """
part R0 75
part R1 75
part R2 75
part J2 plug 1=RED 2=GREEN 3=BLUE symbol=Conn_01x03
B0: R0.1 R1.1 R2.1
RED: R0.2
G: R1.2 J2.2
B: R2.2 J2.3
"""
    traced = trace_fully(
        stage_board(stage, 1, "74HC273"), pins={"red": "J1.1", "green": "J2.2", "blue": "J2.3"}
    )
    volts = red(compute_levels(traced)).loads[0].volts
    hc = families()["HC"]
    assert volts[1] == pytest.approx(hc.high * 25 / (25 + 25 + hc.source_ohm), abs=1e-6)
