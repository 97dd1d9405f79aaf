"""What the commands that trace share: from the files that were named to a traced board."""

from __future__ import annotations

import argparse

from tracer.cli.inputs import read_board, working
from tracer.cli.own_files import read_library
from tracer.cli.values import parse_load
from tracer.tracing.pipeline import Traced, trace_fully
from tracer.tracing.told_pins import parse_told

__all__ = ["trace_board"]


def trace_board(args: argparse.Namespace, load: str | None = None) -> Traced:
    """Read a command's files and trace them; at `load` where the command has no ``--load`` of one value."""
    told = parse_told(args.pin)
    load_ohm = parse_load(load or args.load)
    netlist, library = read_board(args), read_library(args)
    with working(f"tracing {netlist.name}"):
        return trace_fully(netlist, library, pins=told, load_ohm=load_ohm)
