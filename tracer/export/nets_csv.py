"""The nets of the colours as CSV (RFC 4180): one row a net and bit; the bit is empty where the whole colour passes."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from tracer.bitmap.csv import safe_cell
from tracer.export.carried import NetBit
from tracer.export.values import WHOLE

__all__ = ["COLUMNS", "nets_as_csv"]

COLUMNS = ("net", "colour", "bit", "role")


def nets_as_csv(nets: Sequence[NetBit]) -> str:
    """The nets as CSV text."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for each in nets:
        bit = "" if each.bit == WHOLE else str(each.bit)
        writer.writerow([safe_cell(each.net), each.colour, bit, each.role])
    return out.getvalue()
