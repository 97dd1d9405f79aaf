"""A traced board -> its page as one HTML text, with the bench card in it for the print."""

from __future__ import annotations

from collections.abc import Mapping

from tracer.base.errors import PaletteError
from tracer.card.make import make_card
from tracer.card.pages import lay_out
from tracer.card.svg import page_as_svg
from tracer.levels.codes import bench_levels
from tracer.page.html import emit
from tracer.page.make import make_page
from tracer.palette.contents import contents_of
from tracer.palette.make import make_palette
from tracer.palette.values import Palette
from tracer.tracing.pipeline import Traced

__all__ = ["palette_of", "report_text"]


def report_text(
    traced: Traced, load_ohm: float | None, palette: Palette | None = None, why: tuple[str, ...] = ()
) -> str:
    """The page of a board; `why` says what kept the palette from being shown. Arguments as `make_page` has them."""
    page = make_page(traced, load_ohm, palette=palette, palette_words=why)
    name = f"{traced.bit_map.name}: bench card"
    sheets = lay_out(make_card(traced, load_ohm))
    return emit(page, printed="\n".join(page_as_svg(sheet, name) for sheet in sheets))


def palette_of(
    traced: Traced, load_ohm: float | None, told: Mapping[str, str]
) -> tuple[Palette | None, tuple[str, ...]]:
    """The palette of dumps that were told, memory -> file, or why there is none.

    Raises
    ------
    DumpError, UsageError
        As `tracer.palette.contents.contents_of` has them.
    """
    if not told:
        return None, ()
    contents = contents_of(traced, told, "--contents")
    try:
        return make_palette(traced, contents, bench_levels(traced, load_ohm)), ()
    except PaletteError as error:
        return None, (str(error),)
