"""What the readers of KiCad schematics say of a drawing that looks joined but is not."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from tracer.base.findings import Finding, warning
from tracer.importers.kicad.sheet_file import STEPS_PER_MM, Point, SheetFile, SheetSymbol

__all__ = ["sheet_pins_without_label", "touches_without_junction"]


def touches_without_junction(file: str, points: Sequence[Point]) -> Finding:
    """Wire ends and pins on the inside of a wire."""
    at = ", ".join(f"{x / STEPS_PER_MM:g},{y / STEPS_PER_MM:g} mm" for x, y in points[:4])
    return warning(
        "touch-without-junction",
        f"{len(points)} wire end(s) or pin(s) touch a wire without a junction in {file} "
        f"(at {at}{' ...' if len(points) > 4 else ''}); they look joined but are not",
        file,
    )


def sheet_pins_without_label(
    symbol: SheetSymbol, below: SheetFile, names: Callable[[str], Sequence[str]] = lambda text: (text,)
) -> list[Finding]:
    """Pins of a sheet that no hierarchical label in it takes up; `names` are those that a text stands for."""
    labels = {name for x in below.labels if x.kind == "hierarchical" for name in names(x.text)}
    missing = sorted({p.name for p in symbol.pins if not labels.intersection(names(p.name))})
    if not missing:
        return []
    return [
        warning(
            "missing-sheet-pin",
            f"sheet {symbol.name} has pins without a hierarchical label in {symbol.file}: "
            f"{', '.join(missing[:6])}; they lead nowhere",
            str(symbol.origin),
        )
    ]
