"""Finds what a reader could not make out: texts and symbols on top of each other, wires through them.

Widths of texts are estimates of KiCad's stroke font, so a small slack is left.
"""

from __future__ import annotations

from dataclasses import dataclass

from tests.drawing.cell import Cell
from tests.drawing.fields import field_texts
from tests.drawing.geometry import OUT, Box, box_around, on_segment, text_units
from tests.drawing.items import Label, PlacedPin

__all__ = ["PAPER", "overlaps"]

#: Width and height of a sheet in grid steps, landscape.
PAPER = {"A4": (233, 165), "A3": (330, 233), "A2": (467, 330)}

#: Frame and title block, in grid steps.
_MARGIN = 9
_TITLE = (86, 34)


@dataclass(frozen=True, slots=True)
class _Thing:
    what: str
    box: Box
    kind: str  # body, pin, text, wire
    owner: str = ""


def _label_box(label: Label) -> Box:
    width = text_units(label.text) + (0 if label.kind == "label" else 2)
    dx, dy = OUT[label.side]
    x, y = label.at
    near, far = (0.4, 1.4) if label.kind == "label" else (-0.9, 0.9)
    if dx:
        return box_around([(x, y - far), (x + dx * width, y - near)])
    return box_around([(x - far, y), (x - near, y + dy * width)])


def _pin_box(placed_pin: PlacedPin) -> Box:
    dx, dy = OUT[placed_pin.side]
    x, y = placed_pin.at
    length = placed_pin.pin.length
    end = (x - dx * length, y - dy * length)
    return box_around([(x, y - 1.1), end] if dx else [(x - 1.1, y), end])


def _things(cell: Cell) -> list[_Thing]:
    found: list[_Thing] = []
    for placed in cell.placed:
        name = placed.shown_reference
        found.append(_Thing(f"body of {name}", placed.body, "body", name))
        numbers_shown = not placed.part.symbol.hide_numbers
        found += [
            _Thing(f"leg {p.pin.number} of {name}", _pin_box(p), "pin", name)
            for p in placed.pins
            if not p.pin.hidden and numbers_shown
        ]
        found += [
            _Thing(f"{f} {t.text!r} of {name}", t.box, "text", name) for f, t in field_texts(placed).items()
        ]
    found += [_Thing(f"label {x.text} at {x.at}", _label_box(x), "text") for x in cell.labels]
    for note in cell.notes:
        width = text_units(note.text, note.scale)
        box = Box(note.at.x, note.at.y - 1.2 * note.scale, note.at.x + width, note.at.y)
        found.append(_Thing(f"note {note.text!r}", box, "text"))
    for block in cell.sheets:
        x, y = block.at
        found.append(_Thing(f"sheet {block.name}", Box(x, y, x + block.size[0], y + block.size[1]), "body"))
        found.append(
            _Thing(
                f"name of sheet {block.name}", Box(x, y - 1.7, x + text_units(block.name), y - 0.5), "text"
            )
        )
        below = y + block.size[1] + 0.5
        found.append(
            _Thing(
                f"file of sheet {block.name}",
                Box(x, below, x + 0.9 * len(block.cell.file) + 9, below + 1.2),
                "text",
            )
        )
    return found


def _wires(cell: Cell) -> list[_Thing]:
    thin = 0.01
    lines = [(s.a, s.b) for s in cell.segments] + [(e.wire, e.bus) for e in cell.entries]
    return [
        _Thing(
            f"wire {a} {b}",
            Box(min(a.x, b.x) - thin, min(a.y, b.y) - thin, max(a.x, b.x) + thin, max(a.y, b.y) + thin),
            "wire",
        )
        for a, b in lines
    ]


def _clash(a: _Thing, b: _Thing) -> bool:
    kinds = {a.kind, b.kind}
    if a.owner and a.owner == b.owner and kinds != {"text", "pin"} and kinds != {"text"}:
        return False
    if kinds == {"pin"} or kinds == {"pin", "body"}:
        return False
    slack = 0.25 if kinds == {"text"} else 0.15
    return a.box.overlaps(b.box, slack)


def overlaps(cell: Cell) -> list[str]:
    """One sentence for each thing that cannot be read; empty for a tidy sheet."""
    things = _things(cell)
    found = [f"{a.what} and {b.what}" for n, a in enumerate(things) for b in things[n + 1 :] if _clash(a, b)]
    for wire in _wires(cell):
        for thing in things:
            if thing.kind in ("body", "text") and _through(wire.box, thing):
                found.append(f"{wire.what} through {thing.what}")
    found += _on_buses(cell)
    width, height = PAPER[cell.paper]
    title = Box(width - _MARGIN - _TITLE[0], height - _MARGIN - _TITLE[1], width, height)
    for thing in things:
        b = thing.box
        if (
            b.x0 < _MARGIN
            or b.y0 < _MARGIN
            or b.x1 > width - _MARGIN
            or b.y1 > height - _MARGIN
            or b.overlaps(title)
        ):
            found.append(f"{thing.what} lies outside the frame or on the title block")
    return found


def _on_buses(cell: Cell) -> list[str]:
    """Wires and pins that end on a bus without an entry."""
    ends = [p for s in cell.segments if not s.bus for p in (s.a, s.b)]
    ends += [pin.at for placed in cell.placed for pin in placed.pins]
    buses = [s for s in cell.segments if s.bus]
    return [
        f"a wire or pin ends at {p} on a bus" for p in ends if any(on_segment(p, s.a, s.b) for s in buses)
    ]


def _through(wire: Box, thing: _Thing) -> bool:
    inner = 0.15
    b = thing.box
    return (
        wire.x0 < b.x1 - inner
        and wire.x1 > b.x0 + inner
        and wire.y0 < b.y1 - inner
        and wire.y1 > b.y0 + inner
    )
