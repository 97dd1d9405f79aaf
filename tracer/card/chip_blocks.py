"""A chip as it is seen on the board: from above, notch up, legs numbered and named, bits marked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, pi, sin

from tracer.base.names import last_part, readable_name
from tracer.base.text import clean
from tracer.card.chip_values import ChipView, LegMark, LegView, mark_text
from tracer.card.metrics import fit, width, wrap
from tracer.card.refs import board_of
from tracer.card.shapes import Box, Line, Look, Shape, Text, ink_of, tag, tag_width

__all__ = ["DrawnChip", "chip_title", "draw_chip"]

#: More tags than this on one leg become one text.
_MOST_TAGS = 3
#: Legs of a chip that is drawn as a list; of larger ones those that matter are listed.
_MOST_LISTED = 32
_STUB = 1.3
#: Between a stub and what stands beside it.
_AIR = 0.8
#: Between tags that stand side by side.
_BETWEEN = 0.4
_WHITE = "#ffffff"


@dataclass(frozen=True, slots=True)
class DrawnChip:
    """A chip's picture: how wide and high it is, and its shapes from its upper left corner."""

    part: str
    width: float
    height: float
    shapes: tuple[Shape, ...]


def chip_title(chip: ChipView) -> str:
    """``U13 74LS273 at 8D``."""
    place = f" at {chip.place}" if chip.place else ""
    return clean(f"{chip.part} {chip.marking}{place}")


def draw_chip(chip: ChipView, look: Look, room: float) -> DrawnChip:
    """Draw a chip at most as wide as the room."""
    board = board_of(chip.part)
    bits = mark_text(chip.marks)
    under = clean(f"{chip.does}: {bits}" if bits else chip.does)
    pairs: list[tuple[LegView | None, LegView | None]]
    shown = chip.legs if len(chip.legs) <= _MOST_LISTED else (chip.notable_legs or chip.legs[:_MOST_LISTED])
    if chip.outline == "dip":
        pairs = list(chip.rows)
    else:
        half = (len(shown) + 1) // 2
        pairs = [(a, shown[half + i] if half + i < len(shown) else None) for i, a in enumerate(shown[:half])]
    left, right = [a for a, _ in pairs if a], [b for _, b in pairs if b]
    numbers = (
        max((width(g.number, look.small, True) for g in (*left, *right)), default=4.0) + 1.7 * look.scale
    )
    most = room / 2 - _STUB - numbers - 2.8 * look.scale
    outer = [_outer_room(legs, board, most * 0.6, look) for legs in (left, right)]
    inner = [
        min(max((width(clean(g.name), look.small, _carries(g)) for g in legs), default=2.0), most - out)
        for legs, out in zip((left, right), outer, strict=True)
    ]
    body = inner[0] + inner[1] + 2 * numbers + 3.0 * look.scale
    total = outer[0] + outer[1] + body + 2 * (_STUB + _AIR)
    titles = [(chip_title(chip), look.head * 0.94, True), (under, look.small, False)]
    if chip.outline != "dip":
        titles.append((_list_words(chip, len(shown)), look.small, False))
    total = min(max(total, *(width(t, size, bold) for t, size, bold in titles)), room)
    # The title may be shortened, the bits and what is left out may not.
    titles[1:] = [
        (line, look.small, False)
        for words, _, _ in titles[1:]
        for line in wrap(words, total + 0.01, look.small)
    ]
    shapes: list[Shape] = []
    y = 0.0
    for text, size, bold in titles:
        y += size * 1.22
        shapes.append(Text(0.0, y - size * 0.22, fit(text, total, size, bold), size, bold))
    y += 1.0 * look.scale
    x = outer[0] + _STUB + _AIR
    beside = [
        [_lines(leg, board, outer[side], look) if leg else [] for side, leg in enumerate(pair)]
        for pair in pairs
    ]
    rows = [max(1, *map(len, lines)) for lines in beside]
    high = sum(rows) * look.pitch + 1.4 * look.scale
    shapes.append(Box(x, y, body, high, 0.45, _WHITE))
    if chip.outline == "dip":
        shapes += _notch(x + body / 2, y, look)
    for row, pair in enumerate(pairs):
        middle = y + 0.7 * look.scale + (sum(rows[:row]) + rows[row] / 2) * look.pitch
        for side, leg in enumerate(pair):
            if leg is not None:
                shapes += _leg(leg, x, body, middle, side, inner[side], look)
                shapes += _beside(leg, beside[row][side], x + body if side else x, middle, side, look)
    return DrawnChip(chip.part, total, y + high, tuple(shapes))


def _carries(leg: LegView) -> bool:
    return bool(leg.marks or leg.is_control)


def _list_words(chip: ChipView, shown: int) -> str:
    if shown < len(chip.legs):
        return f"not drawn to its outline; {shown} of {len(chip.legs)} legs: those of the path, supply"
    if not chip.is_whole:
        return "not drawn to its outline; only the legs that the input names"
    return "not drawn to its outline: a list of its legs"


def _notch(x: float, y: float, look: Look) -> list[Shape]:
    r = 1.5 * look.scale
    arc = tuple((x - r * cos(pi * i / 12), y + r * sin(pi * i / 12)) for i in range(13))
    return [Line(arc, 0.45, fill=_WHITE), Line(((x - r + 0.2, y), (x + r - 0.2, y)), 0.6, _WHITE)]


def _leg(leg: LegView, x: float, body: float, y: float, side: int, inner: float, look: Look) -> list[Shape]:
    """One leg: stub, number, name inside."""
    base = y + look.small * 0.36
    edge = x + body if side else x
    carries = _carries(leg)
    stub = Box(edge if side else edge - _STUB, y - 0.7, _STUB, 1.4, 0.2, "#000000" if carries else _WHITE)
    number_width = width(leg.number, look.small, True)
    number = Text(edge - 0.9 - number_width if side else edge + 0.9, base, leg.number, look.small, True)
    name = fit(clean(leg.name), inner, look.small, carries)
    wide = number_width + 0.9 + 1.1 * look.scale
    at = edge - wide - width(name, look.small, carries) if side else edge + wide
    return [stub, number, Text(at, base, name, look.small, carries)]


#: What stands in one line beside a leg: tags, or words.
_Beside = tuple[LegMark, ...] | str


def _beside(
    leg: LegView, lines: Sequence[_Beside], edge: float, y: float, side: int, look: Look
) -> list[Shape]:
    """The lines beside a leg, about its middle."""
    shapes: list[Shape] = []
    bold = bool(leg.marks)
    ink = ink_of(leg.marks[0].colour) if len({m.colour for m in leg.marks}) == 1 else "#000000"
    for i, line in enumerate(lines):
        middle = y + (i - (len(lines) - 1) / 2) * look.pitch
        if isinstance(line, str):
            at = edge + _STUB + _AIR if side else edge - _STUB - _AIR - width(line, look.small, bold)
            shapes.append(Text(at, middle + look.small * 0.36, line, look.small, bold, ink))
            continue
        at = edge + _STUB + _AIR if side else edge - _STUB - _AIR - _tags_width(line, look) + _BETWEEN
        for mark in line:
            shapes += tag(mark, at, middle, look)
            at += tag_width(mark, look) + _BETWEEN
    return shapes


def _tags_width(marks: Sequence[LegMark], look: Look) -> float:
    return sum(tag_width(m, look) + _BETWEEN for m in marks)


def _lines(leg: LegView, board: str, room: float, look: Look) -> list[_Beside]:
    """What stands beside a leg, in as many lines as it takes: a bit is never cut."""
    lines: list[_Beside] = []
    if leg.marks and len(leg.marks) <= _MOST_TAGS:
        row: tuple[LegMark, ...] = ()
        for mark in leg.marks:
            if row and _tags_width((*row, mark), look) > room + 0.01:
                lines.append(row)
                row = ()
            row = (*row, mark)
        return [*lines, row]
    text = _outer_text(leg, board)
    if not leg.marks:
        text = fit(text, room, look.small)
        return [text] if text else []
    return [fit(line, room, look.small, True) for line in wrap(text, room + 0.01, look.small, True)]


def _outer_room(legs: Sequence[LegView], board: str, most: float, look: Look) -> float:
    """How wide the lines beside a side's legs are: in one line each where that fits, and the widest tag always does."""
    whole = max((_outer_width(g, board, look) for g in legs), default=0.0)
    tags = [_tags_width((m,), look) for g in legs if len(g.marks) <= _MOST_TAGS for m in g.marks]
    return max([min(whole, most), *tags])


def _outer_width(leg: LegView, board: str, look: Look) -> float:
    if leg.marks and len(leg.marks) <= _MOST_TAGS:
        return _tags_width(leg.marks, look)
    return width(_outer_text(leg, board), look.small, bool(leg.marks))


def _outer_text(leg: LegView, board: str) -> str:
    """What stands beside a leg without tags: its supply, the level it is tied to, or what drives it."""
    if leg.marks:
        return mark_text(leg.marks)
    if leg.role in ("supply", "ground"):
        return clean(readable_name(last_part(leg.net).rsplit(":", 1)[-1])) if leg.net else ""
    if leg.tied is not None:
        return "tied high" if leg.tied else "tied low"
    if leg.is_control or leg.role in (
        "address",
        "clock",
        "clear",
        "preset",
        "enable",
        "select",
        "load",
        "write enable",
    ):
        return clean(leg.driver.removeprefix(board))
    return ""
