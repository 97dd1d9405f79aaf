"""One statement of structural Verilog -> what a module holds."""

from __future__ import annotations

import re
from collections.abc import Iterator

from tracer.base.errors import NetlistError
from tracer.importers.text import Positions
from tracer.importers.verilog.modules import GATES, Bit, Instance, Item, Module

__all__ = ["COMPUTES", "StatementReader"]

#: More wires than any bus has: a slip of the pen.
WIDEST = 1 << 16
#: Concatenations in one another.
DEEPEST = 100
#: Bits that constants and copies of a whole text stand for.
MOST_BITS = 2_000_000

#: What to do about a text that is no netlist.
COMPUTES = "let a synthesis program write a netlist of wires and instances (yosys: write_verilog -noexpr)"

_TOKEN = re.compile(
    r"\s*(?:\\(?P<escaped>\S+)|(?P<name>[A-Za-z_$][\w$]*)"
    r"|(?P<number>\d*\s*'\s*[sS]?[bBoOdDhH]\s*[0-9a-fA-FxXzZ?_]+|\d+)"
    r'|(?P<string>"(?:[^"\\\n]|\\.)*")|(?P<mark>\S))'
)
_DIRECTIONS = {"input": "input", "output": "output", "inout": "bidirectional"}
_NET_WORDS = frozenset(
    {
        "wire",
        "uwire",
        "tri",
        "tri0",
        "tri1",
        "triand",
        "trior",
        "trireg",
        "wand",
        "wor",
        "supply0",
        "supply1",
        "reg",
        "logic",
        "signed",
        "scalared",
        "vectored",
    }
)
_RADIX = {"b": 1, "o": 3, "h": 4}


class StatementReader:
    """Takes one statement apart, from left to right."""

    def __init__(self, positions: Positions, text: str, at: int, module: Module | None = None) -> None:
        self._positions, self._base, self._place = positions, at, 0
        self._module, self._depth = module, 0
        self._tokens = [
            (m.lastgroup or "", m[m.lastgroup or 0], m.start(m.lastgroup or 0)) for m in _TOKEN.finditer(text)
        ]

    # Pieces.

    def _peek(self, ahead: int = 0) -> str:
        place = self._place + ahead
        kind, text, _ = self._tokens[place] if place < len(self._tokens) else ("mark", "", 0)
        return text if kind in ("mark", "name") else ""

    def _at(self) -> int:
        return self._base + (self._tokens[min(self._place, len(self._tokens) - 1)][2] if self._tokens else 0)

    def _take(self, wanted: str) -> bool:
        if self._peek() != wanted:
            return False
        self._place += 1
        return True

    def _expect(self, wanted: str) -> None:
        if not self._take(wanted):
            raise self._unexpected(wanted)

    def _unexpected(self, wanted: str) -> NetlistError:
        kind, text, _ = self._tokens[min(self._place, len(self._tokens) - 1)]
        if kind == "mark" and text in "+-*/%&|^~!?<>`@":
            return self._positions.error(
                f"{text} computes; a netlist holds only wires and instances", self._at(), COMPUTES
            )
        return self._positions.error(
            f"{text} stands where {wanted} would have to stand",
            self._at(),
            "correct it, or export the file again",
        )

    def _name(self, what: str = "a name") -> str:
        kind, text, _ = self._tokens[self._place]
        if kind not in ("name", "escaped"):
            raise self._unexpected(what)
        self._place += 1
        return text

    def _integer(self) -> int:
        kind, text, _ = self._tokens[self._place]
        negative = kind == "mark" and text == "-"
        if negative:
            kind, text, _ = self._tokens[min(self._place + 1, len(self._tokens) - 1)]
        if kind != "number" or not text.isdecimal() or len(text) > 9:
            raise self._unexpected("a whole number")
        self._place += 1 + negative
        return -int(text) if negative else int(text)

    def _range(self) -> tuple[int, int] | None:
        if not self._take("["):
            return None
        first = self._integer()
        self._expect(":")
        last = self._integer()
        self._expect("]")
        if abs(first - last) >= WIDEST:
            raise self._positions.error(f"[{first}:{last}] is too wide", self._at(), "check the two numbers")
        return first, last

    def _skip_brackets(self) -> None:
        """What stands in round brackets, whatever it is."""
        depth = 0
        while self._place < len(self._tokens):
            depth += {"(": 1, ")": -1}.get(self._peek(), 0)
            self._place += 1
            if depth == 0:
                return
        raise self._unexpected(")")

    def _skip_delay(self) -> None:
        if self._take("#"):
            if self._peek() == "(":
                self._skip_brackets()
            else:
                self._place += 1

    def expression(self) -> list[Item]:
        """Names, parts of vectors, constants and concatenations of them."""
        kind, text, start = self._tokens[self._place]
        at = self._base + start
        if kind == "number":
            return self._number_or_copies(text, at)
        if self._take("{"):
            return self._concatenation(at)
        name = self._name("a wire")
        if not self._take("["):
            return [Item(name, None, None, (), at)]
        first = self._integer()
        last = self._integer() if self._take(":") else first
        self._expect("]")
        if abs(first - last) >= WIDEST:
            raise self._positions.error(f"[{first}:{last}] is too wide", at, "check the two numbers")
        return [Item(name, first, last, (), at)]

    def _concatenation(self, at: int) -> list[Item]:
        """What stands between braces; the first is taken already."""
        self._depth += 1
        if self._depth > DEEPEST:
            raise self._positions.error(
                f"braces are nested more than {DEEPEST} deep", at, "write the wires one after the other"
            )
        items = self.expression()
        while self._take(","):
            items += self.expression()
        self._expect("}")
        self._depth -= 1
        return items

    def _count_bits(self, n: int, at: int) -> None:
        if self._module is None:
            return
        self._module.n_bits += n
        if self._module.n_bits > MOST_BITS:
            raise self._positions.error(
                f"constants and copies stand for more than {MOST_BITS:,} wires", at, "check their numbers"
            )

    def _number_or_copies(self, text: str, at: int) -> list[Item]:
        self._place += 1
        if self._peek() == "{" and text.isdecimal():
            self._place += 1
            items = self._concatenation(at)
            if len(text) > 9 or int(text) * len(items) > WIDEST:
                raise self._positions.error(f"{text} copies are too many", at, "check the number")
            self._count_bits(int(text) * len(items), at)
            return items * int(text)
        bits = tuple(_constant(text))
        self._count_bits(len(bits), at)
        return [Item("", None, None, bits, at)]

    # Statements.

    def module(self) -> Module:
        """``module NAME #(...) (a, b);`` or with directions in the list."""
        self._place = 1
        at = self._at()
        module = Module(self._name("the module's name"), at)
        if module.name == "not" and self._peek() == "found":
            raise self._positions.error(
                "Lepton did not know the module's name and wrote \\not found",
                at,
                "write a name in its place, or give the schematic a symbol with the attribute module_name",
            )
        if self._take("#"):
            self._skip_brackets()
        if self._take("("):
            kind, span = "", None
            while not self._take(")"):
                word = self._peek()
                if word in _DIRECTIONS:
                    kind, span = _DIRECTIONS[word], None
                    self._place += 1
                while self._peek() in _NET_WORDS:
                    self._place += 1
                span = self._range() or span
                name = self._name("a port or )")
                if name in module.ports:
                    raise self._positions.error(
                        f"two ports are called {name}", self._at(), "correct the list"
                    )
                module.ports.append(name)
                if kind:
                    module.kinds[name], module.ranges[name] = kind, span
                if self._peek() != ")":
                    self._expect(",")
        self._expect(";")
        return module

    def declaration(self, module: Module) -> None:
        """Directions, widths, and what a wire is the same as."""
        kind = _DIRECTIONS.get(self._peek(), "")
        self._place = 1
        while self._peek() in _NET_WORDS:
            self._place += 1
        self._skip_delay()
        span = self._range()
        while True:
            at = self._at()
            name = self._name()
            if span is not None or name not in module.ranges:
                module.ranges[name] = span
            if kind:
                module.kinds[name] = kind
            if self._take("="):
                module.aliases.append(([Item(name, None, None, (), at)], self.expression(), at))
            if not self._take(","):
                break
        self._expect(";")

    def assign(self, module: Module) -> None:
        """``assign a = b, {c, d} = e;``."""
        self._place = 1
        self._skip_delay()
        while True:
            at = self._at()
            left = self.expression()
            self._expect("=")
            module.aliases.append((left, self.expression(), at))
            if not self._take(","):
                break
        self._expect(";")

    def instances(self, module: Module) -> None:
        """``TYPE #(...) NAME (...), NAME (...);``."""
        kind_at = self._at()
        kind = self._name("a kind of part")
        self._skip_delay()
        while True:
            at = self._at()
            if kind in GATES and self._peek() == "(":
                name = f"{kind}:{self._positions.line_column(kind_at)[0]}"
            else:
                name = self._name("the instance's name")
            if self._peek() == "[":
                raise self._positions.error(
                    f"{name} is an array of instances, which is not read", at, "write one instance for each"
                )
            ports = list(self._ports())
            named = [bool(port) for port, _ in ports]
            if any(named) and not all(named):
                raise self._positions.error(f"{name} has ports by name and by order", at, "name all of them")
            module.instances.append(Instance(kind, name, at, not any(named), ports))
            if not self._take(","):
                break
        self._expect(";")

    def _ports(self) -> Iterator[tuple[str, list[Item]]]:
        self._expect("(")
        if self._take(")"):
            return
        while True:
            if self._take("."):
                kind, text, _ = self._tokens[self._place]
                # A number without a backslash is no Verilog, but people write it.
                port = text if kind == "number" and text.isdecimal() else ""
                self._place += bool(port)
                port = port or self._name("a port's name")
                self._expect("(")
                items = [] if self._peek() == ")" else self.expression()
                self._expect(")")
                yield port, items
            else:
                yield "", [] if self._peek() in (",", ")") else self.expression()
            if self._take(")"):
                return
            self._expect(",")


def _constant(text: str) -> list[Bit]:
    """Bits of ``4'b10x0`` or ``5``, the highest first; x and z are nothing."""
    if text.isdecimal():
        return [("", int(bit)) for bit in f"{int(text[:9]):b}"]
    width, _, rest = text.replace("_", "").replace(" ", "").partition("'")
    rest = rest.lower().lstrip("s")
    digits, bits = rest[1:], list[Bit]()
    if rest[0] == "d":
        value = f"{int(digits[:18]):b}" if digits.isdecimal() else "x"
        bits = [("", int(bit)) if bit in "01" else None for bit in value]
    else:
        each = _RADIX[rest[0]]
        for digit in digits:
            if digit in "xz?":
                bits += [None] * each
            else:
                bits += [("", int(bit)) for bit in f"{int(digit, 16):0{each}b}"[-each:]]
    if width:
        wanted = min(int(width[:6]), WIDEST)
        filler: Bit = ("", 0) if bits and bits[0] is not None else None
        bits = [filler] * (wanted - len(bits)) + bits[max(0, len(bits) - wanted) :]
    return bits
