"""SPICE decks -> netlist.

SPICE tells the order of an element's nodes, not the legs they are on. Two
terminals of a resistor, capacitor or inductor are pins 1 and 2; diodes and
transistors have their terminals' letters (A, K, C, B, E, D, G, S) for numbers.
The nodes of a subcircuit are legs only where a table says which
(`spice_pins`); else they are kept as ``n1``, ``n2`` .. and it is said. Numbers in a
``.subckt`` card are not taken for legs: vendors' models number their nodes as
they like.

A subcircuit that the deck describes by parts alone is a sheet and is gone
into: its parts are called ``X1/R5``, its nodes ``X1/OUT``; one that is
described by sources and equations is the model of a part. Node 0 is called GND
and joined with nodes of that name (ngspice does the same; from memory).
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from tracer.base.errors import NetlistError
from tracer.base.findings import Finding, note, warning
from tracer.importers.collector import Collector
from tracer.importers.pin_order import by_order, order_finding
from tracer.importers.spice.cards import Deck, Scope, read_deck
from tracer.importers.spice.elements import Element
from tracer.importers.text import Positions
from tracer.netlist.board import Netlist, Pin, PinRef

__all__ = ["parse"]

#: Sheets in sheets, and parts in all: a few lines of text can stand for more than any board has.
DEEPEST_SHEET = 60
MOST_PARTS = 100_000

#: A reference behind the letter that SPICE asked for.
_FORCED = re.compile(r"X(?P<x>[A-Z]+_?\d+[A-Z]?)|M(?P<m>Q\d+[A-Z]?)", re.IGNORECASE)
_FIX = "give a table with --spice-pins (NAME,leg,leg ... in the order of the nodes)"


def parse(
    text: str, file: str, name: str, *, spice_pins: Mapping[str, Sequence[str]] | None = None
) -> Netlist:
    """Read the text of a deck; `spice_pins` maps subcircuits or references to their legs, in any case of letters.

    Raises
    ------
    NetlistError
        A subcircuit is not whole, holds itself or has other nodes than are given; an element lacks nodes.
    """
    positions = Positions(text, file)
    tables = {key.lower(): tuple(legs) for key, legs in (spice_pins or {}).items()}
    return _Board(read_deck(positions), positions, tables).read(name)


@dataclass
class _Board:
    deck: Deck
    positions: Positions
    tables: Mapping[str, tuple[str, ...]]
    nets: dict[str, list[PinRef]] = field(default_factory=dict)
    #: Node in lower case -> its spellings, and the line of the first.
    spellings: dict[str, dict[str, int]] = field(default_factory=dict)
    ordered: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    opened: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    without_pins: list[str] = field(default_factory=list)
    open_scopes: list[Scope] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    count: int = 0

    def __post_init__(self) -> None:
        self.collector = Collector(self.positions.file)
        #: What tells a node from a kind at the end of an odd card: it stands where only nodes can.
        self.sure_nodes = {node.lower() for element in self.deck.top.elements for node in element.nodes} | {
            "0",
            "gnd",
        }

    def read(self, name: str) -> Netlist:
        """The netlist of the board."""
        self._sheet(self.deck.top, "", {}, [self.deck.top.inside])
        for node, pins in self.nets.items():
            spelled = self.spellings[node]
            first = next(iter(spelled))
            shown = "GND" if node == "0" else first
            self.collector.net(shown, spelled[first]).extend(pins)
        self._say()
        self.collector.findings += self.findings
        return self.collector.netlist(name)

    def _sheet(
        self, scope: Scope, path: str, ports: Mapping[str, str], known: list[dict[str, Scope]]
    ) -> None:
        """Place all that a subcircuit holds; `ports` are the nodes outside, `known` the subcircuits."""
        if scope in self.open_scopes:
            raise self._error(
                f"the subcircuit {scope.name} holds itself, by itself or through another",
                scope,
                f"take out the X line that places {scope.name} inside it",
            )
        if len(self.open_scopes) > DEEPEST_SHEET:
            raise self._error(
                f"{scope.name} lies more than {DEEPEST_SHEET} subcircuits deep, which no board needs",
                scope,
                "give the deck of one board, without what was written for a chip's inside",
            )
        self.open_scopes.append(scope)
        taken = {element.name.lower() for element in scope.elements}
        for element in scope.elements:
            self.count += 1
            if self.count > MOST_PARTS:
                raise self._error(
                    f"the subcircuits, put into one another, hold more than {MOST_PARTS:,} parts",
                    scope,
                    "give the deck of one board; a subcircuit that places many copies of another multiplies",
                )
            own = _own_name(element, taken)
            nodes = [self._node(node, path, ports, element.line) for node in element.nodes]
            inner = next(
                (s[element.kind.lower()] for s in reversed(known) if element.kind.lower() in s), None
            )
            if element.letter == "X" and inner is not None and len(inner.ports) != len(nodes):
                raise self.positions.error(
                    f"{element.name} has {len(nodes)} node(s), its subcircuit {inner.name} wants {len(inner.ports)}",
                    element.at,
                    f"write a node for each of: {' '.join(inner.ports[:20]) or '(none)'}",
                )
            if element.letter != "X":
                inner = None
            if inner is not None and inner.is_drawn and not self._legs(element, own):
                self.opened[inner.name] += 1
                outside = dict(zip((port.lower() for port in inner.ports), nodes, strict=True))
                self._sheet(inner, f"{path}{own}/", outside, [*known, inner.inside])
            else:
                self._part(element, path + own, own, nodes, inner)
        self.open_scopes.pop()

    def _error(self, what: str, scope: Scope, fix: str) -> NetlistError:
        return self.positions.error(what, scope.at, fix)

    def _node(self, node: str, path: str, ports: Mapping[str, str], line: int) -> str:
        """The node as the whole board knows it, in lower case."""
        key = node.lower()
        if key in ("0", "gnd"):
            key = "0"
        elif key in ports:
            return ports[key]
        elif path and key not in self.deck.globals:
            node = path + node
            key = node.lower()
        self.spellings.setdefault(key, {}).setdefault(node, line)
        return key

    def _legs(self, element: Element, reference: str) -> tuple[str, ...]:
        for key in (element.kind, element.name, reference):
            if key and key.lower() in self.tables:
                return self.tables[key.lower()]
        return ()

    def _part(
        self, element: Element, reference: str, own: str, nodes: list[str], inner: Scope | None
    ) -> None:
        kind = element.kind
        if not element.terminals and element.letter != "X" and kind and self._is_node(kind):
            # Lepton's spice-noqsi writes nothing at all for a part without a value.
            nodes, kind = [*nodes, self._node(kind, "", {}, element.line)], ""
        marking = "" if _is_own_model(element) else kind
        self.collector.part(reference, element.line, marking, symbol=self.deck.models.get(kind.lower(), ""))
        if not nodes:
            self.without_pins.append(reference)
        legs = self._legs(element, own)
        if legs and len(legs) != len(nodes):
            self.findings.append(
                warning(
                    "pin-order-only",
                    f"{reference} has {len(nodes)} node(s), the table tells {len(legs)} legs for it; it was not used",
                    reference,
                )
            )
            legs = ()
        names = inner.ports if inner is not None else [""] * len(nodes)
        for place, node in enumerate(nodes):
            if element.terminals:
                number = element.terminals[place]
                pin = Pin(number, "" if number.isdecimal() else number)
            elif legs:
                pin = Pin(legs[place], "" if names[place].isdecimal() else names[place])
            else:
                pin = Pin(by_order(place + 1), "" if names[place].isdecimal() else names[place])
            self.collector.declare(reference, pin)
            self.nets.setdefault(node, []).append(PinRef(reference, pin.number))
        if nodes and not element.terminals and not legs:
            self.ordered[kind].append(reference)

    def _is_node(self, word: str) -> bool:
        return word.lower() in self.sure_nodes or word.lower().startswith("unconnected")

    def _say(self) -> None:
        for what, times in self.deck.skipped.items():
            for _ in range(times):
                self.collector.skip(what)
        if self.ordered:
            self.findings.append(order_finding(self.ordered, _FIX))
        if self.without_pins:
            shown = ", ".join(self.without_pins[:8]) + (" ..." if len(self.without_pins) > 8 else "")
            self.findings.append(
                warning(
                    "no-pins-told",
                    f"the deck tells no pins of {len(self.without_pins)} part(s): {shown}; KiCad leaves them out for "
                    "parts without a SPICE model: export its own netlist instead",
                    *self.without_pins[:8],
                )
            )
        folded = [list(s) for key, s in self.spellings.items() if len(s) > 1 and key != "0"]
        if folded:
            shown = "; ".join(" = ".join(spelled) for spelled in folded[:6])
            text = f"SPICE does not tell upper from lower case; {len(folded)} node(s) are spelled in several ways: {shown}"
            self.findings.append(warning("case-joined", text, *[spelled[0] for spelled in folded[:8]]))
        if self.opened:
            shown = ", ".join(f"{name} x {times}" for name, times in self.opened.items())
            text = f"subcircuits were taken as sheets: {shown}; if one is a part, {_FIX}"
            self.findings.append(note("opened-subcircuit", text, *list(self.opened)[:8]))
        for name in self.deck.twice:
            text = f"the subcircuit {name} is described twice; the first one counts"
            self.findings.append(warning("duplicate-part", text, name))
        if re.match(r"[A-Za-z]\w*\s+\S+\s+\S+\s+[-+.\d]*\d\S*$", self.deck.title):
            text = (
                "the first line of a deck is its title, though this one looks like a part: "
                + self.deck.title[:60]
            )
            self.findings.append(warning("title-line", text, f"{self.positions.file}:1"))


def _is_own_model(element: Element) -> bool:
    """Whether KiCad wrote the model for this part alone: ``MQ2 ... __Q2``."""
    kind = element.kind.lower()
    return len(kind) > 2 and kind.startswith("__") and element.name.lower().endswith(kind[2:])


def _own_name(element: Element, taken: set[str]) -> str:
    """The part's reference without the letter that SPICE asked for, as far as that can be told."""
    if _is_own_model(element):
        return element.kind[2:]
    forced = _FORCED.fullmatch(element.name)
    own = (forced["x"] or forced["m"]) if forced else element.name
    return own if own.lower() not in taken else element.name
