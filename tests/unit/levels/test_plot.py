"""The plot: worst cases are drawn when they are asked for, and told from the staircase by their lines alone."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import pytest

from tests.stage_boards import traced_stage, weighted
from tracer.importers import read_netlist
from tracer.levels.codes import compute_levels
from tracer.levels.plot import levels_as_svg
from tracer.levels.values import LevelTable
from tracer.tracing.pipeline import trace_fully

SVG = "{http://www.w3.org/2000/svg}"


def worst_of(table: LevelTable) -> list[ET.Element]:
    return [p for p in ET.fromstring(levels_as_svg(table)).iter(f"{SVG}path") if p.get("class") == "worst"]


def words_of(table: LevelTable) -> str:
    return " ".join(t.text or "" for t in ET.fromstring(levels_as_svg(table)).iter(f"{SVG}text"))


def test_worst_cases_are_drawn_only_when_a_tolerance_is_asked_for() -> None:
    traced = traced_stage(weighted(1000, 470, 220), 3)
    assert not worst_of(compute_levels(traced))
    assert "worst cases" not in words_of(compute_levels(traced))
    asked = compute_levels(traced, tolerance=0.05)
    assert len(worst_of(asked)) == 2 * 3, "red, and green with blue, at three loads"
    assert "worst cases, resistors off by up to 5%" in words_of(asked)


def test_each_step_has_an_upright_line_from_its_lowest_to_its_highest() -> None:
    table = compute_levels(traced_stage(weighted(1000, 470, 220), 3), (75.0,), tolerance=0.05)
    levels = table.colours[0].loads[0]
    lines = re.findall(r"M([\d.]+) ([\d.]+)V([\d.]+)", worst_of(table)[0].attrib["d"])
    assert len(lines) == 8
    (_, zero, _), (_, low, high) = lines[0], lines[7]
    assert levels.codes[0].lowest == 0.0
    # Heights on the sheet are as the volts.
    up = (float(zero) - float(low)) / (float(zero) - float(high))
    assert up == pytest.approx(levels.codes[7].lowest / levels.codes[7].highest, abs=0.01)
    assert len({x for x, _, _ in lines}) == 8


def test_loads_differ_by_their_dashes_and_not_by_colour() -> None:
    lines = worst_of(compute_levels(traced_stage(weighted(1000, 470), 2), tolerance=0.1))
    assert len({p.get("stroke-dasharray") for p in lines}) == 3
    assert {p.get("stroke") for p in lines} == {"#000"}


def test_where_steps_are_narrow_two_edges_take_the_place_of_the_upright_lines() -> None:
    table = compute_levels(
        traced_stage(weighted(22_000, 10_000, 4700, 2200, 1000, 470), 6), (75.0,), tolerance=0.05
    )
    red = worst_of(table)[0].attrib["d"]
    assert red.count("M") == 2
    assert red.count("H") == 2 * 64


@pytest.mark.parametrize("name", ["dunlin", "plover"])
@pytest.mark.parametrize("tolerance", [0.0, 0.05])
def test_colours_of_the_same_resistors_are_one_plot(name: str, tolerance: float) -> None:
    """Also where a board lists them in another order: the worst corner does not hang on it."""
    table = compute_levels(trace_fully(read_netlist(f"netlists/{name}/{name}.net")), tolerance=tolerance)
    words = words_of(table)
    assert "red, green and blue alike:" in words
    assert words.count(" bits, ") == 1


def test_why_the_first_load_is_first_stands_on_the_sheet() -> None:
    traced = traced_stage(weighted(1000, 470), 2)
    assert "75 ohm is the load unless another is told" in words_of(compute_levels(traced))
    assert "470 ohm comes first, as told" in words_of(compute_levels(traced, (470.0, 75.0)))
