"""Whose current it is: behind a follower an output feeds its resistors, and the follower feeds the load."""

from __future__ import annotations

import math

import pytest

from tests.stage_boards import traced_stage, weighted
from tracer.importers import read_netlist
from tracer.levels.codes import compute_levels
from tracer.levels.corners import Corners
from tracer.levels.overdrive import Overdrive, overdriven
from tracer.parts.families import families
from tracer.stage.nodal import FORWARD_GAIN, SATURATION_AMP, THERMAL_VOLTS
from tracer.tracing.pipeline import Traced, trace_fully

RESISTOR, PULL_DOWN, EMITTER, SERIES = 470.0, 1000.0, 330.0, 75.0
#: One bit over a resistor into the base of an npn, 75 ohm in series behind its emitter.
FOLLOWER = f"""
part R0 {RESISTOR:g}
part R5 {PULL_DOWN:g}
part R6 {EMITTER:g}
part R7 {SERIES:g}
part Q1 2N3904 symbol=Q_NPN_EBC 1=E 2=B 3=C
B0: R0.1
BASE: R0.2 R5.1 Q1.2
EMITTER: Q1.1 R6.1 R7.1
RED: R7.2
GND: R5.2 R6.2
VCC: Q1.3
"""


def worst(traced: Traced, load: float | None) -> Overdrive:
    corners = Corners(traced, "red", load)
    (only,) = overdriven(traced.circuit, corners.solver(load), corners.codes).values()
    return only


def by_hand(load: float | None) -> float:
    """Current of the output in milliamperes: the follower's input is its emitter's load times the gain and one.

    Textbook emitter follower: Ib = Ie / (gain + 1), and Vbe = VT ln(Ic / IS), settled by repetition (P. Horowitz,
    W. Hill, The Art of Electronics, sections on the emitter follower and on Ebers and Moll; from memory).
    """
    ls = families()["LS"]
    below = EMITTER if load is None else 1 / (1 / EMITTER + 1 / (SERIES + load))
    # Thevenin of the output, its resistor and the pull-down.
    ohm = 1 / (1 / (RESISTOR + ls.source_ohm) + 1 / PULL_DOWN)
    volts = ls.high * PULL_DOWN / (PULL_DOWN + RESISTOR + ls.source_ohm)
    vbe = 0.7
    for _ in range(50):
        emitter_amp = (volts - vbe) / (below + ohm / (FORWARD_GAIN + 1))
        vbe = THERMAL_VOLTS * math.log(emitter_amp * FORWARD_GAIN / (FORWARD_GAIN + 1) / SATURATION_AMP)
    base = volts - emitter_amp / (FORWARD_GAIN + 1) * ohm
    return (ls.high - base) / (RESISTOR + ls.source_ohm) * 1e3


@pytest.mark.parametrize("load", [75.0, 1000.0, None])
def test_behind_a_follower_the_current_is_what_the_output_gives_its_resistors(load: float | None) -> None:
    over = worst(traced_stage(FOLLOWER, 1), load)
    assert over.milliamp == pytest.approx(by_hand(load), rel=1e-3)
    assert over.behind == ("Q1",)


def test_behind_a_follower_the_load_is_hardly_felt_and_before_none_it_is() -> None:
    """The load draws 8 mA and more of the emitter; a hundredth of it comes through to the output."""
    stage = traced_stage(FOLLOWER, 1)
    assert worst(stage, 75.0).milliamp == pytest.approx(worst(stage, None).milliamp, rel=0.05)
    plain = traced_stage(weighted(RESISTOR) + f"\npart R5 {PULL_DOWN:g}\nRED: R5.1\nGND: R5.2", 1)
    assert worst(plain, 75.0).milliamp > 1.5 * worst(plain, None).milliamp
    assert worst(plain, 75.0).behind == ()


def test_the_sentence_names_the_load_only_where_the_output_feeds_it() -> None:
    (text,) = [
        f.text for f in compute_levels(traced_stage(weighted(220), 1)).findings if f.code == "beyond-drive"
    ]
    assert "into 75 ohm" in text
    plover = trace_fully(read_netlist("netlists/plover/plover.net"))
    (text,) = [f.text for f in compute_levels(plover).findings if f.code == "beyond-drive"]
    assert "U33.16 gives 4.1 mA into its resistors (Q101 drives the load)" in text
    assert "75 ohm" not in text
