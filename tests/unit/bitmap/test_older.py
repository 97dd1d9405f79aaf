"""Maps that another version of the program saved are read."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from tracer.bitmap.json import emit
from tracer.bitmap.model import BitMap
from tracer.bitmap.read import read_map

NETLISTS = Path(__file__).parents[3] / "netlists"
SAVED = {path.parent.name: path.read_text(encoding="utf-8") for path in NETLISTS.glob("*/*.map.json")}


def test_a_finding_that_only_a_later_program_knows_is_shown_all_the_same() -> None:
    tree = json.loads(SAVED["plover"])
    tree["findings"][0]["code"] = "chip-smells"
    found = read_map(json.dumps(tree), "m").findings[0]
    assert (found.code, found.text) == ("saved", tree["findings"][0]["text"])


def as_it_was(text: str) -> str:
    """A map without what has got keys of its own since; its words called a chip by the library's type."""
    tree = json.loads(text)
    for named in objects(tree):
        if "sold_as" in named:
            del named["sold_as"]
        if "driven_by" in named:
            named["driven_by"] = re.sub(r"\(74[A-Z]+(?=\d)", "(74x", named["driven_by"])
    for colour in tree["colours"].values():
        del colour["when"], colour["states"]
        for bit in colour["bits"]:
            for path in bit["paths"]:
                del path["because"]
    for memory in tree["index"]:
        for line in memory["lines"]:
            for key in ("set_by", "level", "drivers", "over"):
                del line[key]
    for finding in tree["findings"]:
        del finding["code"]
    return json.dumps(tree)


def objects(tree: object) -> Iterator[dict[str, Any]]:
    """Every object in a tree."""
    if isinstance(tree, dict):
        yield tree
        tree = list(tree.values())
    for item in tree if isinstance(tree, list) else ():
        yield from objects(item)


def by_type(text: str) -> str:
    """A map whose chips are sold as their types."""
    tree = json.loads(text)
    for named in objects(tree):
        if "sold_as" in named:
            named["sold_as"] = named["type"]
    return json.dumps(tree)


def without_later_facts(bit_map: BitMap) -> BitMap:
    """What an earlier map can tell: no codes, and reasons of the paths that stop a bit alone."""
    return replace(
        bit_map,
        findings=tuple(replace(f, code="saved") for f in bit_map.findings),
        colours=tuple(
            replace(
                colour,
                bits=tuple(
                    replace(
                        bit,
                        paths=tuple(
                            replace(path, because=None) if path.role == "write path" else path
                            for path in bit.paths
                        ),
                    )
                    for bit in colour.bits
                ),
            )
            for colour in bit_map.colours
        ),
    )


@pytest.mark.parametrize("board", sorted(SAVED))
def test_a_map_of_an_earlier_program_is_read(board: str) -> None:
    read = read_map(as_it_was(SAVED[board]), "map.json")
    assert read == without_later_facts(read_map(by_type(SAVED[board]), "map.json"))
    # What it says of its lines and bits stays as it was, to the byte.
    was = json.loads(as_it_was(SAVED[board]))
    assert json.loads(as_it_was(emit(read))) == was
