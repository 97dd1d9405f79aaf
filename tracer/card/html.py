"""A card as one HTML file: its pages as pictures in their true size; printing gives one sheet a page."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from tracer.card.shapes import Page
from tracer.card.svg import page_as_svg

__all__ = ["pages_as_html"]


def pages_as_html(pages: Sequence[Page], title: str) -> str:
    """Self-contained: no script, nothing from elsewhere."""
    size = f"{pages[0].width:g}mm {pages[0].height:g}mm"
    style = (
        f"@page {{ size: {size}; margin: 0 }} html, body {{ margin: 0; padding: 0; background: #fff }} "
        "svg { display: block; max-width: none; print-color-adjust: exact; -webkit-print-color-adjust: exact; "
        "break-inside: avoid } svg + svg { break-before: page } "
        "@media screen { body { background: #999 } svg { margin: 4mm auto } }"
    )
    svgs = "\n".join(page_as_svg(page, title) for page in pages)
    return (
        "<!doctype html>\n<html lang='en'><head><meta charset='utf-8'>"
        "<meta name='viewport' content='width=device-width, initial-scale=1'>"
        "<meta http-equiv='Content-Security-Policy' content=\"default-src 'none'; style-src 'unsafe-inline'\">"
        f"<title>{escape(title)}</title><style>{style}</style></head><body>\n{svgs}\n</body></html>\n"
    )
