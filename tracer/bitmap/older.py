"""Maps that another version of this program saved: facts that had no keys of their own yet are filled in.

The one reason of a bit belongs to its paths that stop; what sets an address line is taken from its words; a finding
without a code, or with one that only a later program knows, is shown and not acted on; a chip is sold as its type. What is wrong in a file is left
for the reader to say.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tracer.base.findings import CODES
from tracer.bitmap.model import MEMORY_SOURCES

__all__ = ["fill_in"]

_HELD = {
    "tied low": ("rail", 0),
    "tied high": ("rail", 1),
    "pulled low": ("pull", 0),
    "pulled high": ("pull", 1),
}


def fill_in(tree: dict[str, Any]) -> None:
    """Give a map that was read as JSON the keys that it lacks."""
    for bit in _each(tree, "colours", "bits"):
        for path in _each(bit, "paths"):
            source = path.get("source")
            # Whatever stands there, it may be compared, but not looked up in a set.
            stored = isinstance(source, dict) and source.get("kind") in tuple(MEMORY_SOURCES)
            stops = path.get("role") != "write path" and not stored
            path.setdefault("because", bit.get("because") if stops else None)
    for colour in _each(tree, "colours"):
        colour.setdefault("when", [])
        colour.setdefault("states", [])
    for finding in _each(tree, "findings"):
        code = finding.setdefault("code", "saved")
        if isinstance(code, str) and code not in CODES:
            finding["code"] = "saved"
    for line in _each(tree, "index", "lines"):
        if "set_by" not in line and isinstance(line.get("driven_by"), str):
            line.update(_set_by(line["driven_by"]))
    for named in _named(tree):
        # A missing type is left for the reader to miss.
        if "type" in named:
            named.setdefault("sold_as", named["type"])


def _named(tree: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Whatever names a chip by its type."""
    yield from _each(tree, "chips")
    yield from _each(tree, "index", "lines", "drivers")
    for holder in (*_each(tree, "colours"), *_each(tree, "colours", "states")):
        for bit in _each(holder, "bits"):
            for path in _each(bit, "paths"):
                yield from _each(path, "steps")
                yield from (x for x in (path.get("source"),) if isinstance(x, dict))
            yield from (x for x in (bit.get("driver"),) if isinstance(x, dict))


def _each(tree: dict[str, Any], *keys: str) -> Iterator[dict[str, Any]]:
    """The objects under the keys, each of which has a list or an object of objects."""
    inside = tree.get(keys[0])
    for item in inside.values() if isinstance(inside, dict) else inside if isinstance(inside, list) else ():
        if isinstance(item, dict):
            yield from _each(item, *keys[1:]) if keys[1:] else (item,)


def _set_by(words: str) -> dict[str, Any]:
    """What `tracer.bitmap.text.driven_by_text` was made from; words of another kind are left for the reader to refuse."""
    set_by, level = _HELD.get(words, (words, None))
    drivers: list[dict[str, str]] = []
    leg, is_over, over = words.partition(" over ")
    if is_over and " " not in leg:
        set_by, drivers = "output", [_driver(leg)]
    elif words.endswith(" (connector)"):
        set_by, drivers = "connector", [_driver(words.removesuffix(" (connector)"))]
    elif " (" in words:
        # ``U11.4 (74x157 1Y), U12.4 (74x157 1Y), and 2 more``: those that are only counted have no names.
        named = [piece.partition(" (") for piece in words.split("), ") if " (" in piece]
        set_by, drivers = "output", [_driver(leg, what.removesuffix(")")) for leg, _, what in named]
    return {"set_by": set_by, "level": level, "drivers": drivers, "over": over or None}


def _driver(leg: str, what: str = "") -> dict[str, str]:
    part, _, pin = leg.rpartition(".")
    type_, blank, name = what.rpartition(" ")
    return {"part": part, "type": type_ if blank else what, "pin": pin, "name": name if blank else ""}
