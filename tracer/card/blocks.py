"""Blocks of a card: tables, sentences, the row of chips, the strip of a connector."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import zip_longest

from tracer.base.names import last_part, readable_name
from tracer.base.text import clean
from tracer.card.chip_blocks import DrawnChip, draw_chip
from tracer.card.chip_values import ChipView, ConnectorPin, ConnectorView, LegMark
from tracer.card.metrics import fit, width, wrap
from tracer.card.shapes import Box, Line, Look, Shape, Strip, Text, ink_of, moved, tag, tag_width

__all__ = ["Column", "Row", "chip_rows", "connector_strips", "sentences", "shown_pins", "table"]

#: A cell holds a text or a mark.
Cell = str | LegMark


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: the lines of its head, whether figures stand at its right end, whether it may wrap."""

    head: str
    right: bool = False
    gives: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """Cells of a row; `over` is a bold line over the whole table instead."""

    cells: tuple[Cell, ...] = ()
    over: str = ""
    bold: tuple[int, ...] = ()


def table(
    columns: Sequence[Column], rows: Sequence[Row], room: float, look: Look
) -> tuple[Strip, list[Strip]]:
    """Head and rows of a table that is at most `room` wide; columns that give are narrowed, their cells wrapped."""
    pad = 2.2 * look.scale
    heads = [c.head.split("\n") for c in columns]
    wide = []
    for i in range(len(columns)):
        cells = [_cell_width(r.cells[i], i in r.bold, look) for r in rows if r.cells]
        wide.append(max([*(width(h, look.small) for h in heads[i]), *cells, 2.0]))
    excess = sum(wide) + pad * (len(wide) - 1) - room
    giving = [i for i, c in enumerate(columns) if c.gives] or list(range(len(columns)))
    while excess > 0.01:
        widest = max(giving, key=lambda i: wide[i])
        least = sorted((wide[i] for i in giving), reverse=True)
        step = min(excess, max(least[0] - (least[1] if len(least) > 1 else 0.0), 0.5))
        wide[widest] = max(wide[widest] - step, 4.0)
        excess -= step
    # What is left over goes between the columns, up to a point: the eye loses its row over wide gaps.
    spare = min(max((room - sum(wide)) / max(len(wide) - 1, 1), pad), 9.0 * look.scale)
    starts = [sum(wide[:i]) + spare * i for i in range(len(wide))]
    total = starts[-1] + wide[-1] if starts else 0.0
    lines = max(map(len, heads))
    head_shapes: list[Shape] = []
    for i, words in enumerate(heads):
        for n, word in enumerate(words):
            y = (lines - len(words) + n + 0.78) * look.small * 1.15
            word = fit(word, wide[i], look.small)
            x = starts[i] + (wide[i] - width(word, look.small) if columns[i].right else 0.0)
            head_shapes.append(Text(x, y, word, look.small))
    bottom = lines * look.small * 1.15 + 0.5
    head_shapes.append(Line(((0.0, bottom), (total, bottom)), 0.35))
    strips = [_row(r, columns, starts, wide, total, look) for r in rows]
    return Strip(bottom + 0.3, tuple(head_shapes), True), strips


def _cell_width(cell: Cell, bold: bool, look: Look) -> float:
    return tag_width(cell, look) if isinstance(cell, LegMark) else width(cell, look.body, bold)


def _row(
    row: Row, columns: Sequence[Column], starts: list[float], wide: list[float], total: float, look: Look
) -> Strip:
    base = look.row * 0.5 + look.body * 0.36
    if row.over:
        fits = width(row.over, look.body, True) <= total
        over = [row.over] if fits else wrap(row.over, total, look.body, True)
        high = look.row + (len(over) - 1) * look.body * 1.22
        shapes: list[Shape] = [Line(((0.0, high), (total, high)), 0.08)]
        shapes += [Text(0.0, base + n * look.body * 1.22, t, look.body, True) for n, t in enumerate(over)]
        return Strip(high, tuple(shapes), True)
    lines = 1
    shapes = []
    for i, cell in enumerate(row.cells):
        if isinstance(cell, LegMark):
            shapes += tag(cell, starts[i], look.row / 2, look)
            continue
        bold = i in row.bold
        if width(cell, look.body, bold) <= wide[i] + 0.01:
            texts = [cell] if cell else []
        else:
            texts = wrap(cell, wide[i] + 0.01, look.body, bold)
        lines = max(lines, len(texts))
        for n, text in enumerate(texts):
            x = starts[i] + (wide[i] - width(text, look.body, bold) if columns[i].right else 0.0)
            shapes.append(Text(x, base + n * look.body * 1.22, text, look.body, bold))
    high = look.row + (lines - 1) * look.body * 1.22
    return Strip(high, (*shapes, Line(((0.0, high), (total, high)), 0.08)))


def sentences(
    items: Sequence[tuple[str, str]], room: float, look: Look, *, indent: float = 0.0
) -> list[Strip]:
    """Sentences with a sign before each (``1``, ``!``, ``-``), wrapped; each is one strip."""
    indent = (
        indent or max((width(sign, look.body, True) for sign, _ in items), default=0.0) + 1.4 * look.scale
    )
    strips = []
    line_height = look.body * 1.26
    for sign, text in items:
        shapes: list[Shape] = [Text(0.0, line_height * 0.78, sign, look.body, True)] if sign else []
        lines = wrap(text, room - indent, look.body)
        for n, line in enumerate(lines):
            shapes.append(Text(indent, (n + 0.78) * line_height, line, look.body))
        strips.append(Strip(len(lines) * line_height + 0.7 * look.scale, tuple(shapes)))
    return strips


def chip_rows(chips: Sequence[ChipView], room: float, look: Look) -> list[Strip]:
    """Chips side by side, as many as fit, each row one strip; several rows stand in columns."""
    drawn = [draw_chip(chip, look, room) for chip in chips]
    least = look.gap * 0.7
    one_row = sum(d.width for d in drawn) + least * (len(drawn) - 1) <= room
    if one_row:
        gap = min((room - sum(d.width for d in drawn)) / max(len(drawn) - 1, 1), 4 * look.gap)
        starts = [sum(d.width for d in drawn[:i]) + gap * i for i in range(len(drawn))]
        return [_chip_row(drawn, starts, look)]
    columns = max(_columns(drawn, room, least), 1)
    wide = [max(d.width for d in drawn[i::columns]) for i in range(columns)]
    gap = min((room - sum(wide)) / max(columns - 1, 1), 4 * look.gap)
    starts = [sum(wide[:i]) + gap * i for i in range(columns)]
    return [_chip_row(drawn[i : i + columns], starts, look) for i in range(0, len(drawn), columns)]


def _columns(drawn: Sequence[DrawnChip], room: float, gap: float) -> int:
    """The most columns in which the chips fit, read in rows."""
    for n in range(len(drawn), 1, -1):
        if sum(max(d.width for d in drawn[i::n]) for i in range(n)) + gap * (n - 1) <= room:
            return n
    return 1


def _chip_row(row: Sequence[DrawnChip], starts: Sequence[float], look: Look) -> Strip:
    shapes = [s for d, x in zip(row, starts, strict=False) for s in moved(d.shapes, x, 0.0)]
    return Strip(max(d.height for d in row) + 2.2 * look.scale, tuple(shapes))


def connector_strips(connector: ConnectorView, room: float, look: Look) -> list[Strip]:
    """A connector's pins in the order of their numbers, colours marked; numbers and letters on rows of their own."""
    pins = shown_pins(connector)
    rows = _connector_rows(pins)
    signs = {pin: _sign(pin) for pin in pins}
    cells = _cells([[_need(p, signs[p], look) for p in row] for row in rows], room)
    strips = []
    for row in rows:
        shapes: list[Shape] = []
        for i, pin in enumerate(row):
            shapes += _pin(pin, signs[pin], sum(cells[:i]), cells[i], look)
        strips.append(Strip(2 * look.row * 0.96 + 1.0 * look.scale, tuple(shapes)))
    return strips


def _need(pin: ConnectorPin, sign: str, look: Look) -> float:
    """How wide a pin's cell must be."""
    return max(
        width(pin.number, look.small, True) + 1.2,
        width(sign, look.small * 0.92, pin.use == "colour") + 0.9,
        5.2 * look.scale,
    )


def _cells(needs: list[list[float]], room: float) -> list[float]:
    """How wide each place of the rows is: all alike where there is room, else the columns that need more wider."""
    own = [max(column) for column in zip_longest(*needs, fillvalue=0.0)]
    alike = max(own, default=0.0)
    if alike * len(own) <= room:
        return [alike] * len(own)
    return [w * min(1.0, room / sum(own)) for w in own]


#: Of larger connectors only the pins with a use are shown.
_MOST_PINS = 64


def shown_pins(connector: ConnectorView) -> tuple[ConnectorPin, ...]:
    """The pins that a card shows."""
    if len(connector.pins) <= _MOST_PINS:
        return connector.pins
    return tuple(p for p in connector.pins if p.use)


#: Pins of a connector side by side before it goes on below.
_MOST_IN_ROW = 28


def _connector_rows(pins: tuple[ConnectorPin, ...]) -> list[list[ConnectorPin]]:
    """Edge connectors have a side of numbers and one of letters."""
    sides = [[p for p in pins if p.number[:1].isdigit()], [p for p in pins if not p.number[:1].isdigit()]]
    return [s[i : i + _MOST_IN_ROW] for s in sides for i in range(0, len(s), _MOST_IN_ROW)]


def _sign(pin: ConnectorPin) -> str:
    if pin.use == "colour":
        return clean(pin.colour)
    if pin.use == "ground":
        return "0 V"
    if pin.use == "supply":
        return clean(readable_name(last_part(pin.net or pin.name)))
    return "sync" if pin.use == "sync" else ""


def _pin(pin: ConnectorPin, sign: str, x: float, cell: float, look: Look) -> list[Shape]:
    high = look.row * 0.96
    is_colour = pin.use == "colour"
    shapes: list[Shape] = [
        Box(x, 0.0, cell, high, 0.5 if is_colour else 0.2),
        *_centred(pin.number, x, cell, high / 2, look.small, True, "#000000"),
    ]
    if is_colour:
        shapes.append(Box(x, high, cell, high, 0.5, ink_of(pin.colour), ink_of(pin.colour)))
        shapes += _centred(sign, x, cell, high * 1.5, look.small * 0.92, True, "#ffffff")
    elif sign:
        shapes += _centred(sign, x, cell, high * 1.5, look.small * 0.92, False, "#000000")
    return shapes


def _centred(text: str, x: float, cell: float, y: float, size: float, bold: bool, ink: str) -> list[Shape]:
    text = fit(text, cell - 0.2, size, bold)
    if not text:
        return []
    return [Text(x + (cell - width(text, size, bold)) / 2, y + size * 0.36, text, size, bold, ink)]
