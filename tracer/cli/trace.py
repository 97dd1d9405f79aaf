"""The command `trace`: the map on the terminal, and a folder of everything that follows from it."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from tracer.bitmap import terminal
from tracer.cli.exit_codes import OK, STOPPED
from tracer.cli.inputs import is_coloured
from tracer.cli.outputs import emit
from tracer.cli.tracing import trace_board

__all__ = ["run"]


def run(args: argparse.Namespace) -> int:
    """Trace and print; 0 when every bit ends at a memory pin."""
    traced = trace_board(args)
    bit_map = traced.bit_map
    if args.json:
        sys.stdout.write(emit("json", bit_map))
    else:
        sys.stdout.write(terminal.emit(bit_map, coloured=is_coloured()))
    if args.output:
        # Card and page bring levels and suspects, which a map alone needs not.
        from tracer.cli.folder import write_folder

        write_folder(Path(args.output), traced, traced.bit_map.load_ohm)
    return OK if bit_map.is_complete else STOPPED
