"""Telesis netlists, the third-party netlists of Allegro.

The form is described in `grammars/telesis.lark`. Of a part the value is the
marking, else the device; KiCad makes up a device out of value and footprint,
which says nothing more and is dropped. KiCad writes net names in upper case and
``?`` for letters beyond ASCII.
"""

from __future__ import annotations

import re

from tracer.base.errors import NetlistError
from tracer.importers.collector import Collector
from tracer.importers.statements import read_statements
from tracer.importers.text import Positions
from tracer.netlist.board import Netlist, PinRef

__all__ = ["parse"]

_WANTED = {
    "PACKAGES": "$PACKAGES",
    "NETS": "$NETS",
    "PACKAGE": "parts such as DIP20! 74LS273; U9",
    "NET": "a net such as RED_2; U9.2 R5.1",
    "END": "$END",
}
#: Sections that say nothing of parts and nets.
_KNOWN = frozenset({"$A_PROPERTIES", "$FUNCTIONS", "$SCHEDULE"})
#: A field up to the mark behind it; in quotes it may hold marks.
_FIELD = re.compile(r"\s*(?:'([^'\n]*)'\s*|([^!;]*))([!;])")
_NAME = re.compile(r"(?:'([^'\n]*)'\s*|([^;\n]*));")
_WORD = re.compile(r"(?:'[^'\n]*'|[^\s,])+")
_PIN = re.compile(r"(?:'([^']*)'|(.+))\.(?:'([^']*)'|([^.']*))")


def parse(text: str, file: str, name: str) -> Netlist:
    """Read a netlist.

    Raises
    ------
    NetlistError
        A line where none of its kind may stand, one without a semicolon, or a word that is no pin.
    """
    positions = Positions(text, file)
    collector = Collector(file)
    has_nets = complete = False
    for statement in read_statements("telesis", positions, _WANTED):
        at, line = statement.start_pos or 0, statement.line or 1
        if statement.type == "NET":
            _net(statement, at, line, collector, positions)
        elif statement.type == "PACKAGE":
            _package(statement, at, line, collector, positions)
        elif statement.type == "NETS":
            has_nets, complete = True, False
        elif statement.type in ("PACKAGES", "OTHER", "END"):
            # KiCad's files have another section behind the nets, and no mark.
            complete = has_nets or statement.type == "END"
            keyword = statement.split()[0].upper()
            if statement.type == "OTHER" and keyword not in _KNOWN:
                collector.skip(keyword)
    if not complete:
        collector.cut_short("$END")
    return collector.netlist(name)


def _fields(statement: str, at: int, positions: Positions, example: str) -> tuple[list[str], int]:
    """What stands before the semicolon, and where the semicolon is."""
    fields: list[str] = []
    end = 0
    while True:
        match = _FIELD.match(statement, end)
        if not match:
            raise positions.error("this line has no semicolon", at, f"write it as {example}")
        fields.append(match[1] if match[1] is not None else match[2].rstrip())
        end = match.end()
        if match[3] == ";":
            return fields, end


def _package(statement: str, at: int, line: int, collector: Collector, positions: Positions) -> None:
    fields, end = _fields(statement, at, positions, "DIP20! 74LS273; U9 U10")
    footprint, device, value = (*fields, "", "")[:3]
    if not value:
        device, value = "", device
    made_up = re.sub(r"[^a-z0-9_-]", "_", value.lower())
    symbol = "" if device == value or (not footprint and device.startswith(made_up)) else device
    for match in _WORD.finditer(statement, end):
        reference = match[0].strip("'")
        if ";" in match[0] or not reference:
            raise _two_lines(match.start(), at, positions)
        collector.part(reference, line, value, symbol=symbol, footprint=footprint)


def _net(statement: str, at: int, line: int, collector: Collector, positions: Positions) -> None:
    example = "RED_2; U9.2 R5.1, and a name with other letters than A-Z 0-9 _ / in quotes"
    match = _NAME.match(statement)
    if not match:
        raise positions.error("this line has no semicolon", at, f"write it as {example}")
    net, end = match[1] if match[1] is not None else match[2], match.end()
    net = net.strip()
    if not net:
        raise positions.error("this net has no name", at, f"write it as {example}")
    if net.startswith("UNCONNECTED-("):
        # KiCad's name for a pin that is joined to nothing, in its upper case.
        net = "unconnected" + net[len("UNCONNECTED") :]
    pins = collector.whole_net(net, line)
    for found in _WORD.finditer(statement, end):
        word = found[0]
        if ";" in word:
            raise _two_lines(found.start(), at, positions)
        reference, _, number = word.rpartition(".")
        if "'" in word:
            quoted = _PIN.fullmatch(word[1:-1] if word.count("'") == 2 and word[0] == word[-1] else word)
            reference, number = (quoted[1] or quoted[2], quoted[3] or quoted[4] or "") if quoted else ("", "")
        # A pin without a number is written "H1." by KiCad.
        if not reference:
            raise positions.error(
                f"{word} is no pin", at + found.start(), "write pins as part.leg, for example U9.2"
            )
        pins.append(PinRef(reference, number))


def _two_lines(offset: int, at: int, positions: Positions) -> NetlistError:
    return positions.error(
        "this line is carried on by a comma and by another line of its kind",
        at + offset,
        "end the line before it without a comma",
    )
