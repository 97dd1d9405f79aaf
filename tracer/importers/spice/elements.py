"""A card of a SPICE deck -> an element with its nodes.

The order of an element's nodes is that of chapters 3 to 8 of the ngspice manual 39 (from memory). What a word of a
card is depends on the words behind it: board programs write parts of every kind under every letter.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from typing import NamedTuple

from tracer.importers.text import Positions

__all__ = ["Element", "read_element", "words_of"]

#: Letter -> its nodes in order, as names of terminals.
TERMINALS: dict[str, tuple[str, ...]] = {
    **dict.fromkeys("RCL", ("1", "2")),
    "D": ("A", "K"),
    "Q": ("C", "B", "E"),
    **dict.fromkeys("JZ", ("D", "G", "S")),
    "M": ("D", "G", "S", "B"),
    **dict.fromkeys("VIBFHW", ("+", "-")),
    **dict.fromkeys("EG", ("+", "-", "c+", "c-")),
    "S": ("+", "-", "c+", "c-"),
    "T": ("1+", "1-", "2+", "2-"),
}
#: A fourth and fifth node of a bipolar transistor: substrate, temperature.
_MORE_OF_Q = ("S", "T")
# From the first of a row of blanks alone: tried from each of them, a long row takes the square of its length.
_EQUALS = re.compile(r"(?<!\s)\s*=\s*")
_NOTHING = re.compile(r"(?<!\s)\s*<[^<>]*>\s*$")
_WORD = re.compile(r"\{[^{}]*\}|'[^']*'|\"[^\"]*\"|(?:\{[^{}]*\}|'[^']*'|\"[^\"]*\"|[^\s{'\"])+|\S")
#: A number with its scale; names such as 1N4148 are none.
_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?[a-z]*", re.IGNORECASE)
_VALUE = re.compile(r"[-+.]?\d|[{'\"]|[^=]+=")


class Element(NamedTuple):
    """One element.

    `terminals` are empty where only the order of the nodes is known; `kind` is a value, model or subcircuit.
    """

    letter: str
    name: str
    nodes: tuple[str, ...]
    kind: str
    terminals: tuple[str, ...]
    line: int
    at: int


def words_of(text: str) -> list[str]:
    """Words of a card: ``a = b`` and what stands in quotes or braces are one."""
    if "=" in text:
        text = _EQUALS.sub("=", text)
    return _WORD.findall(text) if "{" in text or "'" in text or '"' in text else text.split()


def read_element(
    text: str, line: int, at: int, models: Collection[str], positions: Positions
) -> Element | None:
    """An element out of its card; None for one that has no nodes.

    Parameters
    ----------
    text : str
        The card, carried-on lines joined.
    line, at : int
        Where it stands.
    models : collection of str
        Names of the deck's models, in lower case.
    positions : Positions

    Raises
    ------
    NetlistError
        It lacks nodes.
    """
    # Lepton writes <No valid value attribute found> for a part without a value.
    bare = _NOTHING.sub("", text)
    name, *words = words_of(bare)
    letter = name[0].upper()
    if letter == "K":
        # It couples two inductors and has no nodes.
        return None
    if words == [f"__{name}"]:
        # What KiCad writes for a part without a model: it tells none of its pins.
        return Element(letter, name, (), "", (), line, at)
    plain = words[: next((i for i, w in enumerate(words) if "=" in w or w.lower() == "params:"), len(words))]
    if letter == "X":
        if not plain:
            raise positions.error(
                f"{name} names no subcircuit", at, "write its nodes and the subcircuit's name"
            )
        return Element(letter, name, tuple(plain[:-1]), plain[-1], (), line, at)
    fitting = _fitting(letter, words, plain, bare != text, models)
    if fitting is not None:
        nodes, kind, terminals = fitting
        return Element(letter, name, tuple(nodes), kind, terminals, line, at)
    if letter in TERMINALS and len(plain) < 2 and bare == text:
        raise positions.error(f"{name} has {len(plain)} node(s) only", at, "write its nodes and its value")
    # A part of another kind under this letter, as board programs write them; `reader.py` tells a node from a kind.
    if bare != text:
        return Element(letter, name, tuple(plain), "", (), line, at)
    return Element(letter, name, tuple(plain[:-1]), plain[-1] if plain else "", (), line, at)


def _fitting(
    letter: str, words: list[str], plain: list[str], is_valueless: bool, models: Collection[str]
) -> tuple[list[str], str, tuple[str, ...]] | None:
    """Nodes, kind and terminals of a card that has the form of its letter."""
    terminals = TERMINALS.get(letter)
    if terminals is None:
        return None
    count = len(terminals)
    if letter in "RCL":
        rest = words[count:]
        known = all(_VALUE.match(word) or word.lower() in models for word in rest)
        if len(plain) < count or not known or (not rest and not is_valueless) or (rest and is_valueless):
            return None
        return words[:count], _value(rest), terminals
    if letter in "DQJZM":
        least = 3 if letter in "QM" else count
        named = [i for i in range(least, len(plain)) if plain[i].lower() in models]
        named = named or [i for i in range(len(plain) - 1, least - 1, -1) if not _NUMBER.fullmatch(plain[i])]
        if is_valueless or not named:
            return (words, "", terminals) if is_valueless and len(words) == count else None
        model = named[0]
        more = terminals + _MORE_OF_Q if letter == "Q" else terminals
        if model > len(more) or (letter in "DJZ" and model != count):
            return None
        return plain[:model], plain[model], more[:model]
    if letter in "EG" and len(plain) < count + 1:
        terminals = terminals[:2]
    if is_valueless or len(plain) < len(terminals):
        return None
    return words[: len(terminals)], "", terminals


def _value(words: list[str]) -> str:
    """A value as a board has it printed. ``1M`` is left as it is: SPICE takes it as milli, people as mega."""
    for word in words:
        key, equals, value = word.rpartition("=")
        if not equals or key.lower() in ("r", "c", "l", "resistance", "capacitance", "inductance"):
            value = value.strip("{}'\"")
            return re.sub(r"(?i)(?<=[\d.])meg(?:ohms?)?$", "M", value)
    return ""
