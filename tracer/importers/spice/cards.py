"""Lines of a SPICE deck -> cards: elements with their nodes, and subcircuits.

Source: ngspice manual 39 (Debian ngspice-doc), chapters 2.1 to 2.5: the first
line is a title, a plus sign carries a line on, a star makes a comment and so
do ``;`` and ``$`` behind a blank; names do not differ by case. The order of an
element's nodes is that of chapters 3 to 8 (from memory). No grammar: what a word
of a card is depends on the words behind it.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

from tracer.importers.text import Positions

__all__ = ["Element", "Scope", "read_deck"]

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
#: Elements that copy a behaviour and are no parts of a board: a subcircuit with one of them is a model.
BEHAVIOUR = frozenset("ABEFGHKNOPSTUWY")

_COMMENT = re.compile(r";.*|(?:(?<=\s)|^)\$(?=\s|$).*")
_NAME = re.compile(r"[^\W\d_][^(){}=,\"']*")
# From the first of a row of blanks alone: tried from each of them, a long row takes the square of its length.
_EQUALS = re.compile(r"(?<!\s)\s*=\s*")
_NOTHING = re.compile(r"(?<!\s)\s*<[^<>]*>\s*$")
_WORD = re.compile(r"\{[^{}]*\}|'[^']*'|\"[^\"]*\"|(?:\{[^{}]*\}|'[^']*'|\"[^\"]*\"|[^\s{'\"])+|\S")
#: A number with its scale; names such as 1N4148 are none.
_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?[a-z]*", re.IGNORECASE)
_VALUE = re.compile(r"[-+.]?\d|[{'\"]|[^=]+=")
#: Cards that say nothing of connections.
_QUIET = frozenset(
    {
        "ac",
        "dc",
        "op",
        "tran",
        "noise",
        "pz",
        "sens",
        "tf",
        "disto",
        "four",
        "fourier",
        "meas",
        "measure",
        "print",
        "plot",
        "probe",
        "save",
        "options",
        "option",
        "opt",
        "temp",
        "ic",
        "nodeset",
        "width",
        "title",
        "param",
        "params",
        "func",
        "csparam",
        "backanno",
        "lib",
        "inc",
        "include",
        "global",
        "model",
        "step",
        "end",
        "ends",
        "subckt",
        "macro",
        "eom",
        "connect",
        "sp",
        "alter",
        "data",
        "enddata",
        "wave",
        "net",
        "protect",
        "unprotect",
    }
)


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


@dataclass(eq=False)
class Scope:
    """The deck, or a subcircuit in it."""

    name: str
    ports: list[str]
    at: int
    elements: list[Element] = field(default_factory=list)
    inside: dict[str, Scope] = field(default_factory=dict)

    @property
    def is_drawn(self) -> bool:
        """Whether it holds parts of a board rather than a part's behaviour."""
        return bool(self.elements) and not any(e.letter in BEHAVIOUR for e in self.elements)


@dataclass
class Deck:
    """A whole file."""

    top: Scope
    models: dict[str, str] = field(default_factory=dict)
    globals: set[str] = field(default_factory=set)
    skipped: Counter[str] = field(default_factory=Counter)
    includes: list[str] = field(default_factory=list)
    title: str = ""
    twice: list[str] = field(default_factory=list)


def read_deck(positions: Positions) -> Deck:
    """Read all cards.

    Raises
    ------
    NetlistError
        A subcircuit does not end, or ends without having begun; an element lacks nodes.
    """
    deck = Deck(Scope("", [], 0))
    lines = list(_cards(positions, deck))
    for _, text, _ in lines:
        words = text.split(None, 2)
        if words[0].lower() == ".model" and len(words) > 2:
            deck.models[words[1].lower()] = re.split(r"[\s(]", words[2], maxsplit=1)[0].upper()
    open_scopes = [deck.top]
    for line, text, at in lines:
        head = text.split(None, 1)[0].lower()
        if head in (".subckt", ".macro"):
            scope = _subcircuit(text, at, positions)
            if scope.name.lower() in open_scopes[-1].inside:
                deck.twice.append(scope.name)
            open_scopes[-1].inside.setdefault(scope.name.lower(), scope)
            open_scopes.append(scope)
        elif head in (".ends", ".eom"):
            if len(open_scopes) == 1:
                raise positions.error(
                    f"{head} ends a subcircuit that did not begin",
                    at,
                    "take it out, or put .subckt before it",
                )
            open_scopes.pop()
        elif head in (".if", ".elseif", ".else", ".endif"):
            raise positions.error(
                f"{head} chooses among cards, which this reader cannot do",
                at,
                "leave only the cards that hold",
            )
        elif head == ".global":
            deck.globals.update(word.lower() for word in text.split()[1:])
        elif head in (".include", ".inc", ".lib"):
            deck.includes.append(text.split(None, 1)[1] if " " in text else "")
        elif head.startswith("."):
            if head[1:] not in _QUIET:
                deck.skipped[head] += 1
        elif _NAME.fullmatch(head):
            element = _element(text, line, at, deck, positions)
            if element is not None:
                open_scopes[-1].elements.append(element)
        else:
            deck.skipped[head[:24]] += 1
    if len(open_scopes) > 1:
        raise positions.error(
            f"the subcircuit {open_scopes[-1].name} does not end", open_scopes[-1].at, "put .ends behind it"
        )
    return deck


def _cards(positions: Positions, deck: Deck) -> Iterator[tuple[int, str, int]]:
    """Line number, text and offset of each card, carried-on lines joined."""
    text, more, line_at, at, whole = "", list[str](), 0, 0, 0
    in_control = False
    for number, line in enumerate(positions.text.split("\n"), 1):
        start, whole = whole, whole + len(line) + 1
        if "\t" in line or ";" in line or "$" in line:
            line = _COMMENT.sub("", line)
        line = line.strip()
        if number == 1 and not line.startswith("."):
            deck.title = line
            continue
        if not line or line[0] == "*":
            continue
        if line[0] == "+":
            more.append(line[1:].strip())
            continue
        if text or more:
            # Put together once: a card may be carried on over any number of lines.
            yield line_at, " ".join([text, *more]), at
            text, more = "", []
        word = line.split(None, 1)[0].lower()
        if in_control or word == ".control":
            in_control = word != ".endc"
            continue
        if word == ".end":
            return
        text, line_at, at = line, number, start
    if text or more:
        yield line_at, " ".join([text, *more]), at


def _words(text: str) -> list[str]:
    if "=" in text:
        text = _EQUALS.sub("=", text)
    return _WORD.findall(text) if "{" in text or "'" in text or '"' in text else text.split()


def _subcircuit(text: str, at: int, positions: Positions) -> Scope:
    words = _words(text)[1:]
    for place, word in enumerate(words):
        if "=" in word or word.lower() in ("params:", "optional:"):
            words = words[:place]
            break
    if not words:
        raise positions.error("this subcircuit has no name", at, "write .subckt NAME and its nodes")
    ports = [word.lower() for word in words[1:]]
    if len(set(ports)) < len(ports):
        raise positions.error(
            f"the subcircuit {words[0]} has a node twice", at, "give each of its nodes a name of its own"
        )
    return Scope(words[0], words[1:], at)


def _element(text: str, line: int, at: int, deck: Deck, positions: Positions) -> Element | None:
    # Lepton writes <No valid value attribute found> for a part without a value.
    bare = _NOTHING.sub("", text)
    name, *words = _words(bare)
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
    fitting = _fitting(letter, words, plain, bare != text, deck)
    if fitting is not None:
        nodes, kind, terminals = fitting
        return Element(letter, name, tuple(nodes), kind, terminals, line, at)
    if letter in TERMINALS and len(plain) < 2 and bare == text:
        raise positions.error(f"{name} has {len(plain)} node(s) only", at, "write its nodes and its value")
    # A part of another kind under this letter, as board programs write them; `spice` tells a node from a kind.
    if bare != text:
        return Element(letter, name, tuple(plain), "", (), line, at)
    return Element(letter, name, tuple(plain[:-1]), plain[-1] if plain else "", (), line, at)


def _fitting(
    letter: str, words: list[str], plain: list[str], is_valueless: bool, deck: Deck
) -> tuple[list[str], str, tuple[str, ...]] | None:
    """Nodes, kind and terminals of a card that has the form of its letter."""
    terminals = TERMINALS.get(letter)
    if terminals is None:
        return None
    count = len(terminals)
    if letter in "RCL":
        rest = words[count:]
        known = all(_VALUE.match(word) or word.lower() in deck.models for word in rest)
        if len(plain) < count or not known or (not rest and not is_valueless) or (rest and is_valueless):
            return None
        return words[:count], _value(rest), terminals
    if letter in "DQJZM":
        least = 3 if letter in "QM" else count
        named = [i for i in range(least, len(plain)) if plain[i].lower() in deck.models]
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
