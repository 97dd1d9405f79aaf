"""The command `diagram`: the picture of a map alone."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from tracer.base.errors import UsageError
from tracer.base.write import write_whole
from tracer.cli.exit_codes import OK, STOPPED
from tracer.cli.inputs import as_file_name, saved_map, working
from tracer.cli.outputs import emit
from tracer.cli.tracing import trace_board
from tracer.place.make import WHAT_WOULD_PLACE, place_view
from tracer.place.svg import emit as draw_places

__all__ = ["run"]

_FORMS = ("svg", "png", "dot")


def run(args: argparse.Namespace) -> int:
    """Draw a traced or a saved map; 0 when every bit ends at a memory pin."""
    if args.place:
        return _place(args)
    bit_map = saved_map(args.files) or trace_board(args).bit_map
    target = Path(args.output or f"{as_file_name(bit_map.name)}.svg")
    form = target.suffix.lstrip(".").lower()
    if form not in _FORMS:
        raise UsageError(
            f"a diagram cannot be written as {target.name}", fix="end the name in .svg, .png or .dot"
        )
    with working(f"drawing {target.name}"):
        write_whole(target, emit(form, bit_map))
    print(f"wrote {target}", file=sys.stderr)
    return OK if bit_map.is_complete else STOPPED


def _place(args: argparse.Namespace) -> int:
    if saved_map(args.files) is not None:
        raise UsageError("a saved map does not hold where parts sit", fix="give the board's own files")
    traced = trace_board(args)
    target = Path(args.output or f"{as_file_name(traced.bit_map.name)}-place.svg")
    if target.suffix.lower() != ".svg":
        raise UsageError(f"a place view cannot be written as {target.name}", fix="end the name in .svg")
    view = place_view(traced)
    if view is None:
        print(WHAT_WOULD_PLACE, file=sys.stderr)
        return STOPPED
    write_whole(target, draw_places(view, traced.bit_map))
    print(f"wrote {target}", file=sys.stderr)
    if view.unplaced:
        print(f"not known where they sit: {', '.join(view.unplaced)}", file=sys.stderr)
    return OK if traced.bit_map.is_complete else STOPPED
