"""Any map that is saved is read back as the same value, and the reader allows what the schema allows."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any, get_args

import jsonschema
from hypothesis import given
from hypothesis import strategies as st

from tracer.base.errors import MapError
from tracer.base.findings import CODES, Finding, Severity
from tracer.base.visible import visible
from tracer.bitmap.json import MAP, emit
from tracer.bitmap.model import (
    COLOUR_NAME,
    Bit,
    BitMap,
    Chip,
    Colour,
    ColourPin,
    Control,
    Driver,
    FoundBy,
    IndexLine,
    MemoryIndex,
    Path,
    Role,
    SetBy,
    Source,
    SourceKind,
    StageResistor,
    Step,
    When,
)
from tracer.bitmap.read import read_map
from tracer.netlist.board import Input

#: Names as netlists carry them: what no reader sees is an escape already.
texts = st.text(max_size=5).map(visible)
maybe = st.none() | texts
counts = st.integers(0, 10**9)
levels = st.sampled_from([0, 1])
ohms = st.none() | st.floats(0, 1e9)
colour_names = st.from_regex(COLOUR_NAME, fullmatch=True).map(lambda name: name[:8])


def word(literal: object) -> st.SearchStrategy[Any]:
    return st.sampled_from(get_args(literal))


def some(items: st.SearchStrategy[Any], least: int = 0) -> st.SearchStrategy[Any]:
    return st.lists(items, min_size=least, max_size=2).map(tuple)


drivers = st.builds(Driver, texts, texts, texts, texts)
steps = st.builds(
    Step, texts, texts, texts, texts, texts, st.booleans(), some(st.builds(Control, texts, texts, maybe))
)
sources = st.builds(Source, maybe, maybe, maybe, texts, word(SourceKind), maybe)
paths = st.builds(
    Path, word(Role), some(st.builds(When, texts, texts, texts, levels)), some(steps), sources, maybe
)
bits = st.builds(
    Bit, counts, st.floats(-1, 1), some(st.builds(StageResistor, texts, ohms)), drivers, some(paths, least=1)
)
colours = st.builds(
    Colour, colour_names, st.builds(ColourPin, maybe, maybe, texts, texts, word(FoundBy)), counts, some(bits)
)
feeds = st.dictionaries(colour_names, some(counts), max_size=2).map(lambda found: tuple(found.items()))
lines = st.builds(IndexLine, texts, texts, maybe, word(SetBy), st.none() | levels, some(drivers), maybe)
findings = st.builds(
    Finding,
    st.sampled_from(sorted(CODES)),
    word(Severity),
    some(texts),
    texts.filter(lambda text: text != ""),
)
maps = st.builds(
    BitMap,
    name=texts,
    inputs=some(st.builds(Input, texts, texts, st.from_regex("[0-9a-f]{64}", fullmatch=True))),
    n_parts=counts,
    n_nets=counts,
    load_ohm=st.none() | st.floats(1e-3, 1e9),
    colours=st.lists(colours, max_size=3, unique_by=lambda colour: colour.name).map(tuple),
    chips=some(st.builds(Chip, texts, texts, maybe, texts, feeds)),
    index=some(st.builds(MemoryIndex, texts, some(lines))),
    colours_possible=counts,
    colours_at_once=counts,
    findings=some(findings),
)  # fmt: skip

SCHEMA = jsonschema.Draft202012Validator(MAP.schema())


@given(maps)
def test_a_map_that_is_saved_is_read_back_as_the_same_value(bit_map: BitMap) -> None:
    saved = emit(bit_map)
    assert read_map(saved, "map.json") == bit_map
    assert emit(read_map(saved, "map.json")) == saved
    SCHEMA.validate(json.loads(saved))


#: Keys of which the schema and the reader say different things on purpose: the head is seen to before, codes of later
#: programs are let in, and of what is told twice only the reader knows what it must be.
APART = {"format", "version", "code", "status", "because"}


def places(tree: Any) -> Iterator[tuple[Any, Any]]:
    """Every object with each of its keys, and every list with each of its places."""
    keys = list(tree) if isinstance(tree, dict) else list(range(len(tree)))
    for key in keys:
        if key not in APART:
            yield tree, key
            if isinstance(tree[key], dict | list):
                yield from places(tree[key])


#: Floats that are no whole numbers: 1.0 is an integer to JSON Schema, and this program never writes one so.
other_values = st.one_of(
    st.none(), st.booleans(), st.integers(-2, 9), st.sampled_from([-1.5, -0.5, 0.5, 1.5]), texts,
    st.sampled_from(["ram", "picture", "told", "rail", "note"]), st.just([]), st.just({}), st.just(["A"]),
)  # fmt: skip


@given(maps, st.data())
def test_the_reader_allows_what_the_schema_allows(bit_map: BitMap, data: st.DataObject) -> None:
    tree = json.loads(emit(bit_map))
    inside, key = data.draw(st.sampled_from(list(places(tree))))
    if isinstance(inside, dict) and data.draw(st.booleans()):
        del inside[key]
    else:
        inside[key] = data.draw(other_values)
    try:
        MAP.read(tree, "map.json")
        is_read = True
    except MapError as error:
        is_read = "contradicts what stands beside it" in error.what
    assert is_read == SCHEMA.is_valid(tree)
