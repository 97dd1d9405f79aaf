"""The command `report`: a board's page, one file to open in a browser."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from tracer.base.errors import UsageError
from tracer.base.write import write_whole
from tracer.cli.exit_codes import OK, STOPPED
from tracer.cli.inputs import as_file_name, working
from tracer.cli.tracing import trace_board
from tracer.page.report import palette_of, report_text
from tracer.palette.contents import contents_told

__all__ = ["run"]


def run(args: argparse.Namespace) -> int:
    """Write the page; 0 when every bit ends at a memory pin and the dumps that were given make a palette."""
    if args.output and Path(args.output).suffix.lower() not in (".html", ".htm"):
        raise UsageError(f"a page cannot be written as {Path(args.output).name}", fix="end the name in .html")
    traced = trace_board(args)
    load_ohm = traced.bit_map.load_ohm
    palette, why = palette_of(traced, load_ohm, contents_told("--contents", args.contents))
    for words in why:
        print(words, file=sys.stderr)
    target = Path(args.output or f"{as_file_name(traced.bit_map.name)}.html")
    with working("computing levels and faults, drawing the page"):
        text = report_text(traced, load_ohm, palette, why)
    write_whole(target, text)
    print(f"wrote {target}", file=sys.stderr)
    return OK if traced.bit_map.is_complete and not why else STOPPED
