"""RINF netlists of CadStar.

The form is described in `grammars/rinf.lark`. Texts stand in quotes, and a pin
is two words; KiCad's style sheet leaves out the quotes and writes a pin as
``U9.2``. Altium names a library part in ``.ADD_COM`` and gives the value in
``.ATT_COM``, under the name Value or Comment: that is then the marking.
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
    "PART": ".ADD_COM and a part",
    "NET_PIN": ".ADD_TER, a pin and its net",
    "PINS": ".TER and a pin",
    "MORE_PINS": "a pin",
    "END": ".END",
}
#: Keywords that say nothing of parts and nets.
_HEADER = frozenset({".HEA", ".TIM", ".APP", ".TYP"})
#: Keywords that the grammar takes as others where they stand without words, or away from their net.
_MISPLACED = frozenset({".ADD_COM", ".ADD_TER", ".TER"})
#: A quote inside a text is one that no blank follows.
_TEXT = re.compile(r'"((?:[^"\n]|"(?![ \t]|$))*)"')
#: Facts that hold the value, the best first.
_VALUES = ("VALUE", "COMMENT")


def parse(text: str, file: str, name: str) -> Netlist:
    """Read a netlist.

    Raises
    ------
    NetlistError
        A line where none of its kind may stand, or one that lacks a reference, a pin or a net.
    """
    positions = Positions(text, file)
    collector = Collector(file)
    parts: list[tuple[str, str, str, int]] = []
    facts: dict[str, dict[str, str]] = {}
    pins: list[PinRef] = []
    ended = False
    for statement in read_statements("rinf", positions, _WANTED):
        at, line = statement.start_pos or 0, statement.line or 1
        if statement.type == "MORE_PINS":
            pins.append(_pin(statement.split(), at, positions))
        elif statement.type == "PINS":
            pins.append(_pin(statement.split()[1:], at, positions))
        elif statement.type == "NET_PIN":
            pin, net = _net_pin(statement, at, positions)
            pins = collector.whole_net(net, line)
            pins.append(pin)
        elif statement.type == "PART":
            parts.append((*_part(statement, at, positions), line))
        elif statement.type == "FACT":
            words = statement.split(None, 2)
            texts = _TEXT.findall(words[2]) if len(words) == 3 else []
            if len(texts) > 1:
                facts.setdefault(words[1], {}).setdefault(texts[0].upper(), texts[1])
        elif statement.type == "OTHER":
            keyword = statement.split()[0].upper()
            if keyword in _MISPLACED:
                raise positions.error(
                    f"this {keyword} belongs to no net"
                    if keyword == ".TER"
                    else f"this {keyword} has no words",
                    at,
                    "write .ADD_COM with a part, .ADD_TER with a pin and its net, and .TER with more pins of that net",
                )
            if keyword not in _HEADER:
                collector.skip(keyword)
        elif statement.type == "END":
            ended = True
    if not ended:
        collector.cut_short(".END")
    for reference, value, footprint, line in parts:
        known = facts.get(reference, {})
        better = next((known[fact] for fact in _VALUES if known.get(fact, "").strip()), "")
        symbol = value if better and better != value else ""
        collector.part(reference, line, better or value, symbol=symbol, footprint=footprint)
    return collector.netlist(name)


def _error(what: str, at: int, positions: Positions, example: str) -> NetlistError:
    return positions.error(what, at, f"write it as {example}")


def _pin(words: list[str], at: int, positions: Positions) -> PinRef:
    """A pin in one word or two."""
    reference, number = "", ""
    if len(words) == 2:
        reference, number = words
    elif len(words) == 1:
        reference, _, number = words[0].rpartition(".")
    if not (reference and number):
        shown = " ".join(words) or "this line"
        raise _error(f"{shown} names no pin", at, positions, "U9 2 or U9.2, one pin a line")
    return PinRef(reference, number)


def _net_pin(statement: str, at: int, positions: Positions) -> tuple[PinRef, str]:
    text = statement[len(".ADD_TER") :]
    example = '.ADD_TER U9 2 "RED_2"'
    quote = text.find('"')
    if quote >= 0:
        words, net = text[:quote].split(), text[quote + 1 :].rstrip(" \t\r").removesuffix('"')
    else:
        words = text.split(None, 1)
        if "." not in (words or [""])[0].strip("."):
            words = text.split(None, 2)
        words, net = words[:-1], (words or [""])[-1]
    net = net.strip(" \t\r")
    if not words or not net or (len(words) == 1 and "." not in words[0]):
        raise _error("this line lacks a pin or a net", at, positions, example)
    return _pin(words, at, positions), net


def _part(statement: str, at: int, positions: Positions) -> tuple[str, str, str]:
    words = statement.split(None, 2)
    if len(words) < 2:
        raise _error("this line names no part", at, positions, '.ADD_COM U9 "74LS273" "DIP20"')
    rest = words[2].rstrip(" \t\r") if len(words) == 3 else ""
    if rest.startswith('"'):
        value, footprint = (*_TEXT.findall(rest), "", "")[:2]
        return words[1], value, footprint
    # Without quotes two blanks stand before the footprint, and a value may have blanks of its own.
    value, blanks, footprint = rest.rpartition("  ")
    return (words[1], value.strip(), footprint) if blanks else (words[1], rest, "")
