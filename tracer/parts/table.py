"""The leg table of a type: format ``rgbroots-part``, version 1, or text."""

from __future__ import annotations

import json
import textwrap

from tracer.base.text import clean
from tracer.parts.lookup import LookedUp
from tracer.parts.model import PartType, PinType

__all__ = ["part_as_json", "part_as_text"]

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


def part_as_json(found: LookedUp) -> str:
    """The table as JSON; `guesses` stands there when the marking was not understood."""
    part = found.type
    value: dict[str, object] = {
        "format": "rgbroots-part",
        "version": 1,
        "marking": found.marking.text,
        "type": part.name if part else None,
        "family": found.marking.family,
        "pins": [
            {"pin": p.number, "name": p.name, "direction": p.direction, "fed_by": _fed_by(part, p)}
            for p in part.pins
        ]
        if part
        else [],
        "cite": part.cite if part else None,
        "confirmed": list(part.confirmed) if part else [],
    }
    if part is None:
        value["guesses"] = list(found.guesses)
    return json.dumps(value, indent=2, ensure_ascii=False) + "\n"


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
    lines += textwrap.wrap(f"{part.name}: {part.what} ({part.kind.words})", 80)
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
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _shown_feed(part: PartType, pin: PinType) -> str:
    names = _fed_by(part, pin)
    controls = list(
        dict.fromkeys(part.by_number[a.source].name for a in part.arcs_into(pin.number, "control"))
    )
    return " ".join(names) + (f" ({' '.join(controls)})" if names and controls else "")
