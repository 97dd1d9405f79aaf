"""Levels as CSV (RFC 4180): one row a colour, load and code."""

from __future__ import annotations

import csv
import io

from tracer.bitmap.csv import safe_cell
from tracer.levels.values import LevelTable

__all__ = ["COLUMNS", "levels_as_csv"]

COLUMNS = ("colour", "load_ohm", "code", "bits", "volts", "lowest", "highest")


def levels_as_csv(table: LevelTable) -> str:
    """The levels of a board; an empty ``load_ohm`` = no load."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for colour in table.colours:
        for load in colour.loads:
            ohm = "" if load.load_ohm is None else f"{load.load_ohm:g}"
            for level in load.codes:
                bits = f"{level.code:0{colour.n_bits}b}"
                volts = (f"{v:.6f}" for v in (level.volts, level.lowest, level.highest))
                writer.writerow([safe_cell(colour.colour), ohm, level.code, bits, *volts])
    return out.getvalue()
