"""Where the parts sit, on a card: the board from the component side, or the places of its print as a grid of cells."""

from __future__ import annotations

from collections.abc import Sequence

from tracer.base.text import clean
from tracer.card.board_drawing import board_strip
from tracer.card.metrics import fit, width, wrap
from tracer.card.shapes import Block, Box, Look, Shape, Strip, Text
from tracer.place.make import CELL_HIGH, CELL_WIDE
from tracer.place.values import PlacedPart, PlaceView

__all__ = ["place_block"]

_PALE, _BLACK = "#999999", "#000000"
#: Left and above a grid, for the names of its rows and columns.
_NAMES = 5.0

_Frame = tuple[float, float, float, float]


def place_block(view: PlaceView, n_colours: int, room: float, high: float, look: Look) -> Block:
    """At most so wide and, where distances are known, so high."""
    words = ["Dark: on the way of the colours."]
    if view.is_grid:
        title = "Where the chips sit, by the places of the board's print: a cell a place"
        strip = _grid(view, n_colours, room, look)
    else:
        title = "Where the parts sit, from the component side"
        strip, unnamed = board_strip(view, room, high, look)
        words.append("Square: leg 1. Dots: legs that bits pass.")
        below = [p.part for p in view.parts if p.is_below and p.role != "beside"]
        if below:
            words.append(f"On the solder side: {', '.join(below)}.")
        if unnamed:
            words.append(f"No room for the names of {', '.join(unnamed)}.")
    if view.unplaced:
        words.append(f"Place not known: {', '.join(view.unplaced)}.")
    lines = wrap(clean(" ".join(words)), room, look.body)
    leading = look.body * 1.26
    texts = tuple(Text(0.0, (n + 0.78) * leading, line, look.body) for n, line in enumerate(lines))
    return Block(title, (Strip(len(lines) * leading + 0.8 * look.scale, texts, True), strip))


def _grid(view: PlaceView, n_colours: int, room: float, look: Look) -> Strip:
    left, top = _NAMES * look.scale, look.small * 1.4
    wide = min((room - left) / max(len(view.columns), 1), CELL_WIDE * look.scale)
    cells: dict[tuple[int, int], list[PlacedPart]] = {}
    for part in view.parts:
        x, y = (part.box[0] + part.box[2]) / 2, (part.box[1] + part.box[3]) / 2
        cells.setdefault((int(y // CELL_HIGH), int(x // CELL_WIDE)), []).append(part)
    leading, pad = look.small * 1.12, 0.7 * look.scale
    words = {p.part: _cell_lines(p, n_colours, wide - 2 * pad - 0.6, look) for p in view.parts}
    shapes: list[Shape] = []
    for i, (name, _) in enumerate(view.columns):
        x = left + (i + 0.5) * wide - width(name, look.small, True) / 2
        shapes.append(Text(x, look.small, name, look.small, True))
    y = top
    for row, (name, _) in enumerate(view.rows):
        here = {c: parts for (r, c), parts in cells.items() if r == row}
        heights = {c: [len(words[p.part]) * leading + 2 * pad for p in parts] for c, parts in here.items()}
        high = max((sum(h) for h in heights.values()), default=leading + 2 * pad)
        shapes.append(Text(0.0, y + high / 2 + look.small * 0.36, name, look.small, True))
        for column, parts in here.items():
            stretch = high / sum(heights[column])
            at = y
            for part, own in zip(parts, heights[column], strict=True):
                shapes += _cell(part, words[part.part], (left + column * wide, at, wide, own * stretch), look)
                at += own * stretch
        y += high
    return Strip(y + 1.0 * look.scale, tuple(shapes))


def _cell_lines(part: PlacedPart, n_colours: int, room: float, look: Look) -> list[str]:
    """Name and type, in one line where they fit; the colours of a part of the path."""
    bold = part.role != "beside"
    both = clean(f"{part.part} {part.what}".strip())
    if width(both, look.small, bold) <= room:
        lines = [both]
    else:
        lines = [fit(clean(part.part), room, look.small, bold)]
        lines += [clean(part.what)] if part.what and width(clean(part.what), look.small, bold) <= room else []
    if bold and part.colours:
        colours = "all colours" if len(part.colours) == n_colours > 1 else ", ".join(part.colours)
        lines += wrap(clean(colours), room, look.small)
    return lines


def _cell(part: PlacedPart, lines: Sequence[str], frame: _Frame, look: Look) -> list[Shape]:
    x, y, wide, high = frame
    bold = part.role != "beside"
    inset = 0.3
    shapes: list[Shape] = [
        Box(
            x + inset, y + inset, wide - 2 * inset, high - 2 * inset, 0.5 if bold else 0.15,
            ink=_BLACK if bold else _PALE,
        )
    ]  # fmt: skip
    leading = look.small * 1.12
    first = y + (high - len(lines) * leading) / 2
    for n, line in enumerate(lines):
        base = first + n * leading + look.small * 0.84
        is_named = bold and n < len(lines) - len(part.colours[:1])
        shapes.append(Text(x + 0.7 * look.scale + inset, base, line, look.small, is_named))
    return shapes
