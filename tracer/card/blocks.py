"""Blocks of a card: tables, sentences, the row of chips."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tracer.card.chip_blocks import DrawnChip, draw_chip
from tracer.card.chip_values import ChipView, LegMark
from tracer.card.metrics import width, wrap
from tracer.card.shapes import Line, Look, Shape, Strip, Text, moved, tag, tag_width

__all__ = ["Column", "Row", "chip_rows", "sentences", "table"]

#: A cell holds a text or a mark.
Cell = str | LegMark


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: the lines of its head, whether figures stand at its right end, whether it may wrap.

    `over` stands once over neighbouring columns that have it in common; `least` is how wide the column is at scale 1 though
    its cells are blank.
    """

    head: str
    right: bool = False
    gives: bool = False
    over: str = ""
    least: float = 2.0


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
    wide = []
    for i, column in enumerate(columns):
        cells = [_cell_width(r.cells[i], i in r.bold, look) for r in rows if r.cells]
        wide.append(max([_head_width(column, look), *cells, column.least * look.scale]))
    for first, last, words in _spans(columns):
        lacks = width(words, look.small) - sum(wide[first : last + 1]) - pad * (last - first)
        wide[last] += max(lacks, 0.0)
    _narrow(columns, wide, pad, room, look)
    # What is left over goes between the columns, up to a point: the eye loses its row over wide gaps.
    spare = min(max((room - sum(wide)) / max(len(wide) - 1, 1), pad), 9.0 * look.scale)
    starts = [sum(wide[:i]) + spare * i for i in range(len(wide))]
    total = starts[-1] + wide[-1] if starts else 0.0
    head = _head(columns, starts, wide, total, look)
    strips = [_row(r, columns, starts, wide, total, look) for r in rows]
    return head, strips


def _head_width(column: Column, look: Look) -> float:
    return max(width(line, look.small) for line in column.head.split("\n"))


def _narrow(columns: Sequence[Column], wide: list[float], pad: float, room: float, look: Look) -> None:
    """Take what is too wide from the columns that give, the widest first; not from their heads while others can."""
    giving = [i for i, c in enumerate(columns) if c.gives] or list(range(len(columns)))
    excess = sum(wide) + pad * (len(wide) - 1) - room
    for leasts in ([_head_width(c, look) for c in columns], [4.0] * len(columns)):
        while excess > 0.01 and (able := [i for i in giving if wide[i] > leasts[i] + 0.01]):
            widest = max(able, key=lambda i: wide[i])
            step = min(excess, 0.5, wide[widest] - leasts[widest])
            wide[widest] -= step
            excess -= step


def _spans(columns: Sequence[Column]) -> list[tuple[int, int, str]]:
    """First and last column under each head that is over several."""
    found: list[tuple[int, int, str]] = []
    for i, column in enumerate(columns):
        if column.over and found and found[-1][1:] == (i - 1, column.over):
            found[-1] = (found[-1][0], i, column.over)
        elif column.over:
            found.append((i, i, column.over))
    return found


def _head(
    columns: Sequence[Column], starts: Sequence[float], wide: Sequence[float], total: float, look: Look
) -> Strip:
    """Heads stand at the foot of their line, those over several columns above them with a rule below."""
    leading, spans = look.small * 1.15, _spans(columns)
    heads = [
        [part for line in c.head.split("\n") for part in wrap(line, w + 0.01, look.small)]
        for c, w in zip(columns, wide, strict=True)
    ]
    under = max((len(heads[i]) for first, last, _ in spans for i in range(first, last + 1)), default=0)
    lines = max([*map(len, heads), under + 1 if spans else 0])
    shapes: list[Shape] = []
    for i, words in enumerate(heads):
        for n, word in enumerate(words):
            x = starts[i] + (wide[i] - width(word, look.small) if columns[i].right else 0.0)
            shapes.append(Text(x, (lines - len(words) + n + 0.78) * leading, word, look.small))
    for first, last, over in spans:
        left, right = starts[first], starts[last] + wide[last]
        y = (lines - under) * leading - 0.1 * look.scale
        x = max(left, (left + right - width(over, look.small)) / 2)
        shapes += [Text(x, y - 0.26 * leading, over, look.small), Line(((left, y), (right, y)), 0.15)]
    bottom = lines * leading + 0.5
    shapes.append(Line(((0.0, bottom), (total, bottom)), 0.35))
    return Strip(bottom + 0.3, tuple(shapes), True)


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
