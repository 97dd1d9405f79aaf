"""Memories with two sides, read by their drawn names: dual-port RAMs (A0L A0R ...) and first-in first-out memories.

What the sides are called is common practice of the makers' data sheets (IDT, Cypress), from memory.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace

from tracer.base.names import bare_name
from tracer.parts.kinds import Kind
from tracer.parts.model import Arc, Direction, PartType, PinType

__all__ = ["queue_from_names", "two_ports"]

#: How a name tells its side: behind it or in front of it.
_SIDES = (
    re.compile(r"(?P<name>.+?)_?(?P<side>[LR])"),
    re.compile(r"(?P<side>[LR])_?(?P<name>.+)"),
    re.compile(r"(?P<name>.+?)_?(?P<side>[AB])"),
)
#: Legs of a port that neither store nor show a bit.
_FLAGS = re.compile(r"BUSY|SEM|INT|M/S|HF|SEMA?")
_QUEUE_DATA = re.compile(r"(?:D|DI|DIN|I)_?(\d{1,2})")
_QUEUE_SHOWN = re.compile(r"(?:Q|DO|DOUT|O)_?(\d{1,2})")
_WRITES = re.compile(r"W|WR|WCLK|WEN\d?|SI|WRITE|WRCLK")
_READS = re.compile(r"R|RD|RCLK|REN\d?|SO|READ|RDCLK")
_STATES = re.compile(r"FF|EF|IR|OR|HF|DIR|DOR|FF/IR|EF/OR|XO/HF|PAE|PAF|AEF")
#: Narrower than any first-in first-out memory that is made.
_FEWEST_BITS = 3


def two_ports(
    drawn: tuple[PinType, ...], read: Callable[[tuple[PinType, ...]], PartType | None]
) -> PartType | None:
    """A memory with two ports of the same legs, or None; `read` makes a memory of the legs of one port."""
    for pattern in _SIDES:
        ports: dict[str, list[PinType]] = {}
        for pin in drawn:
            match = pattern.fullmatch(_plain(pin.name))
            if match and pin.direction not in ("power", "nc") and not _FLAGS.fullmatch(match["name"]):
                ports.setdefault(match["side"], []).append(replace(pin, name=match["name"]))
        made = [read(tuple(legs)) for legs in ports.values()]
        first, second = made if len(made) == 2 else (None, None)
        if first and second and _n_shown(first) == _n_shown(second):
            roles = {p.number: p for p in (*first.pins, *second.pins)}
            pins = tuple(
                replace(p, direction=roles[p.number].direction, role=roles[p.number].role)
                if p.number in roles
                else p
                for p in drawn
            )
            return replace(
                first,
                what="read as a dual-port ram by its pin names",
                pins=pins,
                arcs=(*first.arcs, *second.arcs),
            )
    return None


def _plain(name: str) -> str:
    """Without marks of an active level; an ``_L`` stays, which here is the left port."""
    return re.sub(r"[~{}]|^/", "", name.strip()).upper()


def _n_shown(memory: PartType) -> int:
    return len({arc.target for arc in memory.arcs if arc.kind == "address"})


def queue_from_names(name: str, what: str, drawn: tuple[PinType, ...]) -> PartType | None:
    """A first-in first-out memory: as many inputs as outputs, a leg that writes, one that reads, and a flag."""
    live = [p for p in drawn if p.direction not in ("power", "nc")]
    ins, outs = _numbered(live, _QUEUE_DATA), _numbered(live, _QUEUE_SHOWN)
    others = [bare_name(p.name) for p in live]
    told = all(any(pattern.fullmatch(other) for other in others) for pattern in (_WRITES, _READS, _STATES))
    if not told or len(ins) < _FEWEST_BITS or ins.keys() != outs.keys():
        return None
    roles: dict[str, tuple[Direction, str]] = dict.fromkeys(ins.values(), ("in", "data_in"))
    roles |= dict.fromkeys(outs.values(), ("three_state", "data_out"))
    clocks = [
        p.number for p in live if _WRITES.fullmatch(bare_name(p.name)) or _READS.fullmatch(bare_name(p.name))
    ]
    roles |= dict.fromkeys(clocks, ("in", "clock"))
    pins = tuple(
        replace(p, direction=roles[p.number][0], role=roles[p.number][1]) if p.number in roles else p
        for p in drawn
    )
    arcs = tuple(Arc("control", clock, out, role="clock") for out in outs.values() for clock in clocks)
    what = what or "read as a first-in first-out memory by its pin names"
    return PartType(name, what, Kind.RAM, pins, arcs, "the drawing's pin names")


def _numbered(pins: Sequence[PinType], pattern: re.Pattern[str]) -> dict[int, str]:
    return {int(match[1]): p.number for p in pins if (match := pattern.fullmatch(bare_name(p.name)))}
