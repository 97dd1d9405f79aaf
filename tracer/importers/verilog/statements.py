"""One statement of structural Verilog -> what a module holds."""

from __future__ import annotations

from collections.abc import Iterator

from tracer.importers.text import Positions
from tracer.importers.verilog.modules import GATES, Bit, Instance, Item, Module
from tracer.importers.verilog.tokens import WIDEST, Tokens

__all__ = ["StatementReader"]

#: Concatenations in one another.
DEEPEST = 100
#: Bits that constants and copies of a whole text stand for.
MOST_BITS = 2_000_000

_DIRECTIONS = {"input": "input", "output": "output", "inout": "bidirectional"}
_NET_WORDS = frozenset(
    [
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
    ]
)
_RADIX = {"b": 1, "o": 3, "h": 4}


class StatementReader:
    """Takes one statement apart."""

    def __init__(self, positions: Positions, text: str, at: int, module: Module | None = None) -> None:
        self._positions, self._module, self._depth = positions, module, 0
        self._tokens = Tokens(positions, text, at)

    def expression(self) -> list[Item]:
        """Names, parts of vectors, constants and concatenations of them."""
        kind, text, at = self._tokens.next()
        if kind == "number":
            return self._number_or_copies(text, at)
        if self._tokens.take("{"):
            return self._concatenation(at)
        name = self._tokens.name("a wire")
        if not self._tokens.take("["):
            return [Item(name, None, None, (), at)]
        first = self._tokens.integer()
        last = self._tokens.integer() if self._tokens.take(":") else first
        self._tokens.expect("]")
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
        while self._tokens.take(","):
            items += self.expression()
        self._tokens.expect("}")
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
        self._tokens.pass_over()
        if self._tokens.peek() == "{" and text.isdecimal():
            self._tokens.pass_over()
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
        self._tokens.pass_over()
        at = self._tokens.at()
        module = Module(self._tokens.name("the module's name"), at)
        if module.name == "not" and self._tokens.peek() == "found":
            raise self._positions.error(
                "Lepton did not know the module's name and wrote \\not found",
                at,
                "write a name in its place, or give the schematic a symbol with the attribute module_name",
            )
        if self._tokens.take("#"):
            self._tokens.skip_brackets()
        if self._tokens.take("("):
            kind, span = "", None
            while not self._tokens.take(")"):
                word = self._tokens.peek()
                if word in _DIRECTIONS:
                    kind, span = _DIRECTIONS[word], None
                    self._tokens.pass_over()
                while self._tokens.peek() in _NET_WORDS:
                    self._tokens.pass_over()
                span = self._tokens.range() or span
                name = self._tokens.name("a port or )")
                if name in module.ports:
                    raise self._positions.error(
                        f"two ports are called {name}", self._tokens.at(), "correct the list"
                    )
                module.ports.append(name)
                if kind:
                    module.kinds[name], module.ranges[name] = kind, span
                if self._tokens.peek() != ")":
                    self._tokens.expect(",")
        self._tokens.expect(";")
        return module

    def declaration(self, module: Module) -> None:
        """Directions, widths, and what a wire is the same as."""
        kind = _DIRECTIONS.get(self._tokens.peek(), "")
        self._tokens.pass_over()
        while self._tokens.peek() in _NET_WORDS:
            self._tokens.pass_over()
        self._tokens.skip_delay()
        span = self._tokens.range()
        while True:
            at = self._tokens.at()
            name = self._tokens.name()
            if span is not None or name not in module.ranges:
                module.ranges[name] = span
            if kind:
                module.kinds[name] = kind
            if self._tokens.take("="):
                module.aliases.append(([Item(name, None, None, (), at)], self.expression(), at))
            if not self._tokens.take(","):
                break
        self._tokens.expect(";")

    def assign(self, module: Module) -> None:
        """``assign a = b, {c, d} = e;``."""
        self._tokens.pass_over()
        self._tokens.skip_delay()
        while True:
            at = self._tokens.at()
            left = self.expression()
            self._tokens.expect("=")
            module.aliases.append((left, self.expression(), at))
            if not self._tokens.take(","):
                break
        self._tokens.expect(";")

    def instances(self, module: Module) -> None:
        """``TYPE #(...) NAME (...), NAME (...);``."""
        kind_at = self._tokens.at()
        kind = self._tokens.name("a kind of part")
        self._tokens.skip_delay()
        while True:
            at = self._tokens.at()
            if kind in GATES and self._tokens.peek() == "(":
                name = f"{kind}:{self._positions.line_column(kind_at)[0]}"
            else:
                name = self._tokens.name("the instance's name")
            if self._tokens.peek() == "[":
                raise self._positions.error(
                    f"{name} is an array of instances, which is not read", at, "write one instance for each"
                )
            ports = list(self._ports())
            named = [bool(port) for port, _ in ports]
            if any(named) and not all(named):
                raise self._positions.error(f"{name} has ports by name and by order", at, "name all of them")
            module.instances.append(Instance(kind, name, at, not any(named), ports))
            if not self._tokens.take(","):
                break
        self._tokens.expect(";")

    def _ports(self) -> Iterator[tuple[str, list[Item]]]:
        self._tokens.expect("(")
        if self._tokens.take(")"):
            return
        while True:
            if self._tokens.take("."):
                kind, text, _ = self._tokens.next()
                # A number without a backslash is no Verilog, but people write it.
                port = text if kind == "number" and text.isdecimal() else ""
                if port:
                    self._tokens.pass_over()
                port = port or self._tokens.name("a port's name")
                self._tokens.expect("(")
                items = [] if self._tokens.peek() == ")" else self.expression()
                self._tokens.expect(")")
                yield port, items
            else:
                yield "", [] if self._tokens.peek() in (",", ")") else self.expression()
            if self._tokens.take(")"):
                return
            self._tokens.expect(",")


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
