"""One statement of Verilog as a row of tokens, taken from left to right."""

from __future__ import annotations

import re

from tracer.base.errors import NetlistError
from tracer.importers.text import Positions

__all__ = ["COMPUTES", "WIDEST", "Tokens"]

#: More wires than any bus has: a slip of the pen.
WIDEST = 1 << 16

#: What to do about a text that is no netlist.
COMPUTES = "let a synthesis program write a netlist of wires and instances (yosys: write_verilog -noexpr)"

_TOKEN = re.compile(
    r"\s*(?:\\(?P<escaped>\S+)|(?P<name>[A-Za-z_$][\w$]*)"
    r"|(?P<number>\d*\s*'\s*[sS]?[bBoOdDhH]\s*[0-9a-fA-FxXzZ?_]+|\d+)"
    r'|(?P<string>"(?:[^"\\\n]|\\.)*")|(?P<mark>\S))'
)


class Tokens:
    """The tokens of a statement and the place of the next one."""

    def __init__(self, positions: Positions, text: str, at: int) -> None:
        self._positions, self._base, self._place = positions, at, 0
        self._tokens = [
            (m.lastgroup or "", m[m.lastgroup or 0], m.start(m.lastgroup or 0)) for m in _TOKEN.finditer(text)
        ]

    def next(self) -> tuple[str, str, int]:
        """Kind of the next token (mark, name, escaped, number, string), its text, and where it stands in the file."""
        kind, text, start = self._tokens[self._place]
        return kind, text, self._base + start

    def pass_over(self) -> None:
        """Go on to the token behind the next."""
        self._place += 1

    def peek(self, ahead: int = 0) -> str:
        """The mark or name that comes next; nothing where it is a number, a text or an escaped name."""
        place = self._place + ahead
        kind, text, _ = self._tokens[place] if place < len(self._tokens) else ("mark", "", 0)
        return text if kind in ("mark", "name") else ""

    def at(self) -> int:
        """Where the next token stands in the file."""
        return self._base + (self._tokens[min(self._place, len(self._tokens) - 1)][2] if self._tokens else 0)

    def take(self, wanted: str) -> bool:
        """Take a mark or word if it comes next."""
        if self.peek() != wanted:
            return False
        self._place += 1
        return True

    def expect(self, wanted: str) -> None:
        """Take a mark or word that must come next."""
        if not self.take(wanted):
            raise self.unexpected(wanted)

    def unexpected(self, wanted: str) -> NetlistError:
        """What to raise where something else stands."""
        kind, text, _ = self._tokens[min(self._place, len(self._tokens) - 1)]
        if kind == "mark" and text in "+-*/%&|^~!?<>`@":
            return self._positions.error(
                f"{text} computes; a netlist holds only wires and instances", self.at(), COMPUTES
            )
        return self._positions.error(
            f"{text} stands where {wanted} would have to stand",
            self.at(),
            "correct it, or export the file again",
        )

    def name(self, what: str = "a name") -> str:
        """Take a name, escaped or not."""
        kind, text, _ = self._tokens[self._place]
        if kind not in ("name", "escaped"):
            raise self.unexpected(what)
        self._place += 1
        return text

    def integer(self) -> int:
        """Take a whole number."""
        kind, text, _ = self._tokens[self._place]
        negative = kind == "mark" and text == "-"
        if negative:
            kind, text, _ = self._tokens[min(self._place + 1, len(self._tokens) - 1)]
        if kind != "number" or not text.isdecimal() or len(text) > 9:
            raise self.unexpected("a whole number")
        self._place += 1 + negative
        return -int(text) if negative else int(text)

    def range(self) -> tuple[int, int] | None:
        """Take ``[7:0]`` if it comes next."""
        if not self.take("["):
            return None
        first = self.integer()
        self.expect(":")
        last = self.integer()
        self.expect("]")
        if abs(first - last) >= WIDEST:
            raise self._positions.error(f"[{first}:{last}] is too wide", self.at(), "check the two numbers")
        return first, last

    def skip_brackets(self) -> None:
        """Pass over what stands in round brackets, whatever it is."""
        depth = 0
        while self._place < len(self._tokens):
            depth += {"(": 1, ")": -1}.get(self.peek(), 0)
            self._place += 1
            if depth == 0:
                return
        raise self.unexpected(")")

    def skip_delay(self) -> None:
        """Pass over ``#5`` or ``#(...)``."""
        if self.take("#"):
            if self.peek() == "(":
                self.skip_brackets()
            else:
                self._place += 1
