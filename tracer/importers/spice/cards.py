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

from tracer.importers.spice.elements import Element, read_element, words_of
from tracer.importers.text import Positions

__all__ = ["Deck", "Scope", "read_deck"]

#: Elements that copy a behaviour and are no parts of a board: a subcircuit with one of them is a model.
BEHAVIOUR = frozenset("ABEFGHKNOPSTUWY")

_COMMENT = re.compile(r";.*|(?:(?<=\s)|^)\$(?=\s|$).*")
_NAME = re.compile(r"[^\W\d_][^(){}=,\"']*")
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
            element = read_element(text, line, at, deck.models, positions)
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


def _subcircuit(text: str, at: int, positions: Positions) -> Scope:
    words = words_of(text)[1:]
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
