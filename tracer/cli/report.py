"""The command `report`: a board's page, one file to open in a browser."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from tracer.base.errors import PaletteError, UsageError
from tracer.cli.inputs import (
    add_command,
    add_inputs,
    add_tracing,
    as_file_name,
    parse_load,
    trace_board,
    working,
)

TYPE_CHECKING = False
if TYPE_CHECKING:
    from tracer.cli.inputs import Commands
    from tracer.palette.values import Palette
    from tracer.tracing.pipeline import Traced

__all__ = ["add", "report_text"]

OK, STOPPED = 0, 1


def add(commands: Commands) -> None:
    """Add the command to the parser."""
    parser = add_command(
        commands,
        "report",
        "write a board's page: diagram, legs, faults and palette in one HTML file",
        "rgbroots report dunlin.net -o dunlin.html",
        _run,
    )
    add_inputs(parser)
    add_tracing(parser)
    parser.add_argument(
        "--contents",
        action="append",
        default=[],
        metavar="U4=FILE",
        help="what a memory holds, for the swatches: raw, Intel HEX or S-records",
    )
    parser.add_argument("-o", "--output", metavar="FILE", help=".html (default: BOARD.html)")


def _run(args: argparse.Namespace) -> int:
    if args.output and Path(args.output).suffix.lower() not in (".html", ".htm"):
        raise UsageError(f"a page cannot be written as {Path(args.output).name}", fix="end the name in .html")
    traced = trace_board(args)
    from tracer.base.write import write_whole

    palette, why = _palette(args, traced, parse_load(args.load))
    target = Path(args.output or f"{as_file_name(traced.bit_map.name)}.html")
    write_whole(target, report_text(traced, parse_load(args.load), palette, why))
    print(f"wrote {target}", file=sys.stderr)
    return OK if traced.bit_map.is_complete and not why else STOPPED


def report_text(
    traced: Traced, load_ohm: float | None, palette: Palette | None = None, why: tuple[str, ...] = ()
) -> str:
    """The page of a board; `why` says what kept the palette from being shown."""
    from tracer.card.make import make_card
    from tracer.card.pages import lay_out
    from tracer.card.svg import page_as_svg
    from tracer.page.html import emit
    from tracer.page.make import make_page
    from tracer.suspects.answer import answer_notes

    with working("computing levels and faults"):
        suspects = answer_notes(traced, load_ohm)
        page = make_page(traced, load_ohm, palette=palette, palette_words=why, suspects=suspects)
    with working("drawing the page"):
        name = f"{traced.bit_map.name}: bench card"
        card = lay_out(make_card(traced, load_ohm))
        return emit(page, printed="\n".join(page_as_svg(sheet, name) for sheet in card))


def _palette(
    args: argparse.Namespace, traced: Traced, load_ohm: float | None
) -> tuple[Palette | None, tuple[str, ...]]:
    """The palette of the contents that were given, or why there is none."""
    if not args.contents:
        return None, ()
    from tracer.cli.contents import contents_told, read_contents
    from tracer.levels.codes import bench_levels
    from tracer.palette.make import make_palette

    contents = read_contents(traced, contents_told("--contents", args.contents), "--contents")
    try:
        return make_palette(traced, bench_levels(traced, load_ohm), contents), ()
    except PaletteError as error:
        print(error, file=sys.stderr)
        return None, (str(error),)
