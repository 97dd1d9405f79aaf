"""Tango and Protel netlists, and Protel 2.

The forms are described in `grammars/tango.lark`. Of a part the second line is
the footprint; the third and fourth are type and value in Lepton's files, value
and a blank in Altium's: a lone one is the marking, of two the first is taken as
the symbol. Protel 2 labels its lines, and says of a pin its name and kind.
Kinds are dropped where every pin of the file is called passive: that is a
writer which does not know them (Lepton).
"""

from __future__ import annotations

import re

from tracer.base.errors import NetlistError
from tracer.importers.collector import Collector
from tracer.importers.statements import read_statements
from tracer.importers.text import Positions
from tracer.netlist.board import Netlist, Pin, PinRef

__all__ = ["parse"]

_WANTED = {
    "PART_OPEN": "[",
    "NET_OPEN": "(",
    "PART_LINES": "the lines of a part",
    "NET_LINES": "a net's name and its pins",
    "PART_CLOSE": "]",
    "NET_CLOSE": ")",
}
#: Kinds of pins in Protel 2 -> KiCad's words. The words are Altium's and OrCAD's (from memory); Lepton writes PASSIVE.
_KINDS = {
    "INPUT": "input",
    "OUTPUT": "output",
    "IO": "bidirectional",
    "I/O": "bidirectional",
    "BIDIRECTIONAL": "bidirectional",
    "PASSIVE": "passive",
    "HIZ": "tri_state",
    "TRISTATE": "tri_state",
    "3STATE": "tri_state",
    "3-STATE": "tri_state",
    "POWER": "power_in",
    "OC": "open_collector",
    "OPENCOLLECTOR": "open_collector",
    "OE": "open_emitter",
    "OPENEMITTER": "open_emitter",
}
_LABEL = re.compile(
    r"DESIGNATOR|FOOTPRINT|PARTTYPE|DESCRIPTION|PART\s*FIELD\s*\d+|LIBRARY\s*FIELD\s*\d+", re.IGNORECASE
)


def parse(text: str, file: str, name: str) -> Netlist:
    """Read a netlist of any of the three forms.

    Raises
    ------
    NetlistError
        A bracket that does not match, a part without a reference, a net without a name, or a line that is no pin.
    """
    positions = Positions(text, file)
    reader = _Reader(positions, is_second=text.lstrip("\ufeff \t\r\n")[:18].upper() == "PROTEL NETLIST 2.0")
    opened = 0
    filled = False
    for statement in read_statements("tango", positions, _WANTED):
        at = statement.start_pos or 0
        if statement.type in ("PART_OPEN", "NET_OPEN"):
            opened, filled = at, False
        elif statement.type == "PART_LINES":
            reader.part(statement, at)
            filled = True
        elif statement.type == "NET_LINES":
            reader.net(statement, at)
            filled = True
        elif statement.type in ("PART_CLOSE", "NET_CLOSE") and not filled:
            raise reader.nameless("part" if statement.type == "PART_CLOSE" else "net", opened)
        elif statement.type == "OUTSIDE" and statement.strip(" \t\r") in ("]", ")"):
            # What stands above would be lost as a comment.
            raise positions.error(
                "this bracket closes nothing",
                at,
                "write the bracket that opens the part or net in a line of its own",
            )
    return reader.netlist(name)


class _Reader:
    """Takes up blocks: the lines between two brackets."""

    def __init__(self, positions: Positions, is_second: bool) -> None:
        self.positions = positions
        self.is_second = is_second
        self.collector = Collector(positions.file)
        self.parts: list[tuple[str, str, str, str, int]] = []
        #: Of Protel 2: what the pin lines say of a part's type, and of its pins.
        self.types: dict[str, str] = {}
        self.pins: dict[PinRef, tuple[str, str]] = {}

    def nameless(self, what: str, at: int) -> NetlistError:
        asks = "reference" if what == "part" else "name"
        return self.positions.error(
            f"this {what} has no {asks}", at, f"write its {asks} in the line below the bracket"
        )

    def part(self, block: str, at: int) -> None:
        lines = [line.strip(" \t\r") for line in block.split("\n")[:-1]]
        number = self.positions.line_column(at)[0]
        if self.is_second:
            facts = self._labelled(lines)
            reference = facts.get("DESIGNATOR", "")
            footprint, symbol, marking = facts.get("FOOTPRINT", ""), "", facts.get("PARTTYPE", "")
        else:
            reference, footprint, symbol, marking = (*lines, "", "", "")[:4]
            if symbol and not marking:
                symbol, marking = "", symbol
        if not reference or reference == "*":
            raise self.nameless("part", at)
        # "PATTERN" is what Lepton writes for a footprint that it does not know.
        self.parts.append((reference, marking, symbol, "" if footprint == "PATTERN" else footprint, number))

    def _labelled(self, lines: list[str]) -> dict[str, str]:
        facts: dict[str, str] = {}
        at = 0
        while at < len(lines):
            if _LABEL.fullmatch(lines[at]):
                facts.setdefault(lines[at].upper(), lines[at + 1] if at + 1 < len(lines) else "")
                at += 2
                continue
            if lines[at]:
                self.collector.skip(lines[at][:24])
            at += 1
        return facts

    def net(self, block: str, at: int) -> None:
        first, _, rest = block.partition("\n")
        name = first.strip(" \t\r")
        if not name:
            raise self.nameless("net", at)
        pins = self.collector.whole_net(name, self.positions.line_column(at)[0])
        offset = at + len(first) + 1
        for line in rest.split("\n"):
            word = line.strip(" \t\r")
            if word:
                pins.append(self._pin(word, offset + line.index(word)))
            offset += len(line) + 1

    def _pin(self, word: str, at: int) -> PinRef:
        more = ""
        if self.is_second:
            word, _, more = word.replace("\t", " ").partition(" ")
        # A pin may be called "-".
        cut = max(word.rfind("-", 0, -1), word.rfind(",", 0, -1))
        reference, number = word[:cut].strip(" \t"), word[cut + 1 :].strip(" \t")
        if cut <= 0 or not number or " " in number or " " in reference or "\t" in reference + number:
            raise self.positions.error(
                f"{word} is no pin", at, "write a pin in a line of its own, for example U9-2 or U9,2"
            )
        pin = PinRef(reference, number)
        if more.strip():
            self._describe(pin, more.strip())
        return pin

    def _describe(self, pin: PinRef, words: str) -> None:
        described, _, kind = words.rpartition(" ")
        kind = _KINDS.get(kind.upper().replace("_", ""), "")
        if not described:
            described, kind = words, ""
        part_type, _, pin_name = described.strip().rpartition("-")
        self.types.setdefault(pin.part, part_type)
        self.pins.setdefault(pin, ("" if pin_name == pin.pin else pin_name, kind))

    def netlist(self, name: str) -> Netlist:
        kinds_known = {kind for _, kind in self.pins.values()} - {"passive", ""}
        for pin, (pin_name, kind) in self.pins.items():
            if pin_name or kinds_known:
                self.collector.declare(pin.part, Pin(pin.pin, pin_name, kind if kinds_known else ""))
        for reference, marking, symbol, footprint, line in self.parts:
            drawn = symbol or self.types.get(reference, "")
            drawn = "" if drawn == marking else drawn
            self.collector.part(reference, line, marking, symbol=drawn, footprint=footprint)
        return self.collector.netlist(name)
