"""What the rules of `data/drawn_parts.toml` say of a part: by its symbol, its reference, its marking, or a word told."""

from __future__ import annotations

import re
import tomllib
from functools import cache, lru_cache
from importlib.resources import files
from typing import Any

from tracer.netlist.board import Part
from tracer.parts.kinds import Kind

__all__ = ["chip_kind", "is_header", "kind_by", "reference_letters", "told_kind", "transistor_legs"]

#: How many pins a part of a kind can have; a "D4" with twenty pins is no diode.
_PIN_COUNT = {
    Kind.RESISTOR: range(1, 4),
    Kind.CAPACITOR: range(1, 4),
    Kind.INDUCTOR: range(1, 5),
    Kind.DIODE: range(1, 9),
    Kind.TRANSISTOR: range(1, 9),
    Kind.TRIMMER: range(2, 4),
    Kind.LINK: range(1, 5),
    Kind.RESISTOR_PACK: range(1, 33),
}


# A large board asks the same of thousands of parts.
@lru_cache(maxsize=1 << 12)
def kind_by(key: str, text: str, pins: int, marking: str) -> Kind | None:
    """The kind by the first rule for a symbol or a reference (`key`) that fits its text, its count of legs and marking."""
    for rule in _rules()["rule"] if text else ():
        if key in rule and re.fullmatch(rule[key], text, re.IGNORECASE):
            kind = Kind(rule["kind"])
            if pins not in rule.get("legs", (pins,)):
                continue
            if (
                "marking" in rule
                and key != "marking"
                and not re.fullmatch(rule["marking"], marking, re.IGNORECASE)
            ):
                continue
            if pins in _PIN_COUNT.get(kind, range(1000)) or (key == "symbol" and pins == 0):
                return kind
    return None


def reference_letters(reference: str) -> str:
    """``VR`` of ``VR12``, without the name of its board."""
    match = re.match(r"(?:.*:)?([A-Za-z_]+)", reference)
    return match[1].rstrip("_") if match else ""


def chip_kind(part: Part) -> Kind | None:
    """The kind of a chip whose legs the library does not list, by its marking or symbol."""
    for text in (part.marking, part.symbol):
        for rule in _rules()["chip"] if text else ():
            if re.fullmatch(rule["marking"], text.strip(), re.IGNORECASE):
                return Kind(rule["kind"])
    return None


def is_header(part: Part) -> bool:
    """Whether a part's marking or symbol is a usual name of plugs and headers."""
    pattern = _rules()["header"]["marking"]
    return any(re.fullmatch(pattern, text.strip(), re.IGNORECASE) for text in (part.marking, part.symbol))


def transistor_legs(part: Part) -> tuple[str, str]:
    """Letters of the legs 1 2 3 and polarity of a transistor by its marking; empty where no rule has it."""
    for text in (part.marking, part.symbol):
        for rule in _rules()["transistor"] if text else ():
            if re.fullmatch(rule["marking"], text.strip(), re.IGNORECASE):
                return rule["legs"], rule["polarity"]
    return "", ""


# A large board asks of thousands of parts alike.
@lru_cache(maxsize=1 << 12)
def told_kind(marking: str) -> tuple[Kind, str] | None:
    """The kind that a marking is a word for, and what follows the word: its value or its legs.

    >>> told_kind("jumper 1-2"), told_kind("TRIMMER  1k"), told_kind("74LS00")
    ((<Kind.SWITCH: 'switch'>, '1-2'), (<Kind.TRIMMER: 'trimmer'>, '1k'), None)
    """
    text = " ".join(marking.split())
    folded = text.lower()
    found = max((w for w in _told_words() if folded == w or folded.startswith(f"{w} ")), key=len, default="")
    return (_told_words()[found], text[len(found) :].strip()) if found else None


@cache
def _rules() -> dict[str, Any]:
    return tomllib.loads((files("tracer.parts") / "data" / "drawn_parts.toml").read_text(encoding="utf-8"))


@cache
def _told_words() -> dict[str, Kind]:
    """Word -> the kind that a person means by it."""
    words: dict[str, Kind] = {kind.value: kind for kind in Kind if kind != Kind.UNKNOWN}
    words |= {word: Kind(kind) for kind, listed in _rules()["told"].items() for word in listed.split()}
    return words
