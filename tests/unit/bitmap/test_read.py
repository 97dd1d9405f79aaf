"""A saved map is read back as it was, or refused with the field that is wrong; what its names smuggle in does nothing."""

from __future__ import annotations

import json
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from tests.hostile import DUNLIN, ESCAPES, PINS, board_named, in_time, run, seen
from tracer.base.errors import MapError
from tracer.bitmap.read import read_map


@pytest.mark.parametrize("text", ["[" * 200_000, '{"format": "rgbroots-map", "x": ' + "[" * 200_000])
def test_deep_nesting_in_a_saved_map(text: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "map.json"
    path.write_text(text)
    for command in ("diagram", "card", "check"):
        code, _, error = run(capsys, command, path)
        assert (code, "nested too deep" in error) == (2, True)


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        ('"version": 1', '"version": ' + "9" * 6000, "too many digits"),
        ('"load_ohm": 75', '"load_ohm": NaN', "is no number"),
        ('"load_ohm": 75', '"load_ohm": 1e999', "is no number"),
        ('"load_ohm": 75', '"load_ohm": -1', "map.load_ohm: is below 0"),
        ('"load_ohm": 75', '"load_ohm": 0', "map.load_ohm: is 0; more is expected"),
        ('"name": "dunlin"', '"name": "' + "x" * 70_000 + '"', "up to 65,536 are read"),
        ('"levels": 16', '"levels": -16', "is below 0"),
        ('"feeds": {', '"feeds": {"red": 3, "x": ', "map.chips[0].feeds.red: is of the wrong type (int)"),
    ],
)
def test_a_field_that_cannot_be_is_named(old: str, new: str, sentence: str) -> None:
    text = DUNLIN.with_name("dunlin.map.json").read_text(encoding="utf-8")
    at = text.index(old)
    text = text[:at] + new + text[at + len(old) :]
    if "feeds" in old:
        # The list that stood there belongs to the new key.
        text = text[: text.index('"x": ')] + '"x": [0]}' + text[text.index("}", text.index('"x": ')) + 1 :]
    with in_time(), pytest.raises(MapError) as caught:
        read_map(text, "map.json")
    assert sentence in caught.value.what
    assert caught.value.fix


@pytest.mark.parametrize("evil", ESCAPES)
def test_escape_sequences_in_a_saved_map(
    evil: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path, saved = tmp_path / "b.net", tmp_path / "map.json"
    path.write_text(board_named("N1", title="T1"), encoding="utf-8")
    code, out, _ = run(capsys, "trace", path, *PINS, "--json")
    assert code in (0, 1)
    for word in ("U1", "R1", "74x273", "b", "RED"):
        quoted = json.dumps(evil)[1:-1]
        saved.write_text(out.replace(f'"{word}"', f'"{quoted}"'), encoding="utf-8")
        for command, target in (
            ("check", ()),
            ("diagram", ("-o", tmp_path / "d.svg")),
            ("card", ("-o", tmp_path / "c.svg")),
        ):
            code, printed, error = run(capsys, command, saved, *target)
            assert code in (0, 1, 2)
            seen(printed + error)
            if target and code != 2:
                ET.parse(target[1])
