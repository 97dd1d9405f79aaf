"""A traced board -> its page as one HTML text, with the bench card in it for the print."""

from __future__ import annotations

from tracer.card.make import make_card
from tracer.card.pages import lay_out
from tracer.card.svg import page_as_svg
from tracer.page.html import emit
from tracer.page.make import make_page
from tracer.palette.values import Palette
from tracer.tracing.pipeline import Traced

__all__ = ["report_text"]


def report_text(
    traced: Traced, load_ohm: float | None, palette: Palette | None = None, why: tuple[str, ...] = ()
) -> str:
    """The page of a board; `why` says what kept the palette from being shown. Arguments as `make_page` has them."""
    page = make_page(traced, load_ohm, palette=palette, palette_words=why)
    name = f"{traced.bit_map.name}: bench card"
    sheets = lay_out(make_card(traced, load_ohm))
    return emit(page, printed="\n".join(page_as_svg(sheet, name) for sheet in sheets))
