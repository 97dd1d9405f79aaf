"""The forms in which a palette can be written: one module each with ``emit(palette) -> str | bytes``."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from typing import cast

from tracer.palette.values import Palette

__all__ = ["PALETTE_FORMS", "emit_palette"]

#: Suffix of the file -> module and a few words.
PALETTE_FORMS: dict[str, tuple[str, str]] = {
    ".svg": ("tracer.palette.sheet", "sheet of swatches"),
    ".png": ("tracer.palette.png", "sheet of swatches as pixels"),
    ".html": ("tracer.palette.html", "page with sheet and tables"),
    ".csv": ("tracer.palette.csv", "one row an entry"),
    ".gpl": ("tracer.palette.gpl", "GIMP palette"),
    ".json": ("tracer.palette.json", "format rgbroots-palette"),
}


def emit_palette(suffix: str, palette: Palette) -> str | bytes:
    """Write a palette in one of `PALETTE_FORMS`."""
    module = import_module(PALETTE_FORMS[suffix][0])
    return cast(Callable[[Palette], str | bytes], module.emit)(palette)
