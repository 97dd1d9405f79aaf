"""The table of the saved map: what it refuses, with its place, and that it tells every field."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import fields
from pathlib import Path
from typing import Any

import pytest

from tracer.base.errors import MapError
from tracer.base.findings import Finding
from tracer.base.json_form import Form, Group, Record
from tracer.bitmap.json import MAP
from tracer.bitmap.model import Colour
from tracer.bitmap.read import read_map

NETLISTS = Path(__file__).parents[3] / "netlists"
SAVED = {path.parent.name: path.read_text(encoding="utf-8") for path in NETLISTS.glob("*/*.map.json")}


def changed(*keys: str | int, to: object = ...) -> str:
    """Dunlin's map with one value changed, or taken away."""
    tree = json.loads(SAVED["dunlin"])
    inside = tree
    for key in keys[:-1]:
        inside = inside[key]
    if to is ...:
        del inside[keys[-1]]
    else:
        inside[keys[-1]] = to
    return json.dumps(tree)


def refused(text: str) -> MapError:
    with pytest.raises(MapError) as caught:
        read_map(text, "map.json")
    return caught.value


BIT = ("colours", "red", "bits", 0)


@pytest.mark.parametrize(
    ("keys", "to", "sentence"),
    [
        (("board",), ..., "map.board: is missing"),
        (("board", "name"), 7, "map.board.name: is of the wrong type (int)"),
        (("chips",), {}, "map.chips: is of the wrong type (dict)"),
        (("colours", "red"), 3, "map.colours.red: an object was expected"),
        (("colours", "Red?"), {}, "map.colours: 'Red?' is not of the form [a-z][a-z0-9_]*"),
        ((*BIT, "weight"), ..., "map.colours.red.bits[0].weight: is missing"),
        ((*BIT, "weight"), True, "map.colours.red.bits[0].weight: is of the wrong type (bool)"),
        ((*BIT, "weight"), 1.5, "map.colours.red.bits[0].weight: is above 1"),
        ((*BIT, "bit"), 1.0, "map.colours.red.bits[0].bit: is of the wrong type (float)"),
        ((*BIT, "paths"), [], "map.colours.red.bits[0].paths: holds 0 items"),
        (
            (*BIT, "paths", 0, "role"),
            "",
            "map.colours.red.bits[0].paths[0].role: '' is none of picture, write path, alternative",
        ),
        (
            (*BIT, "paths", 0, "source", "kind"),
            ["ram"],
            "map.colours.red.bits[0].paths[0].source.kind: is of the wrong type (list)",
        ),
        (
            (*BIT, "status"),
            "stopped",
            "map.colours.red.bits[0].status: 'stopped' contradicts what stands beside it",
        ),
        (
            ("board", "inputs", 0, "sha256"),
            "abc",
            "map.board.inputs[0].sha256: 'abc' is not of the form [0-9a-f]{64}",
        ),
        (
            ("index", 0, "lines", 2, "level"),
            2,
            "map.index[0].lines[2].level: is above 1",
        ),
    ],
)
def test_what_is_wrong_is_said_with_its_place(keys: tuple[str | int, ...], to: object, sentence: str) -> None:
    assert refused(changed(*keys, to=to)).what == sentence


def test_another_version_is_refused() -> None:
    error = refused(changed("version", to=2))
    assert error.what == "this map is of version 2; version 1 is read"
    assert error.fix == "trace the board again with this program"


def test_a_key_that_a_later_program_adds_is_passed_over() -> None:
    assert read_map(changed("chips", 0, "colour_of_its_case", to="black"), "m") == read_map(
        SAVED["dunlin"], "m"
    )


# -- the table --------------------------------------------------------------------------------------


def records(form: Form) -> Iterator[Record]:
    if isinstance(form, Record):
        yield form
        for key in form.keys:
            yield from records(key.form)
    else:
        inside = getattr(form, "form", None)
        if inside is not None:
            yield from records(inside)


def attributes(record: Record) -> Iterator[str]:
    for key in record.keys:
        if isinstance(key.form, Group):
            yield from attributes(key.form)
        elif not callable(key.of):
            yield key.of or key.name


def test_every_field_of_a_map_has_one_key() -> None:
    found: dict[Any, set[str]] = {}
    for record in records(MAP.record):
        if not isinstance(record, Group):
            told = list(attributes(record))
            assert len(told) == len(set(told))
            found[record.make] = set(told)
    assert len(found) == 17
    # The name of a colour is the key under which it stands.
    found[Colour].add("name")
    # Findings of a map are joined: what told those of one colour or kind of part apart has gone into the text.
    found[Finding] |= {"colour", "like"}
    for make, names in found.items():
        assert {field.name for field in fields(make)} == names
