"""A palette as CSV (RFC 4180): one row an entry; with another dump, what the entry is there and whether it differs."""

from __future__ import annotations

import csv
import io

from tracer.bitmap.csv import safe_cell
from tracer.palette.values import Palette
from tracer.palette.words import number

__all__ = ["emit"]


def emit(palette: Palette) -> str:
    """The palette as CSV text."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    names = [c.name for c in palette.colours]
    head = ["entry", "entry_hex", *(f"{n}_code" for n in names), *(f"{n}_volts" for n in names), "colour"]
    compared = palette.difference is not None
    head += [*(f"other_{n}_code" for n in names), "other_colour", "differs"] if compared else []
    writer.writerow([safe_cell(h) for h in head])
    others = {a.entry: b for a, b in palette.difference.pairs} if palette.difference else {}
    for entry in palette.entries:
        volts = ("" if v is None else f"{v:.6f}" for v in entry.volts)
        row = [str(entry.entry), number(palette, entry.entry), *map(str, entry.codes), *volts, entry.colour]
        if compared:
            other = others.get(entry.entry, entry)
            row += [*map(str, other.codes), other.colour, "yes" if entry.entry in others else "no"]
        writer.writerow(row)
    return out.getvalue()
