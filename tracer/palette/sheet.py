"""A palette as a sheet of swatches in SVG: black on white, so that it can be printed.

The figures stand below the swatches, never on them. Each cell carries its codes and volts as a title, which
browsers show under the pointer. An entry that differs from another dump is framed, the other's colour in the
right half.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

from tracer.diagram.html import text as escaped
from tracer.palette.grid import Grid, grid_of
from tracer.palette.values import Entry, Palette
from tracer.palette.words import codes_text, differ_text, load_text, memory_text, number, title

__all__ = ["emit", "entry_title", "sheet"]

_MARGIN = 20
_HEAD_WIDTH = 48
_LINE = 16
_LEAST_WIDTH = 560
#: Mean width of a letter of 12 pixels; headings are broken by it.
_LETTER = 6.6
_SANS = "font-family='DejaVu Sans, Helvetica, Arial, sans-serif'"
_MONO = "font-family='DejaVu Sans Mono, Menlo, Consolas, monospace'"


def emit(palette: Palette) -> str:
    """The sheet as SVG text."""
    return sheet(palette)


def sheet(palette: Palette, *, headed: bool = True) -> str:
    """The sheet, with or without its title and legend."""
    grid = grid_of(len(palette.entries))
    left = _MARGIN if grid.is_named else _MARGIN + _HEAD_WIDTH
    width = max(left + grid.size[0] + _MARGIN, _LEAST_WIDTH)
    body, y = _heading(palette, grid, width) if headed else ([], _MARGIN)
    if not grid.is_named:
        y += 14
        body += _heads(palette, grid, left, y)
        y += 6
        # Lines between the swatches, so that a white one is seen.
        wide, high = grid.size
        body.append(
            f"<rect x='{left - 1}' y='{y - 1}' width='{wide + 1}' height='{high + 1}' fill='#767676'/>"
        )
    others = {a.entry: b for a, b in palette.difference.pairs} if palette.difference else {}
    for entry in palette.entries:
        x, top = grid.at(entry.entry)
        body += _cell(palette, grid, entry, others.get(entry.entry), left + x, y + top)
    height = y + grid.size[1] + _MARGIN
    return (
        f"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 {width} {height}' width='{width}' height='{height}' "
        f"role='img' aria-label='{escaped(title(palette))}'>\n"
        f"<rect width='{width}' height='{height}' fill='#fff'/>\n" + "\n".join(body) + "\n</svg>\n"
    )


def entry_title(palette: Palette, entry: Entry) -> str:
    """``entry 0F: #ff8000, red 15 1.191 V, ...``."""
    cells = (
        f"{colour.name} {code}" + ("" if volts is None else f" {volts:.3f} V")
        for colour, code, volts in zip(palette.colours, entry.codes, entry.volts, strict=True)
    )
    return f"entry {number(palette, entry.entry)}: {entry.colour}, {', '.join(cells)}"


def _heading(palette: Palette, grid: Grid, width: int) -> tuple[list[str], int]:
    order = "/".join(c.name for c in palette.colours)
    figures = f"Below each swatch: entry (hexadecimal), colour, codes {order}. " if grid.is_named else ""
    lines = [
        *(memory_text(m) for m in palette.memories),
        f"{figures}Levels {load_text(palette)}; the darkest of each colour is 00, the brightest ff.",
    ]
    if palette.difference:
        framed = ": framed, the other's colour in the right half." if palette.difference.pairs else "."
        lines.append(f"{differ_text(palette.difference)}{framed}")
    body = [_text(_MARGIN, 30, title(palette), size=16, bold=True)]
    y = 34
    for line in _broken(lines, width):
        y += _LINE
        body.append(_text(_MARGIN, y, line, size=12))
    return body, y + 14


def _broken(lines: Iterable[str], width: int) -> list[str]:
    letters = int((width - 2 * _MARGIN) / _LETTER)
    return [part for line in lines for part in textwrap.wrap(line, letters, break_on_hyphens=False)]


def _heads(palette: Palette, grid: Grid, left: int, y: int) -> list[str]:
    """Heads of the columns that have room for one, and of the rows."""
    every = -(-22 // grid.pitch[0])
    every = 1 << (every - 1).bit_length()
    found = [
        _text(
            left + x * grid.pitch[0] + grid.swatch[0] / 2, y, f"{x:02X}", size=10, anchor="middle", mono=True
        )
        for x in range(0, grid.columns, every)
    ]
    step = max(1, -(-12 // grid.pitch[1]))
    for row in range(0, grid.rows, step):
        words = number(palette, row * grid.columns)
        middle = y + 6 + row * grid.pitch[1] + grid.swatch[1] / 2 + 4
        found.append(_text(left - 8, middle, words, size=10, anchor="end", mono=True))
    return found


def _cell(palette: Palette, grid: Grid, entry: Entry, other: Entry | None, x: int, y: int) -> list[str]:
    width, height = grid.swatch
    told = entry_title(palette, entry) + (f"; other dump: {entry_title(palette, other)}" if other else "")
    edge = " stroke='#767676' stroke-width='1'" if grid.is_named else ""
    parts = [f"<rect x='{x}' y='{y}' width='{width}' height='{height}' fill='{entry.colour}'{edge}/>"]
    if other:
        half = width // 2
        parts.append(
            f"<rect x='{x + half}' y='{y}' width='{width - half}' height='{height}' fill='{other.colour}'/>"
            f"<rect x='{x}' y='{y}' width='{width}' height='{height}' fill='none' stroke='#000' "
            f"stroke-width='{3 if grid.is_named else 1.5}'/>"
        )
    found = [f"<g><title>{escaped(told)}</title>{''.join(parts)}</g>"]
    if grid.is_named:
        size = 11 if width > 100 else 10
        name = number(palette, entry.entry)
        found.append(
            f"<text x='{x}' y='{y + height + 12}' {_MONO} font-size='{size}'><tspan font-weight='bold'>{name}</tspan> "
            f"{entry.colour}</text>"
        )
        found.append(_text(x, y + height + 12 + size + 1, codes_text(entry), size=size, mono=True))
    return found


def _text(
    x: float, y: float, words: str, *, size: int, bold: bool = False, anchor: str = "", mono: bool = False
) -> str:
    more = " font-weight='bold'" if bold else ""
    more += f" text-anchor='{anchor}'" if anchor else ""
    return f"<text x='{x:g}' y='{y:g}' {_MONO if mono else _SANS} font-size='{size}'{more}>{escaped(words)}</text>"
