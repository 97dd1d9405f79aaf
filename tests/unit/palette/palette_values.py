"""A palette made by hand, for tests of its forms."""

from __future__ import annotations

from tracer.base.findings import note, warning
from tracer.palette.values import (
    Difference,
    Entry,
    EntryBit,
    LegDifference,
    Palette,
    PaletteColour,
    PaletteMemory,
    Sought,
)


def palette_of(n: int, board: str = "heron", file: str = "u4.bin") -> Palette:
    """A palette of 2-2-2 bits in which entry i has the code i."""
    entries = []
    for i in range(n):
        codes = (i >> 4 & 3, i >> 2 & 3, i & 3)
        red, green, blue = (85 * c for c in codes)
        entries.append(Entry(i, codes, (0.25 * codes[0], 0.25 * codes[1], None), (red, green, blue)))
    n_lines = (n - 1).bit_length()
    return Palette(
        board,
        75.0,
        tuple(PaletteColour(name, 2) for name in ("red", "green", "blue")),
        (PaletteMemory("U4", "82S129", "3E", 256, 8, file, "raw", "0" * 64),),
        tuple(
            EntryBit(i, (f"U4.{i + 5} A{i}",), f"/IDX{i}", f"U7.{i + 2} (74x174 Q)") for i in range(n_lines)
        ),
        tuple(entries),
        findings=(note("dump-base", "the first sentence"), warning("no-end-mark", "the second sentence")),
    )


def difference_of(palette: Palette, *numbers: int) -> Difference:
    """Another dump in which the heavy bit of red is low in these entries."""
    pairs = []
    for number in numbers:
        a = palette.entries[number]
        codes = (a.codes[0] & 1, *a.codes[1:])
        pairs.append((a, Entry(number, codes, a.volts, (85 * codes[0], *a.rgb[1:]))))
    legs = (LegDifference("U4", "12", "O1", (("red", 1),), len(numbers), 0),)
    return Difference((("U4", "u4-now.bin"),), tuple(pairs), legs, 3)


def sought_of() -> Sought:
    return Sought(
        (255, 128, 0), (255, 170, 0), (3, 2, 0), (("U4", "--111000"),), (), (0x1C, 0x1D), (85, 255, 0)
    )
