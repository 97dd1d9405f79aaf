"""What a pen fills in: lines for the board at hand, steps with a tick box and a blank, ruled rows, room for notes."""

from __future__ import annotations

from collections.abc import Sequence

from tracer.card.metrics import width, wrap
from tracer.card.shapes import Block, Box, Line, Look, Shape, Strip, Text, moved

__all__ = ["blank_line", "noted_rows", "notes_block", "step_block"]

#: What the head of a sheet asks for, and what share of the line each takes.
_ASKED = (("Board", 0.34), ("Revision", 0.2), ("Serial", 0.26), ("Date", 0.2))
#: Share of a step's line that is its text; the rest is for what was read.
_TEXT = 0.69
#: Columns of the repair record: what was done, where, what came of it.
_RECORD = (("done", 0.0), ("where", 0.14), ("what it showed", 0.42))
_RULE, _PALE = 0.15, "#777777"
#: Notes are worth a title from this many lines on.
_LEAST_LINES = 2


def blank_line(room: float, look: Look) -> Strip:
    """Board, revision, serial and date, to be written."""
    shapes: list[Shape] = []
    x, base = 0.0, look.hand * 0.8
    for word, share in _ASKED:
        wide, at = share * room, width(word, look.body) + 1.2 * look.scale
        shapes.append(Text(x, base, word, look.body))
        shapes.append(Line(((x + at, base + 0.6), (x + wide - look.gap * 0.6, base + 0.6)), _RULE))
        x += wide
    return Strip(look.hand + 1.0 * look.scale, tuple(shapes))


def step_block(title: str, items: Sequence[tuple[str, str]], room: float, look: Look) -> Block:
    """Numbered steps, each with a box to tick and a blank; sentences without a number come before them."""
    box = look.body * 1.05
    number = box + 1.6 * look.scale
    indent = number + max((width(sign, look.body, True) for sign, _ in items), default=0.0) + 1.4 * look.scale
    end = _TEXT * room
    blank = end + look.gap
    head = Strip(
        look.small * 1.4,
        (
            Text(0.0, look.small, "done", look.small),
            Text(blank, look.small, "what was read", look.small),
        ),
        True,
    )
    leading, strips, before = look.body * 1.26, [], []
    for sign, text in items:
        if not sign:
            before += [
                Strip(leading, (Text(0.0, leading * 0.78, line, look.body),), True)
                for line in wrap(text, room, look.body)
            ]
            continue
        lines = wrap(text, end - indent, look.body)
        high = max(len(lines) * leading + 1.6 * look.scale, look.hand)
        shapes: list[Shape] = [
            Box(0.0, leading * 0.78 - box * 0.86, box, box, 0.25),
            Text(number, leading * 0.78, sign, look.body, True),
        ]
        shapes += [Text(indent, (n + 0.78) * leading, line, look.body) for n, line in enumerate(lines)]
        n_rules = max(1, int(high / look.hand + 0.25))
        rules = [high - 1.2 * look.scale - look.hand * n for n in range(n_rules)]
        shapes += [Line(((blank, y), (room, y)), _RULE, _PALE) for y in rules if y > look.body]
        strips.append(Strip(high, tuple(shapes)))
    whole = Strip(sum(s.height for s in before) + head.height, _below(before, head), True)
    return Block(title, tuple(strips), whole)


def _below(before: Sequence[Strip], head: Strip) -> tuple[Shape, ...]:
    """The shapes of strips that stand below one another."""
    shapes: list[Shape] = []
    y = 0.0
    for strip in (*before, head):
        shapes += moved(strip.shapes, 0.0, y)
        y += strip.height
    return tuple(shapes)


def noted_rows(
    title: str,
    rows: Sequence[tuple[str, str, str]],
    n_blank: int,
    last: tuple[str, str, str],
    room: float,
    look: Look,
) -> Block:
    """A record: what is known, ruled rows for what comes, and a last row that is known or blank."""
    starts = [share * room for _, share in _RECORD]
    ends = [*(x - 2.0 * look.scale for x in starts[1:]), room]
    head = Strip(
        look.small * 1.4 + 0.6,
        (
            *(Text(x, look.small, word, look.small) for x, (word, _) in zip(starts, _RECORD, strict=True)),
            Line(((0.0, look.small * 1.4), (room, look.small * 1.4)), 0.35),
        ),
        True,
    )
    strips = [_record_row(row, starts, ends, room, look, bold=False) for row in rows]
    strips += [_record_row(("", "", ""), starts, ends, room, look, bold=False)] * n_blank
    strips.append(_record_row(last, starts, ends, room, look, bold=True))
    return Block(title, tuple(strips), head)


def _record_row(
    cells: tuple[str, str, str],
    starts: Sequence[float],
    ends: Sequence[float],
    room: float,
    look: Look,
    *,
    bold: bool,
) -> Strip:
    leading = look.body * 1.22
    texts = [
        wrap(cell, end - x, look.body, bold) if cell else []
        for cell, x, end in zip(cells, starts, ends, strict=True)
    ]
    filled = sum(map(bool, cells)) > 1
    high = max(map(len, texts)) * leading + 0.8 * look.scale if filled else look.hand
    first = look.body if filled else look.hand - 1.4 * look.scale
    shapes: list[Shape] = [
        Text(x, first + n * leading, line, look.body, bold)
        for lines, x in zip(texts, starts, strict=True)
        for n, line in enumerate(lines)
    ]
    return Strip(high, (*shapes, Line(((0.0, high - 0.1), (room, high - 0.1)), _RULE, _PALE)))


def notes_block(title: str, high: float, room: float, look: Look) -> Block | None:
    """Ruled lines as far as the page goes; None where too few fit."""
    n = int((high - look.head * 1.75) / look.hand)
    if n < _LEAST_LINES:
        return None
    rule = Strip(look.hand, (Line(((0.0, look.hand - 0.1), (room, look.hand - 0.1)), _RULE, _PALE),))
    return Block(title, (rule,) * n)
