"""What the commands that trace share: from the files that were named to a traced board."""

from __future__ import annotations

import argparse

from tracer.cli.inputs import read_board, working
from tracer.cli.own_files import read_library
from tracer.cli.values import load_told
from tracer.tracing.pipeline import Traced, trace_fully
from tracer.tracing.told_pins import parse_told

__all__ = ["trace_board"]


def trace_board(args: argparse.Namespace) -> Traced:
    """Read a command's files and trace them at its load: of several that are told, the first."""
    told = parse_told(args.pin)
    loads = args.load if isinstance(args.load, list) else [args.load]
    load_ohm = load_told(loads[0] if loads else None)
    netlist, library = read_board(args), read_library(args)
    with working(f"tracing {netlist.name}"):
        return trace_fully(netlist, library, pins=told, load_ohm=load_ohm)
