"""The command `report`: a board's page, one file to open in a browser."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from tracer.base.errors import PaletteError, UsageError
from tracer.base.write import write_whole
from tracer.cli.exit_codes import OK, STOPPED
from tracer.cli.inputs import as_file_name, working
from tracer.cli.tracing import trace_board
from tracer.cli.values import contents_told
from tracer.levels.codes import bench_levels
from tracer.page.report import report_text
from tracer.palette.contents import contents_of
from tracer.palette.make import make_palette
from tracer.palette.values import Palette
from tracer.tracing.pipeline import Traced

__all__ = ["run"]


def run(args: argparse.Namespace) -> int:
    """Write the page; 0 when every bit ends at a memory pin and the dumps that were given make a palette."""
    if args.output and Path(args.output).suffix.lower() not in (".html", ".htm"):
        raise UsageError(f"a page cannot be written as {Path(args.output).name}", fix="end the name in .html")
    traced = trace_board(args)
    load_ohm = traced.bit_map.load_ohm
    palette, why = _palette(args, traced, load_ohm)
    target = Path(args.output or f"{as_file_name(traced.bit_map.name)}.html")
    with working("computing levels and faults, drawing the page"):
        text = report_text(traced, load_ohm, palette, why)
    write_whole(target, text)
    print(f"wrote {target}", file=sys.stderr)
    return OK if traced.bit_map.is_complete and not why else STOPPED


def _palette(
    args: argparse.Namespace, traced: Traced, load_ohm: float | None
) -> tuple[Palette | None, tuple[str, ...]]:
    """The palette of the contents that were given, or why there is none."""
    if not args.contents:
        return None, ()
    contents = contents_of(traced, contents_told("--contents", args.contents), "--contents")
    try:
        return make_palette(traced, contents, bench_levels(traced, load_ohm)), ()
    except PaletteError as error:
        print(error, file=sys.stderr)
        return None, (str(error),)
