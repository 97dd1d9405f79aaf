"""The leg table of a type: format ``rgbroots-part``, version 1, or text."""

from __future__ import annotations

import textwrap
from typing import NamedTuple, get_args

from tracer.base.json_form import Document, Key, ListOf, OrNone, Record, Text, Word
from tracer.base.text import clean
from tracer.parts.lookup import LookedUp
from tracer.parts.model import Direction, PartType, PinType

__all__ = ["PART", "part_as_json", "part_as_text"]

_DIRECTIONS = {
    "in": "input",
    "out": "output",
    "three_state": "output, three-state",
    "open_collector": "output, open collector",
    "open_emitter": "output, open emitter",
    "bidirectional": "both ways",
    "power": "supply",
    "passive": "passive",
    "nc": "not connected",
}


def _fed_by(part: PartType, pin: PinType) -> list[str]:
    """Names of the pins that an output's bit comes from: data inputs, or a memory's address pins."""
    known = part.by_number
    arcs = (*part.arcs_into(pin.number, "data"), *part.arcs_into(pin.number, "address"))
    return list(dict.fromkeys(known[arc.source].name for arc in arcs))


_PIN = Record(
    PinType,
    Key("pin", Text(), of=lambda known: known.pin.number),
    Key("name", Text(), "A leading / is active low.", of=lambda known: known.pin.name),
    Key("direction", Word(get_args(Direction)), of=lambda known: known.pin.direction),
    Key(
        "fed_by",
        ListOf(Text()),
        "Names of the pins that an output's bit comes from.",
        of=lambda known: _fed_by(known.part, known.pin),
    ),
)

PART = Document(
    "part",
    "The legs of a type of part.",
    Record(
        "Part",
        Key("marking", Text(), of=lambda found: found.marking.text),
        Key("type", OrNone(Text()), "null: not understood.", of=lambda found: found.type and found.type.name),
        Key("family", OrNone(Text()), of=lambda found: found.marking.family),
        Key("pins", ListOf(_PIN), of=lambda found: _pins(found.type)),
        Key("cite", OrNone(Text()), of=lambda found: found.type and found.type.cite),
        Key("confirmed", ListOf(Text()), of=lambda found: found.type.confirmed if found.type else ()),
        Key(
            "guesses",
            ListOf(Text()),
            "The nearest types, where the marking was not understood.",
            of=lambda found: found.guesses if found.type is None else None,
            optional=True,
        ),
    ),
    indent=2,
)


class _KnownPin(NamedTuple):
    part: PartType
    pin: PinType


def _pins(part: PartType | None) -> list[_KnownPin]:
    return [_KnownPin(part, pin) for pin in part.pins] if part else []


def part_as_json(found: LookedUp) -> str:
    """The table as JSON."""
    return PART.text(found)


def part_as_text(found: LookedUp) -> str:
    """The table for a terminal: legs as they lie, left and right side by side for a DIL package."""
    lines = [clean(found.marking.text)]
    for sentence in found.marking.understood:
        lines += textwrap.wrap(clean(sentence), 80, initial_indent="  ", subsequent_indent="    ")
    part = found.type
    if part is None:
        near = f"; nearest: {', '.join(found.guesses)}" if found.guesses else ""
        known = f"understood as {found.marking.type}, but " if found.marking.type else ""
        lines += textwrap.wrap(f"{known}the library has no entry for it{near}", 80)
        return "\n".join(lines) + "\n"
    package = f" as {part.package}" if part.package else ""
    lines += textwrap.wrap(f"{part.name}{package}: {part.what} ({part.kind.words})", 80)
    lines.append("")
    rows = [(p.number, p.name, _DIRECTIONS[p.direction], _shown_feed(part, p)) for p in part.pins]
    widths = [max(len(row[i]) for row in (("leg", "name", "direction"), *rows)) for i in range(3)]
    for row in (("leg", "name", "direction", "comes from"), *rows):
        head = "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=False))
        lines += textwrap.wrap(
            row[3],
            80,
            initial_indent=f"  {head}  ",
            subsequent_indent=" " * (sum(widths) + 8),
            drop_whitespace=False,
        ) or [f"  {head}".rstrip()]
    lines += ["", *textwrap.wrap(f"source: {part.cite}", 80)]
    confirmed = "; ".join(part.confirmed) or "no second source: check a leg before you trust it"
    lines += textwrap.wrap(f"confirmed by: {confirmed}" if part.confirmed else confirmed, 80)
    if part.other_packages:
        names = ", ".join(other.package for other in part.other_packages)
        lines += textwrap.wrap(
            f"other numbers as {names}: rgbroots part '{part.name} {part.other_packages[0].package}'", 80
        )
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _shown_feed(part: PartType, pin: PinType) -> str:
    names = _fed_by(part, pin)
    controls = list(
        dict.fromkeys(part.by_number[a.source].name for a in part.arcs_into(pin.number, "control"))
    )
    return " ".join(names) + (f" ({' '.join(controls)})" if names and controls else "")
