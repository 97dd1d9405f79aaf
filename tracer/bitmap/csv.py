"""The map as CSV (RFC 4180): one row a path, the way as text. A cell that a spreadsheet would take for a
formula gets a leading apostrophe."""

from __future__ import annotations

import csv
import io

from tracer.base.text import leg
from tracer.bitmap.model import BitMap, Path
from tracer.bitmap.text import colour_pin_text, resistor_text, source_text, status_text, way_text, when_text

__all__ = ["COLUMNS", "emit", "safe_cell"]

COLUMNS = (
    "colour", "colour_pin", "bit", "weight", "resistors", "driver", "driver_type", "status", "role", "when", "way",
    "source", "source_type", "source_name", "source_kind", "place", "because",
)  # fmt: skip


def emit(bit_map: BitMap) -> str:
    """The map as CSV text."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for colour in bit_map.colours:
        where = colour_pin_text(colour.pin, named=False)
        for bit in colour.bits:
            start = (
                colour.name,
                where,
                bit.bit,
                f"{bit.weight:.6f}",
                " ".join(resistor_text(r) for r in bit.resistors),
                leg(bit.driver.part, bit.driver.pin),
                bit.driver.type,
                status_text(bit),
            )
            for path in bit.paths:
                writer.writerow(
                    [safe_cell(str(cell)) for cell in (*start, *_path_cells(path), bit.because or "")]
                )
    return out.getvalue()


def _path_cells(path: Path) -> tuple[str, ...]:
    source = path.source
    return (
        path.role,
        when_text(path.when),
        way_text(path.steps),
        source_text(source, named=False),
        source.type or "",
        source.name,
        source.kind,
        source.place or "",
    )


def safe_cell(cell: str) -> str:
    """A cell that no spreadsheet takes for a formula."""
    return "'" + cell if cell.startswith(("=", "+", "-", "@", "\t", "\r")) and not _is_number(cell) else cell


def _is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True
