"""A palette as a GIMP palette: ``GIMP Palette``, ``Name:``, ``Columns:``, then red, green, blue and a name a line.

The form is that of the GIMP manual and of the program's palette files, version 2 (from memory).
"""

from __future__ import annotations

from tracer.base.text import clean
from tracer.palette.values import Palette
from tracer.palette.words import number

__all__ = ["emit"]

COLUMNS = 16


def emit(palette: Palette) -> str:
    """The palette as text; entries in their order, equal ones too, so that the place of a colour is its number."""
    lines = ["GIMP Palette", f"Name: {clean(palette.board) or 'palette'}", f"Columns: {COLUMNS}", "#"]
    for entry in palette.entries:
        red, green, blue = entry.rgb
        codes = " ".join(f"{c.name} {code}" for c, code in zip(palette.colours, entry.codes, strict=True))
        lines.append(f"{red:3d} {green:3d} {blue:3d}\t{number(palette, entry.entry)} {clean(codes)}")
    return "\n".join(lines) + "\n"
