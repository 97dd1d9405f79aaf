"""Maps that another version of this program saved: facts that had no keys of their own yet are filled in.

The one reason of a bit belongs to its paths that stop; what sets an address line is taken from its words; a finding
without a code, or with one that only a later program knows, is shown and not acted on. What is wrong in a file is left
for the reader to say.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from tracer.base.findings import CODES
from tracer.bitmap.model import MEMORY_SOURCES

__all__ = ["fill_in"]

_HELD = re.compile(r"(tied|pulled) (low|high)")
_CONNECTOR = re.compile(r"(\S+)\.(\S+) \(connector\)")
_OVER = re.compile(r"(\S+)\.(\S+) over (\S+)")
#: ``U11.4 (74x157 1Y)``; the words count the drivers after the third, so that these have no names.
_DRIVER = re.compile(r"(\S+)\.(\S+) \((.*?) ?([^ ]*)\)(?:, (?:and \d+ more)?|$)")


def fill_in(tree: dict[str, Any]) -> None:
    """Give a map that was read as JSON the keys that it lacks."""
    for bit in _each(tree, "colours", "bits"):
        for path in _each(bit, "paths"):
            source = path.get("source")
            stored = isinstance(source, dict) and source.get("kind") in MEMORY_SOURCES
            stops = path.get("role") != "write path" and not stored
            path.setdefault("because", bit.get("because") if stops else None)
    for finding in _each(tree, "findings"):
        code = finding.setdefault("code", "saved")
        if isinstance(code, str) and code not in CODES:
            finding["code"] = "saved"
    for line in _each(tree, "index", "lines"):
        if "set_by" not in line and isinstance(line.get("driven_by"), str):
            line.update(_set_by(line["driven_by"]))


def _each(tree: dict[str, Any], *keys: str) -> Iterator[dict[str, Any]]:
    """The objects under the keys, each of which has a list or an object of objects."""
    inside = tree.get(keys[0])
    for item in inside.values() if isinstance(inside, dict) else inside if isinstance(inside, list) else ():
        if isinstance(item, dict):
            yield from _each(item, *keys[1:]) if keys[1:] else (item,)


def _set_by(words: str) -> dict[str, Any]:
    found: dict[str, Any] = {"set_by": words, "level": None, "drivers": [], "over": None}
    if held := _HELD.fullmatch(words):
        found |= {"set_by": "rail" if held[1] == "tied" else "pull", "level": int(held[2] == "high")}
    elif leg := _CONNECTOR.fullmatch(words):
        found |= {"set_by": "connector", "drivers": [_driver(leg[1], leg[2])]}
    elif leg := _OVER.fullmatch(words):
        found |= {"set_by": "output", "drivers": [_driver(leg[1], leg[2])], "over": leg[3]}
    elif legs := [_driver(m[1], m[2], m[3], m[4]) for m in _DRIVER.finditer(words)]:
        found |= {"set_by": "output", "drivers": legs}
    return found


def _driver(part: str, pin: str, type_: str = "", name: str = "") -> dict[str, str]:
    return {"part": part, "type": type_, "pin": pin, "name": name}
