"""A step many times the others is named, with what makes it so where that is known."""

from __future__ import annotations

import pytest

from tests.stage_boards import traced_stage, weighted
from tests.unit.levels.test_codes import COUPLED
from tracer.importers import read_netlist
from tracer.levels.codes import compute_levels
from tracer.tracing.pipeline import Traced, trace_fully

#: Three bits into the base of an npn whose collector hangs on a resistor.
SATURATES = (
    weighted(4700, 4700, 4700).replace("RED: ", "BASE: ")
    + """
part R8 1k
part Q1 2N3904 symbol=Q_NPN_EBC 1=E 2=B 3=C
BASE: Q1.2
RED: Q1.3 R8.1
GND: Q1.1
VCC: R8.2
"""
)


def said(traced: Traced, load: float | None = 75.0) -> list[str]:
    return [f.text for f in compute_levels(traced, (load,)).findings if f.code == "large-step"]


def demo(name: str) -> Traced:
    return trace_fully(read_netlist(f"netlists/{name}/{name}.net"))


def test_plovers_last_codes_are_named_once_for_all_colours() -> None:
    """Its outputs are lifted above their own high level there, so that only the pull-up speaks."""
    (text,) = said(demo("plover"))
    assert text.startswith("red, green, blue: the steps to codes 30, 31 stand out")
    assert "0.358 V at 75 ohm, 8 times the others (0.046 V)" in text
    assert "a pull-up alone lifts the stage" in text


@pytest.mark.parametrize("name", ["dunlin", "wren"])
@pytest.mark.parametrize("load", [75.0, 1000.0, None])
def test_even_steps_are_not(name: str, load: float | None) -> None:
    assert said(demo(name), load) == []


def test_a_bit_ten_times_the_others_is_named_without_a_cause() -> None:
    (text,) = said(traced_stage(weighted(47_000, 47_000, 1000), 3))
    assert text.startswith("red: the step to code 4 stands out")
    assert "there" not in text


def test_a_heavy_bit_of_a_usual_set_is_not() -> None:
    assert said(traced_stage(weighted(2200, 1000, 470, 220), 4)) == []
    assert said(traced_stage(weighted(1000, 220), 2)) == [], "three steps: 1, 3.5, 1"


def test_a_colour_of_one_bit_has_no_other_steps() -> None:
    assert said(traced_stage(weighted(470), 1)) == []


def test_the_load_in_the_sentence_is_the_first() -> None:
    (text,) = said(traced_stage(weighted(47_000, 47_000, 1000), 3), None)
    assert "at no load" in text


def test_a_transistor_that_saturates_is_named() -> None:
    """One bit alone drives it as far down as it goes; the others add some millivolts."""
    (text,) = said(traced_stage(SATURATES, 3), 1000.0)
    assert text.startswith("red: the step to code 1 stands out")
    assert "there Q1 saturates" in text


def test_outputs_that_are_lifted_by_a_bias_hold_nothing() -> None:
    """All high behind 1k to the supply: the stage goes where the pull-up leads it."""
    (text,) = said(traced_stage(COUPLED, 2))
    assert text.startswith("red: the step to code 3 stands out")
    assert "17 times the others" in text
    assert "a pull-up alone lifts the stage" in text
