"""The command `card`: a working paper for the bench."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Literal

from tracer.base.errors import UsageError
from tracer.base.write import write_whole
from tracer.card.html import pages_as_html
from tracer.card.make import card_of_map, make_card
from tracer.card.pages import lay_out
from tracer.card.pdf import pages_as_pdf, without_glyph
from tracer.card.shapes import Page
from tracer.card.svg import pages_as_svg
from tracer.card.values import BoardCard
from tracer.card.words import title_text
from tracer.cli.exit_codes import OK, STOPPED
from tracer.cli.inputs import as_file_name, saved_map, working
from tracer.cli.own_files import read_library
from tracer.cli.tracing import trace_board

__all__ = ["run", "write_card"]

_FORMS = (".pdf", ".html", ".svg")


def run(args: argparse.Namespace) -> int:
    """Write the card; 0 when every bit ends at a memory pin."""
    if args.output and Path(args.output).suffix.lower() not in _FORMS:
        raise UsageError(
            f"a card cannot be written as {Path(args.output).name}",
            fix=f"end the name in {', '.join(_FORMS)}",
        )
    card = _card(args)
    target = Path(args.output or f"{as_file_name(card.bit_map.name)}-card.html")
    pages = write_card(card, target, args.paper)
    print(f"wrote {target} ({pages} page{'s' if pages > 1 else ''})", file=sys.stderr)
    return OK if card.bit_map.is_complete else STOPPED


def write_card(card: BoardCard, target: Path, paper: Literal["a4", "letter"] = "a4") -> int:
    """Write a card in the form that the file's name tells; gives its number of pages.

    Raises
    ------
    EmitError
        It is to be a PDF, and the library for that is not installed.
    """
    with working("laying out the card"):
        pages = lay_out(card, paper)
    title = title_text(card)
    with working(f"writing {target.name}"):
        write_whole(target, _content(pages, title, target.suffix.lower()))
    return len(pages)


def _content(pages: Sequence[Page], title: str, form: str) -> str | bytes:
    if form != ".pdf":
        return pages_as_svg(pages, title) if form == ".svg" else pages_as_html(pages, title)
    content = pages_as_pdf(pages, title)
    if lost := without_glyph(pages):
        print(
            f"{lost} letters are not in the PDF's face and stand as ?; .html and .svg have them",
            file=sys.stderr,
        )
    return content


def _card(args: argparse.Namespace) -> BoardCard:
    bit_map = saved_map(args.files)
    if bit_map is not None:
        return card_of_map(bit_map, read_library(args))
    traced = trace_board(args)
    with working("computing what the card shows"):
        return make_card(traced, traced.bit_map.load_ohm)
