"""Bench notes: parts, beeps, colour pins and evidence, typed by hand, a line a fact.

The language is `grammars/bench_notes.lark`. A notes file alone is a board; given
with a netlist it adds to it and corrects it (`tracer.netlist.merge`). References and
legs are read in any case; on connectors that have both ``A`` and ``a`` the case
of a leg counts.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from lark import Token, Tree
from lark.exceptions import UnexpectedInput

from tracer.base.errors import NetlistError, caret_excerpt
from tracer.importers.grammar import load_grammar
from tracer.importers.typed.note_words import part_and_leg, plain, without_comment, words_of
from tracer.importers.typed.noted import Noted
from tracer.netlist.board import Evidence, Netlist, Origin, Pin, PinRef
from tracer.netlist.colour_names import meant_colour
from tracer.netlist.notes import Load, Told, ToldNet

__all__ = ["parse"]

#: Several legs of one part; one leg of several parts. The grammar has seen to it that they are well formed.
_LEGS = re.compile(r'(?P<part>"(?:[^"\\]|\\.)*"|[^".]+)\.\[(?P<list>.*)\]', re.DOTALL)
_PARTS = re.compile(r'\[(?P<list>(?:"(?:[^"\\]|\\.)*"|[^\]"])*)\]\.(?P<leg>.+)', re.DOTALL)
# A row of blanks is tried once, from its end, and not from each of its blanks: a line may hold any number of them.
_PLACE = re.compile(r"^(?P<rest>.*\S)\s+at\s+(?P<place>\S+)$", re.IGNORECASE)
_DRAWN = re.compile(r"^(?P<rest>(?:.*\S(?=\s))?)\s*drawn\s+as\s+(?P<symbol>\S+)$", re.IGNORECASE)
#: Where a part sits, behind its marking or alone.
_SITS = re.compile(
    r"(?P<rest>(?:.*?[\s,](?=\S))??)(?P<deny>not\s+)?(?P<sits>in\s+(?:a|its)\s+socket|in\s+sockets?|socketed|soldered(?:\s+in)?)",
    re.IGNORECASE,
)
#: ``red and green at the plug, moves``.
_EXCHANGED = re.compile(
    r"([a-z_]+)\s+(?:and|with|for|to)\s+([a-z_]+)(?:\s+at\s+the\s+plug)?\s*,?\s*(\S.*)", re.IGNORECASE
)
#: A connector's marking that makes the case of its legs count: it has legs A and a.
_BOTH_CASES = re.compile(r"edge|56|jamma", re.IGNORECASE)

#: What the grammar's words are called in messages.
_EXPECTED = {
    "EQUAL": "=", "BANG": "!=", "__ANON_0": "!=", "IS": "is", "ALONE": "alone", "CALLED": "called", "PIN": "a leg such as U9.11",
    "TEXT": "some words", "NOT_FITTED": "not fitted", "IN_SOCKET": "in a socket", "SOLDERED": "soldered", "LEGS": "legs such as U9.[2 5]", "PARTS": "legs such as [R1 R2].2",
    "REF": "a part such as U9", "NET_WORD": "net:NAME", "LEG_NAME": "a name", "LEG_NAMES": "names in [ ]", "TO": "to",
}  # fmt: skip


def parse(text: str, file: str, name: str) -> Netlist:
    """Read bench notes.

    Raises
    ------
    NetlistError
        A line that is no statement; points at the word.
    """
    reader = _Reader(file, name)
    for number, line in enumerate(text.split("\n"), 1):
        statement = without_comment(line)
        if statement.strip():
            reader.line(number, line, statement)
    return reader.noted.netlist(reader.board)


class _Reader:
    """Takes up one statement after the other."""

    def __init__(self, file: str, name: str) -> None:
        self.file, self.board = file, name
        self.number, self.text = 0, ""
        self.noted = Noted(file)

    def line(self, number: int, line: str, statement: str) -> None:
        self.number, self.text = number, line
        try:
            # The words that start a statement want a blank behind them, also at the end of the line.
            tree = load_grammar("bench_notes").parse(statement.rstrip() + " ")
        except UnexpectedInput as error:
            raise self._unexpected(error, statement) from None
        node = tree.children[0]
        assert not isinstance(node, str)
        getattr(self, f"_{node.data}")(node)

    def error(self, what: str, column: int, fix: str) -> NetlistError:
        return NetlistError(
            what,
            file=self.file,
            line=self.number,
            column=column,
            excerpt=caret_excerpt(self.text, column),
            fix=fix,
        )

    def _unexpected(self, error: Exception, statement: str) -> NetlistError:
        length = len(statement.rstrip())
        opened = statement.find("[")
        if opened >= 0 and "]" not in statement[opened:]:
            return self.error("this [ is never closed", opened + 1, "close the list: U9.[2 5 6 9]")
        at_end = getattr(getattr(error, "token", None), "type", "") == "$END"
        column = length + 1 if at_end else min(getattr(error, "column", 1), length + 1)
        expected = set(getattr(error, "accepts", None) or getattr(error, "expected", None) or ())
        expected |= set(getattr(error, "allowed", None) or ())
        words = sorted({_EXPECTED[e] for e in expected if e in _EXPECTED})
        found = statement[column - 1 :].split()
        if column == 1 or not words:
            words = ["a statement such as U9 is 74LS273, J1.12 = R5.1 or red is J1.12"]
        what = f"{found[0]!r} is not understood here" if found else "the line ends too soon"
        return self.error(what, column, f"expected here: {', '.join(words[:6])}")

    # -- statements -----------------------------------------------------------------------------

    def _board(self, node: Tree[Token]) -> None:
        self.board = str(node.children[1]).strip()

    def _part(self, node: Tree[Token]) -> None:
        words = str(node.children[0])
        references = words_of(words[1:-1]) if words.startswith("[") else [words]
        if not references:
            raise self.error("the list in [ ] is empty", 1, "name the parts, for example [R1 R5 R9] is 220")
        for reference in references:
            self._one_part(self._reference(reference), str(node.children[2]).strip())

    def _one_part(self, reference: str, marking: str) -> None:
        symbol, place = "", ""
        marking = self._without_socket(reference, marking)
        if found := _PLACE.match(marking):
            marking, place = found["rest"].strip(), found["place"]
        if found := _DRAWN.match(marking):
            marking, symbol = found["rest"].strip(), found["symbol"]
        marking = self._without_socket(reference, marking)
        # "U5 is ?": it is there, and nothing is known of it.
        marking = "" if marking == "?" else plain(marking)
        self.noted.part(reference, marking, symbol, place, self._here())

    def _without_socket(self, reference: str, marking: str) -> str:
        """A marking without what is said behind it of where the part sits: ``6116 in a socket``."""
        found = _SITS.fullmatch(marking)
        if found is None:
            return marking
        self._sits(reference, ("socket" in found["sits"].lower()) != bool(found["deny"]))
        return (found["rest"] or "").strip(" ,")

    def _unfitted(self, node: Tree[Token]) -> None:
        self.noted.unfitted(self._reference(str(node.children[0])), self._here())

    def _socket(self, node: Tree[Token]) -> None:
        word = str(node.children[0])
        references = words_of(word[1:-1]) if word.startswith("[") else [word]
        if not references:
            raise self.error(
                "the list in [ ] is empty", 1, "name the parts, for example [U9 U10] is in a socket"
            )
        told = getattr(node.children[2], "type", "") == "IN_SOCKET"
        for reference in map(self._reference, references):
            self._sits(reference, told)

    def _sits(self, reference: str, in_socket: bool) -> None:
        if self.noted.sockets.setdefault(reference, in_socket) != in_socket:
            raise self.error(
                f"{reference} is in a socket in one line and soldered in another",
                1,
                "keep one of the two lines",
            )

    def _colour(self, node: Tree[Token]) -> None:
        colour, where = str(node.children[0]).lower(), node.children[2]
        assert isinstance(where, str)
        if meant := meant_colour(colour):
            raise self.error(
                f"{colour} is nearly {meant}",
                getattr(node.children[0], "column", 1) or 1,
                f"write {meant} is {where}, or give the colour a name unlike red, green and blue",
            )
        if where.lower().startswith("net:"):
            told: Told = ToldNet(plain(where[4:]))
        else:
            told = self._pin(where)
            self.noted.stands(told, self._here())
        if colour in self.noted.colours and self.noted.colours[colour] != told:
            raise self.error(
                f"{colour} is told twice: {self.noted.colours[colour]} further up, {told} here",
                getattr(where, "column", 1) or 1,
                "keep one of the two lines",
            )
        self.noted.colours[colour] = told

    def _load(self, node: Tree[Token]) -> None:
        words = node.children[1]
        told, column = Load.of(str(words)), getattr(words, "column", 1) or 1
        if told is None:
            raise self.error(
                f"load {str(words).strip()[:40]} is no resistance",
                column,
                "write load 75, load 1k or load none",
            )
        if self.noted.load not in (None, told):
            raise self.error(
                f"the load is {self.noted.load} further up and {told} here",
                column,
                "keep one of the two lines",
            )
        self.noted.load = told

    def _net(self, node: Tree[Token]) -> None:
        children = list(node.children)
        name = None
        if isinstance(children[0], str):
            token = children.pop(0)
            name = plain(str(token).strip()[:-1])
        for row in self._rows([c for c in children if not isinstance(c, str)]):
            self.noted.beep(row, name, self._here())

    def _apart(self, node: Tree[Token]) -> None:
        for a, b in self._rows([c for c in node.children if not isinstance(c, str)]):
            self.noted.silent(a, b, self._here())

    def _alone(self, node: Tree[Token]) -> None:
        operand = node.children[0]
        assert not isinstance(operand, str)
        for pin in self._operand(operand):
            self.noted.stands(pin, self._here())
            self.noted.alone.append(pin)

    def _called(self, node: Tree[Token]) -> None:
        operand, names_token = node.children[0], str(node.children[2])
        assert not isinstance(operand, str)
        pins = self._operand(operand)
        names = words_of(names_token[1:-1]) if names_token.startswith("[") else [names_token]
        kind = str(node.children[3])[1:-1] if len(node.children) > 3 else ""
        if len(names) != len(pins):
            raise self.error(
                f"{len(pins)} legs but {len(names)} names",
                getattr(node.children[2], "column", 1) or 1,
                "name each leg once",
            )
        for pin, leg_name in zip(pins, names, strict=True):
            self.noted.named(pin, Pin(pin.pin, plain(leg_name), kind), self._here())

    def _seen(self, node: Tree[Token]) -> None:
        self.noted.evidence.append(Evidence("seen", (), str(node.children[1]).strip(), self._here()))

    def _read(self, node: Tree[Token]) -> None:
        pin = self._pin(str(node.children[1]))
        self.noted.stands(pin, self._here())
        self.noted.evidence.append(Evidence("read", (str(pin),), str(node.children[2]).strip(), self._here()))

    def _swapped(self, node: Tree[Token]) -> None:
        words = str(node.children[2]).strip() if len(node.children) > 2 else ""
        where = (self._reference(str(node.children[1])),)
        self.noted.evidence.append(Evidence("swapped", where, words.lstrip(", "), self._here()))

    def _pressed(self, node: Tree[Token]) -> None:
        where, words = (self._reference(str(node.children[1])),), str(node.children[2]).strip()
        self.noted.evidence.append(Evidence("pressed", where, words, self._here()))

    def _exchanged(self, node: Tree[Token]) -> None:
        said = _EXCHANGED.fullmatch(str(node.children[1]).strip())
        if said is None:
            raise self.error(
                f"{str(node.children[1]).strip()[:40]!r} does not name two colours",
                getattr(node.children[1], "column", 1) or 1,
                "write, for example: exchanged red and green, moves",
            )
        where = (said[1].lower(), said[2].lower())
        self.noted.evidence.append(Evidence("exchanged", where, said[3].strip(), self._here()))

    def _measured(self, node: Tree[Token]) -> None:
        where = tuple(
            str(self._pin(c)) if c.type == "PIN" else self._reference(c)
            for c in node.children
            if isinstance(c, Token) and c.type in ("PIN", "REF")
        )
        self.noted.evidence.append(Evidence("measured", where, str(node.children[-1]).strip(), self._here()))

    # -- words ----------------------------------------------------------------------------------

    def _here(self) -> Origin:
        return Origin(self.file, self.number)

    def _reference(self, word: str) -> str:
        """References in upper case, unless quoted."""
        return plain(word) if word.startswith('"') else word.upper()

    def _pin(self, word: str) -> PinRef:
        return self._make_pin(*part_and_leg(word))

    def _make_pin(self, part: str, leg: str) -> PinRef:
        reference = self._reference(part)
        if leg.startswith('"'):
            return PinRef(reference, plain(leg))
        known = self.noted.parts.get(reference)
        keeps_case = known is not None and bool(_BOTH_CASES.search(f"{known.marking} {known.symbol}"))
        return PinRef(reference, leg if keeps_case else leg.upper())

    def _operand(self, node: Tree[Token]) -> list[PinRef]:
        token = node.children[0]
        assert isinstance(token, str)
        word = str(token)
        if token.type == "PIN":
            return [self._pin(word)]
        match = (_LEGS if token.type == "LEGS" else _PARTS).fullmatch(word)
        assert match is not None
        items = words_of(match["list"])
        if not items:
            raise self.error(
                "the list in [ ] is empty", token.column or 1, "name the legs, for example U9.[2 5 6 9]"
            )
        if token.type == "LEGS":
            return [self._make_pin(match["part"], leg) for leg in items]
        return [self._make_pin(part, match["leg"]) for part in items]

    def _rows(self, operands: list[Tree[Token]]) -> Iterator[list[PinRef]]:
        """Nets that a line states: one, or leg by leg where it has lists."""
        lists = [self._operand(o) for o in operands]
        longest = max(len(pins) for pins in lists)
        for operand, pins in zip(operands, lists, strict=True):
            if len(pins) not in (1, longest):
                raise self.error(
                    f"this list has {len(pins)} legs, another in the line has {longest}",
                    getattr(operand.children[0], "column", 1) or 1,
                    "write as many in each list; one leg alone goes with all of the others",
                )
        if len(lists) == 1 and longest > 1:
            yield lists[0]
            return
        for i in range(longest):
            yield [pins[i] if len(pins) > 1 else pins[0] for pins in lists]
