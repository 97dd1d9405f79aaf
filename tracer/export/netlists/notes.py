"""A netlist as bench notes, so that it can be carried on by hand. The language: `grammars/bench_notes.lark`."""

from __future__ import annotations

import re

from tracer.base.names import natural_key
from tracer.export.netlists.netlists import losses
from tracer.netlist.board import Net, Netlist, Part, Pin
from tracer.netlist.net_names import name_of_alone, name_of_joined
from tracer.netlist.note_words import evidence_line, leg_word, pin_word, quoted, reference_word
from tracer.netlist.notes import Told, ToldNet

__all__ = ["lost", "write"]

#: Pins on one line; a net of more goes on under its name.
PINS_A_LINE = 6

_PLAIN_NET = re.compile(r"[^\s\":=\[\]#,;|.]+")
_PLAIN_NAME = re.compile(r"[^\s\"\[\]()#,]+")
#: Words of where a part sits, which are no marking.
_SOCKET = re.compile(r"in\s+(?:a|its)\s+socket|in\s+sockets?|socketed|soldered(?:\s+in)?", re.IGNORECASE)
_DIRECTION = re.compile(r"[a-z_]+")


def lost(netlist: Netlist) -> list[str]:
    """What the form cannot hold."""
    shared = sum(len(nets) > 1 for nets in netlist.nets_of_pins.values())
    joined = [f"{shared} pins that stand on several nets, which are one net in notes"] if shared else []
    odd = sum(bool(_odd_kind(pin)) for part in netlist.parts for pin in part.pins)
    directions = [f"{odd} pin directions as they are"] if odd else []
    return [*losses(netlist, "libraries", "footprints"), *joined, *directions]


def write(netlist: Netlist) -> str:
    """The netlist as text; reading it gives the same parts and nets."""
    lines = [f"board {netlist.name}", ""]
    lines += [line for part in netlist.parts for line in _part_lines(part)]
    lines.append("")
    lines += [
        f"{reference_word(part)} is {'in a socket' if told else 'soldered'}"
        for part, told in netlist.notes.sockets
    ]
    lines += [f"{colour} is {_told(where)}" for colour, where in netlist.notes.colour_pins]
    lines += [f"load {netlist.notes.load}"] if netlist.notes.load else []
    for net in netlist.nets:
        lines += _net_lines(net)
    lines += [f"{pin_word(a)} != {pin_word(b)}" for a, b in netlist.notes.apart]
    lines.append("")
    lines += [line for part in netlist.parts for line in _leg_names(part)]
    for evidence in netlist.notes.evidence:
        lines.append(evidence_line(evidence))
    text = re.sub(r"\n{3,}", "\n\n", "\n".join(lines))
    return text.strip() + "\n"


def _told(where: Told) -> str:
    if isinstance(where, ToldNet):
        return f"net:{where.name if _PLAIN_NET.fullmatch(where.name) else quoted(where.name)}"
    return pin_word(where)


def _part_lines(part: Part) -> list[str]:
    lines = []
    # A symbol that only repeats the marking, or the letter of the reference, says nothing new.
    telling = (
        part.symbol not in ("", part.marking, part.reference.rstrip("0123456789")) and " " not in part.symbol
    )
    symbol = f" drawn as {part.symbol}" if telling else ""
    place = f" at {part.place}" if part.place and " " not in part.place else ""
    marking = part.marking
    if (
        marking == "?"
        or _SOCKET.fullmatch(marking)
        or re.search(r'\bat\b|\bdrawn\b|\bnot\b|#|^["\',]|^\s|\s$', marking, re.IGNORECASE)
    ):
        marking = quoted(marking)
    # A part of which nothing is known but that it is there still stands in the notes.
    words = f"{marking or '?'}{symbol}{place}"
    lines.append(f"{reference_word(part.reference)} is {words}")
    if not part.fitted:
        lines.append(f"{reference_word(part.reference)} is not fitted")
    return lines


def _net_lines(net: Net) -> list[str]:
    pins = [pin_word(p) for p in net.pins]
    if not pins:
        return []
    if net.name == name_of_alone(net.pins[0]) and len(pins) == 1:
        return [f"{pins[0]} alone"]
    if net.name == name_of_joined(net.pins[0]) and 1 < len(pins) <= PINS_A_LINE:
        return [" = ".join(pins)]
    name = net.name if _PLAIN_NET.fullmatch(net.name) else quoted(net.name)
    return [f"{name}: {' = '.join(pins[i : i + PINS_A_LINE])}" for i in range(0, len(pins), PINS_A_LINE)]


def _odd_kind(pin: Pin) -> bool:
    """Whether the direction is no word of the notes' language."""
    return bool(pin.kind) and not _DIRECTION.fullmatch(pin.kind)


def _leg_names(part: Part) -> list[str]:
    """Names and directions of legs, those of one direction on one line."""
    by_kind: dict[str, list[Pin]] = {}
    for pin in sorted(part.pins, key=lambda p: natural_key(p.number)):
        kind = "" if _odd_kind(pin) else pin.kind
        if pin.name or kind:
            by_kind.setdefault(kind, []).append(pin)
    lines = []
    for kind, pins in by_kind.items():
        legs = " ".join(leg_word(p.number) for p in pins)
        names = " ".join(p.name if _PLAIN_NAME.fullmatch(p.name) else quoted(p.name) for p in pins)
        lines.append(
            f"{reference_word(part.reference)}.[{legs}] called [{names}]" + (f" ({kind})" if kind else "")
        )
    return lines
