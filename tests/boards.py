"""Small boards out of a few lines of text, for tests.

A line that starts with ``part`` names a part: reference, marking, then words
``symbol=Conn_01x03``, ``place=7E``, ``dnp``, and pins as ``1=RED`` or
``1=RED:input`` (name and drawn type). Every other line is a net: pins such as
``U9.11``, with a name in front where it has one (``VCC: U9.20 R1.1``). ``U9.[2 5 6]``
stands for three pins; two such lists in one line make nets leg by leg.
"""

from __future__ import annotations

import re
from pathlib import Path

from tracer.netlist.board import Netlist, Part, Pin, PinRef, make_netlist

#: The demo boards.
NETLISTS = Path(__file__).parents[1] / "netlists"
_LIST = re.compile(r"(\w+)\.\[([^\]]*)\]")


def board(text: str, name: str = "board") -> Netlist:
    """The board that a text describes."""
    parts: list[Part] = []
    nets: list[tuple[str, list[PinRef], None]] = []
    for raw in text.strip().splitlines():
        line = raw.split("#")[0].strip()
        if line.startswith("part "):
            parts.append(_part(line.split()[1:]))
        elif line:
            nets += [(n, pins, None) for n, pins in _nets(line)]
    return make_netlist(name, parts, nets)


def _part(words: list[str]) -> Part:
    reference, marking = words[0], list[str]()
    facts: dict[str, str] = {}
    pins: list[Pin] = []
    for word in words[1:]:
        key, equals, value = word.partition("=")
        if not equals:
            marking.append(word)
        elif key in ("symbol", "place", "footprint"):
            facts[key] = value
        else:
            pin_name, _, kind = value.partition(":")
            pins.append(Pin(key, pin_name, kind))
    fitted = "dnp" not in marking
    return Part(
        reference,
        " ".join(m for m in marking if m != "dnp"),
        symbol=facts.get("symbol", ""),
        footprint=facts.get("footprint", ""),
        place=facts.get("place", ""),
        pins=tuple(pins),
        fitted=fitted,
    )


def _nets(line: str) -> list[tuple[str, list[PinRef]]]:
    name, colon, rest = line.partition(": ")
    name = name if colon else ""
    lists = _LIST.findall(rest if colon else line)
    if lists:
        columns = [[f"{ref}.{pin}" for pin in pins.split()] for ref, pins in lists]
        assert len({len(c) for c in columns}) == 1, line
        return [
            _net(f"{name}{i}" if name else "", list(row)) for i, row in enumerate(zip(*columns, strict=True))
        ]
    return [_net(name, (rest if colon else line).split())]


def _net(name: str, words: list[str]) -> tuple[str, list[PinRef]]:
    pins = [PinRef(*word.rsplit(".", 1)) for word in words]
    return name or f"Net-({pins[0].part}-Pad{pins[0].pin})", pins
