"""Levels and leg readings as text, JSON, CSV and plot."""

from __future__ import annotations

import csv
import io
import json
import xml.etree.ElementTree as ET

import pytest

from tests.stage_boards import traced_stage, weighted
from tests.unit.levels.test_codes import COUPLED
from tracer.importers import read_netlist
from tracer.levels.codes import compute_levels
from tracer.levels.csv import COLUMNS, levels_as_csv
from tracer.levels.json import levels_as_json
from tracer.levels.legs import read_legs
from tracer.levels.plot import levels_as_svg
from tracer.levels.text import legs_as_text, levels_as_text
from tracer.levels.values import LevelTable
from tracer.tracing.pipeline import trace_fully

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def three() -> LevelTable:
    return compute_levels(traced_stage(weighted(1000, 470, 220), 3))


def test_text_fits_80_columns_and_shows_each_code_at_each_load(three: LevelTable) -> None:
    lines = levels_as_text(three).splitlines()
    assert max(map(len, lines)) <= 80
    head = next(x for x in lines if "code bits" in x)
    assert [w for w in ("75 ohm", "1k ohm", "no load") if w in head] == ["75 ohm", "1k ohm", "no load"]
    rows = [x for x in lines if x[:10].strip().isdigit() or x[:7].strip().isdigit()]
    assert sum(f" {code:03b} " in x for code in range(8) for x in rows) == 8


@pytest.mark.parametrize("name", ["wren", "dunlin", "plover"])
def test_demo_boards_fit_80_columns(name: str) -> None:
    traced = trace_fully(read_netlist(f"netlists/{name}/{name}.net"))
    for text in (levels_as_text(compute_levels(traced)), legs_as_text(name, read_legs(traced))):
        assert max(map(len, text.splitlines())) <= 80


def test_colours_that_are_alike_stand_together(three: LevelTable) -> None:
    text = levels_as_text(three)
    assert "GREEN and BLUE alike  1 bit, 2 levels" in text
    assert "RED  3 bits, 8 levels" in text


def test_many_codes_are_shortened_and_that_is_said() -> None:
    table = compute_levels(traced_stage(weighted(22_000, 10_000, 4700, 2200, 1000, 470), 6), loads=(75.0,))
    short, whole = levels_as_text(table), levels_as_text(table, all_codes=True)
    assert "56 codes are not shown; --all shows them" in short
    assert "111111" in short
    assert "111110" not in short
    assert "111110" in whole


def test_a_colour_that_is_not_known_is_named() -> None:
    table = compute_levels(traced_stage(weighted(1000).replace("part R0 1000", "part R0 BOURNS"), 1))
    assert "red: not known, see below" in levels_as_text(table)


def test_what_a_slow_meter_shows_is_said_and_is_nothing_behind_a_capacitor() -> None:
    assert "slow meter" in levels_as_text(compute_levels(traced_stage(weighted(470), 1)))
    coupled = levels_as_text(compute_levels(traced_stage(COUPLED, 2)))
    assert "a meter set" in coupled
    assert "to DC sees none of it" in " ".join(coupled.split())


def test_json_has_the_form_that_others_read(three: LevelTable) -> None:
    whole = json.loads(levels_as_json(three, read_legs(traced_stage(weighted(1000, 470, 220), 3))))
    assert (whole["format"], whole["version"]) == ("rgbroots-levels", 1)
    loads = whole["colours"]["red"]["loads"]
    assert [x["load_ohm"] for x in loads] == [75, 1000, None]
    assert [c["code"] for c in loads[0]["codes"]] == list(range(8))
    assert all(isinstance(c["volts"], float) for c in loads[0]["codes"])
    assert {f["severity"] for f in whole["findings"]} <= {"note", "warning"}
    leg = next(x for x in whole["legs"] if (x["part"], x["pin"]) == ("U9", "2"))
    assert leg["feeds"] == [{"colour": "red", "bit": 0}]


def test_same_board_same_bytes(three: LevelTable) -> None:
    again = compute_levels(traced_stage(weighted(1000, 470, 220), 3))
    assert levels_as_json(three) == levels_as_json(again)
    assert levels_as_svg(three) == levels_as_svg(again)


def test_csv_has_a_row_a_code(three: LevelTable) -> None:
    rows = list(csv.reader(io.StringIO(levels_as_csv(three))))
    assert tuple(rows[0]) == COLUMNS
    assert len(rows) == 1 + 3 * (8 + 2 + 2)
    assert rows[1][:4] == ["red", "75", "0", "000"]


def test_plot_is_well_formed_and_has_a_staircase_a_load_and_a_strip_a_colour(three: LevelTable) -> None:
    root = ET.fromstring(levels_as_svg(three))
    stairs = [p for p in root.iter(f"{SVG}path") if p.get("stroke-width") == "1.8"]
    assert len(stairs) == 2 * 3, "red, and green with blue"
    fills = [r.get("fill") for r in root.iter(f"{SVG}rect")]
    assert {"#ff0000", "#00ff00", "#0000ff", "#ffffff"} <= set(fills)
    words = " ".join(t.text or "" for t in root.iter(f"{SVG}text"))
    assert "75 ohm" in words
    assert "no load" in words


def test_names_from_files_stay_names() -> None:
    table = LevelTable("<script>\x1b[31m", ())
    ET.fromstring(levels_as_svg(table))
    assert "<script>" not in levels_as_svg(table)
    assert "\x1b" not in levels_as_text(table)
