"""Amplifiers read by their drawn pins: which inputs and which output belong together.

Symbols of amplifiers name their inputs ``+`` and ``-`` (``+IN1``, ``INA-`` ...) and leave the output without a name or
call it OUT; a case of several has the three legs of each side by side, output outermost, then ``-``, then ``+``
(LM324, LM358 and the pin-outs after them; data sheets of these types, from memory). Numbers or letters in the names
go before places. Other amplifiers, and modules and hybrids of which nothing else is known, name both ends of a channel: IN1
and OUT1.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from tracer.parts.kinds import Kind
from tracer.parts.model import Arc, Direction, PartType, PinType

__all__ = ["amplifier_from_pins", "module_from_pins"]

_PLUS = re.compile(
    r"\+|V?IN_?([A-D\d]?)_?(?:\+|P)|\+_?V?IN_?([A-D\d]?)|([A-D\d])?\+_?(?:IN)?([A-D\d])?|NI([A-D\d]?)",
    re.IGNORECASE,
)
_MINUS = re.compile(
    r"-|V?IN_?([A-D\d]?)_?(?:-|N)|-_?V?IN_?([A-D\d]?)|([A-D\d])?-_?(?:IN)?([A-D\d])?|INV([A-D\d]?)",
    re.IGNORECASE,
)
_OUT = re.compile(r"V?OUT_?([A-D\d]?)|([A-D\d])?OUT|VO([A-D\d]?)|O([A-D\d]?)", re.IGNORECASE)


def amplifier_from_pins(name: str, drawn: tuple[PinType, ...]) -> PartType | None:
    """The type of an amplifier whose inputs are drawn as such, or None where they are not."""
    live = [p for p in drawn if p.direction not in ("power", "nc")]
    plus, minus = _named(live, _PLUS), _named(live, _MINUS)
    outputs = _named(live, _OUT) or {p.number: "" for p in live if not p.name and p.direction == "out"}
    if not plus or not len(plus) == len(minus) == len(outputs):
        return None
    order = [p.number for p in drawn]
    arcs = []
    roles: dict[str, tuple[Direction, str]] = {}
    for output in outputs:
        below = _belongs(output, outputs, minus, order)
        above = _belongs(below, minus, plus, order) if below else None
        if below is None or above is None:
            return None
        arcs += [Arc("data", above, output), Arc("data", below, output, inverts=True)]
        roles |= {output: ("out", "data_out"), below: ("in", "data_in"), above: ("in", "data_in")}
    if len({arc.source for arc in arcs}) != len(arcs):
        return None
    pins = tuple(
        replace(p, direction=roles[p.number][0], role=roles[p.number][1]) if p.number in roles else p
        for p in drawn
    )
    what = "operational amplifier" if len(outputs) == 1 else f"{len(outputs)} operational amplifiers"
    return PartType(name, what, Kind.AMPLIFIER, pins, tuple(arcs), "the drawing's pin names")


_CHANNEL = r"(?:(R|G|B|RED|GREEN|BLUE|\d|[A-D](?=_))_?)?(?:V|VIDEO_?)?{way}(?:PUT)?_?(\d+|[A-H])?"
_MODULE_IN = re.compile(_CHANNEL.format(way="IN"), re.IGNORECASE)
_MODULE_OUT = re.compile(_CHANNEL.format(way="OUT"), re.IGNORECASE)
#: Other live legs than inputs and outputs that a module of unknown type may have: a standby, a level.
_MOST_STRANGE = 2


def module_from_pins(
    name: str, drawn: tuple[PinType, ...], supply_pins: frozenset[str], *, is_amplifier: bool = False
) -> PartType | None:
    """A module whose legs are called IN1 OUT1, IN2 OUT2 ..., RIN ROUT ... or just IN OUT: each output is taken as its
    input, amplified.

    None where inputs and outputs do not pair, or stand among many other legs of a part that nothing else calls an
    amplifier. One whose only pair stands on a supply (`supply_pins`) is a regulator. That an output shows the input of its
    own number is assumed (common practice, no source); what inverts or adds is not known.
    """
    live = [p for p in drawn if p.direction not in ("power", "nc") and p.number not in supply_pins]
    ins = {index: number for number, index in _named(live, _MODULE_IN).items()}
    outs = {index: number for number, index in _named(live, _MODULE_OUT).items()}
    if not ins or ins.keys() != outs.keys():
        return None
    if len(live) > 2 * len(ins) + _MOST_STRANGE and not is_amplifier:
        return None
    roles: dict[str, tuple[Direction, str]] = dict.fromkeys(ins.values(), ("in", "data_in"))
    roles |= dict.fromkeys(outs.values(), ("out", "data_out"))
    pins = tuple(
        replace(p, direction=roles[p.number][0], role=roles[p.number][1]) if p.number in roles else p
        for p in drawn
    )
    arcs = tuple(Arc("data", ins[index], outs[index]) for index in ins)
    channels = "one channel, its output" if len(ins) == 1 else f"{len(ins)} channels, each output"
    return PartType(
        name,
        f"module of {channels} taken as its input",
        Kind.AMPLIFIER,
        pins,
        arcs,
        "the drawing's pin names",
    )


def _named(pins: Sequence[PinType], pattern: re.Pattern[str]) -> dict[str, str]:
    """Pin number -> the number or letter in its name that tells which amplifier it belongs to."""
    return {
        p.number: "".join(filter(None, match.groups())).upper()
        for p in pins
        if (match := pattern.fullmatch(p.name.replace("~", "").replace("/", "").strip()))
    }


def _belongs(pin: str, alike: dict[str, str], others: dict[str, str], order: list[str]) -> str | None:
    """The one of `others` with the same index, or the one beside."""
    index = alike[pin]
    same = [other for other, its in others.items() if its == index]
    if index and len(same) == 1:
        return same[0]
    if len(others) == 1:
        return next(iter(others))
    here = order.index(pin)
    return min(others, key=lambda other: abs(order.index(other) - here), default=None)
