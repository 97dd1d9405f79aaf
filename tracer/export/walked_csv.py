"""The walked circuit as CSV (RFC 4180): one row an edge."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from tracer.bitmap.csv import safe_cell
from tracer.export.values import WHOLE, WalkedEdge

__all__ = ["COLUMNS", "edges_as_csv", "passing_text"]

COLUMNS = ("from", "to", "part", "kind", "ohm", "inverts", "carries")


def edges_as_csv(edges: Sequence[WalkedEdge]) -> str:
    """The edges as CSV text."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for edge in edges:
        ohm = "" if edge.ohm is None else f"{edge.ohm:g}"
        row = (
            str(edge.source),
            str(edge.target),
            edge.part,
            edge.kind,
            ohm,
            "yes" if edge.inverts else "no",
            passing_text(edge),
        )
        writer.writerow([safe_cell(cell) for cell in row])
    return out.getvalue()


def passing_text(edge: WalkedEdge) -> str:
    """``red 3, green``: bits and whole colours that pass an edge."""
    return ", ".join(colour if bit == WHOLE else f"{colour} {bit}" for colour, bit in edge.colours)
