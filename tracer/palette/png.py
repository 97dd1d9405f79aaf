"""A palette as a sheet of swatches in PNG, written by the library pypng; letters are dots, no font is needed.

Every pixel of a swatch has the entry's colour exactly: there is no smoothing.
"""

from __future__ import annotations

import io
import textwrap

import png

from tracer.palette.dot_letters import ADVANCE, HEIGHT, dots
from tracer.palette.grid import grid_of
from tracer.palette.values import RGB, Palette
from tracer.palette.words import differ_text, memory_text, number, title

__all__ = ["BLACK", "EDGE", "PAPER", "emit"]

PAPER: RGB = (255, 255, 255)
BLACK: RGB = (0, 0, 0)
#: Lines around swatches.
EDGE: RGB = (118, 118, 118)
_MARGIN = 16
_HEAD_WIDTH = 64
_LEAST_WIDTH = 560


class _Canvas:
    """Rows of pixels."""

    def __init__(self, width: int, height: int) -> None:
        self.rows = [bytearray(bytes(PAPER) * width) for _ in range(height)]
        self.width = width

    def fill(self, x: int, y: int, width: int, height: int, colour: RGB) -> None:
        for row in self.rows[y : y + height]:
            row[3 * x : 3 * (x + width)] = bytes(colour) * width

    def frame(self, x: int, y: int, width: int, height: int, thick: int, colour: RGB) -> None:
        """A frame around a field, outside it."""
        self.fill(x - thick, y - thick, width + 2 * thick, thick, colour)
        self.fill(x - thick, y + height, width + 2 * thick, thick, colour)
        self.fill(x - thick, y, thick, height, colour)
        self.fill(x + width, y, thick, height, colour)

    def write(self, x: int, y: int, words: str, scale: int = 1) -> None:
        room = (self.width - x) // scale
        for right, down in dots(words):
            if right < room:
                self.fill(x + right * scale, y + down * scale, scale, scale, BLACK)


def emit(palette: Palette) -> bytes:
    """The sheet as the bytes of a PNG file."""
    canvas = _draw(palette)
    out = io.BytesIO()
    writer = png.Writer(
        width=canvas.width, height=len(canvas.rows), greyscale=False, bitdepth=8, compression=9
    )
    writer.write(out, canvas.rows)
    return out.getvalue()


def _draw(palette: Palette) -> _Canvas:
    grid = grid_of(len(palette.entries))
    left = _MARGIN + (0 if grid.is_named else _HEAD_WIDTH)
    width = max(left + grid.size[0] + _MARGIN, _LEAST_WIDTH)
    letters = (width - 2 * _MARGIN) // ADVANCE
    names = textwrap.wrap(title(palette), letters // 2)
    said = [memory_text(m) for m in palette.memories]
    if palette.difference:
        said.append(f"{differ_text(palette.difference)}: framed, right half")
    heads = [line for words in said for line in textwrap.wrap(words, letters, break_on_hyphens=False)]
    below = _MARGIN + 24 * len(names)
    top = below + 8 + 12 * len(heads) + (0 if grid.is_named else 14)
    canvas = _Canvas(width, top + grid.size[1] + _MARGIN)
    for i, words in enumerate(names):
        canvas.write(_MARGIN, _MARGIN + 24 * i, words, scale=2)
    for i, words in enumerate(heads):
        canvas.write(_MARGIN, below + 12 * i, words)
    if not grid.is_named:
        every = 1 << (-(-24 // grid.pitch[0]) - 1).bit_length()
        for column in range(0, grid.columns, every):
            canvas.write(left + column * grid.pitch[0], top - 12, f"{column:02X}")
        step = max(1, -(-(HEIGHT + 3) // grid.pitch[1]))
        for row in range(0, grid.rows, step):
            words = number(palette, row * grid.columns)
            middle = top + row * grid.pitch[1] + max(0, (grid.swatch[1] - HEIGHT) // 2)
            canvas.write(left - 8 - ADVANCE * len(words), middle, words)
        # Lines between the swatches, so that a white one is seen.
        canvas.fill(left - 1, top - 1, grid.size[0] + 1, grid.size[1] + 1, EDGE)
    others = {a.entry: b for a, b in palette.difference.pairs} if palette.difference else {}
    for entry in palette.entries:
        x, y = grid.at(entry.entry)
        x, y = x + left, y + top
        wide, high = grid.swatch
        canvas.fill(x, y, wide, high, entry.rgb)
        other = others.get(entry.entry)
        if grid.is_named:
            thick = 2 if other else 1
            canvas.frame(x, y, wide, high, thick, BLACK if other else EDGE)
            canvas.write(x, y + high + 5, number(palette, entry.entry), scale=2)
            canvas.write(x + 2 * ADVANCE * palette.n_figures + 4, y + high + 9, entry.colour)
        elif other:
            canvas.frame(x + 1, y + 1, wide - 2, high - 2, 1, BLACK)
        if other:
            inset = 0 if grid.is_named else 1
            half = wide // 2
            canvas.fill(x + half, y + inset, wide - half - inset, high - 2 * inset, other.rgb)
    return canvas
