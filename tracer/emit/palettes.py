"""The forms in which a palette can be written: one module each with ``emit(palette) -> str | bytes``."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from typing import cast

from tracer.palette_table import Palette

__all__ = ["PALETTE_FORMS", "emit_palette"]

#: Suffix of the file -> module and a few words.
PALETTE_FORMS: dict[str, tuple[str, str]] = {
    ".svg": ("tracer.emit.palette_sheet", "sheet of swatches"),
    ".png": ("tracer.emit.palette_png", "sheet of swatches as pixels"),
    ".html": ("tracer.emit.palette_html", "page with sheet and tables"),
    ".csv": ("tracer.emit.palette_csv", "one row an entry"),
    ".gpl": ("tracer.emit.palette_gpl", "GIMP palette"),
    ".json": ("tracer.emit.palette_json", "format rgbroots-palette"),
}


def emit_palette(suffix: str, palette: Palette) -> str | bytes:
    """Write a palette in one of `PALETTE_FORMS`."""
    module = import_module(PALETTE_FORMS[suffix][0])
    return cast(Callable[[Palette], str | bytes], module.emit)(palette)
