"""A palette's entries for the page: a grid of swatches and a row an entry."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import PurePath

from tracer.palette.values import Palette
from tracer.palette.words import codes_text, memory_text, number, title

__all__ = ["MOST_ENTRIES", "Swatches", "swatches_of"]

#: More entries are not shown on the page; the command `palette` writes them all.
MOST_ENTRIES = 1024
#: Swatches in a row, and the size of one.
COLUMNS, WIDE, HIGH = 16, 20, 14


@dataclass(frozen=True, slots=True)
class Swatch:
    """An entry: its place in the grid and its texts."""

    x: int
    y: int
    number: str
    colour: str
    codes: str


@dataclass(frozen=True, slots=True)
class Swatches:
    """All that the page shows of a palette."""

    title: str
    memories: tuple[str, ...]
    order: str
    size: tuple[int, int]
    cell: tuple[int, int]
    entries: tuple[Swatch, ...]
    n_left_out: int


def swatches_of(palette: Palette) -> Swatches:
    """The first `MOST_ENTRIES` entries in rows of 16."""
    shown = palette.entries[:MOST_ENTRIES]
    entries = tuple(
        Swatch(i % COLUMNS * WIDE, i // COLUMNS * HIGH, number(palette, e.entry), e.colour, codes_text(e))
        for i, e in enumerate(shown)
    )
    rows = -(-len(shown) // COLUMNS)
    return Swatches(
        title(palette),
        tuple(memory_text(replace(m, file=PurePath(m.file).name)) for m in palette.memories),
        "/".join(c.name for c in palette.colours),
        (min(COLUMNS, len(shown)) * WIDE, rows * HIGH),
        (WIDE, HIGH),
        entries,
        len(palette.entries) - len(shown),
    )
