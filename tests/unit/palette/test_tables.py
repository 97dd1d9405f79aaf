"""The palette as CSV, GIMP palette and JSON."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace

from tests.unit.palette.palette_values import difference_of, palette_of, sought_of
from tracer.palette.csv import emit as as_csv
from tracer.palette.gpl import emit as as_gpl
from tracer.palette.json import emit as as_json
from tracer.palette.values import PaletteColour


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def test_csv_has_a_row_an_entry() -> None:
    found = rows(as_csv(palette_of(64)))
    assert len(found) == 64
    assert found[0x2E] == {
        "entry": "46", "entry_hex": "2E", "red_code": "2", "green_code": "3", "blue_code": "2", "red_volts": "0.500000",
        "green_volts": "0.750000", "blue_volts": "", "colour": "#aaffaa",
    }  # fmt: skip


def test_csv_of_two_dumps_says_what_differs() -> None:
    palette = palette_of(64)
    found = rows(as_csv(replace(palette, difference=difference_of(palette, 0x20))))
    assert (found[0x20]["colour"], found[0x20]["other_colour"], found[0x20]["differs"]) == (
        "#aa0000",
        "#000000",
        "yes",
    )
    assert (found[0x21]["other_colour"], found[0x21]["differs"]) == (found[0x21]["colour"], "no")


def test_csv_gives_a_spreadsheet_no_formula() -> None:
    palette = replace(palette_of(4), colours=tuple(PaletteColour(n, 2) for n in ("=A1", "@x", "+1+1")))
    head = as_csv(palette).splitlines()[0]
    assert "'=A1_code,'@x_code,'+1+1_code" in head


def test_gimp_palette_lists_the_entries_in_order() -> None:
    assert as_gpl(palette_of(4, "he\nron")) == (
        "GIMP Palette\nName: he?ron\nColumns: 16\n#\n"
        "  0   0   0\t00 red 0 green 0 blue 0\n"
        "  0   0  85\t01 red 0 green 0 blue 1\n"
        "  0   0 170\t02 red 0 green 0 blue 2\n"
        "  0   0 255\t03 red 0 green 0 blue 3\n"
    )


def test_json_has_the_form_that_is_promised() -> None:
    found = json.loads(as_json(palette_of(64)))
    assert (found["format"], found["version"], found["load_ohm"]) == ("rgbroots-palette", 1, 75)
    assert found["entries"][0x2E] == {
        "entry": 46,
        "codes": {"red": 2, "green": 3, "blue": 2},
        "volts": {"red": 0.5, "green": 0.75, "blue": None},
        "colour": "#aaffaa",
    }
    assert found["different_colours"] == 64
    assert found["difference"] is None
    assert found["sought"] is None
    assert found["findings"][0] == {"severity": "note", "where": [], "text": "the first sentence"}


def test_json_has_what_was_asked_for() -> None:
    palette = palette_of(64)
    found = json.loads(as_json(replace(palette, difference=difference_of(palette, 0x20), sought=sought_of())))
    assert found["difference"]["legs"] == [
        {
            "part": "U4",
            "pin": "12",
            "name": "O1",
            "feeds": [{"colour": "red", "bit": 1}],
            "entries": 1,
            "level": 0,
        }
    ]
    assert found["difference"]["entries"][0]["other"]["colour"] == "#000000"
    assert found["difference"]["unseen_words"] == 3
    assert found["sought"]["words"] == [{"part": "U4", "bits": "--111000"}]
    assert (found["sought"]["asked"], found["sought"]["nearest"], found["sought"]["exact"]) == (
        "#ff8000",
        "#ffaa00",
        False,
    )
