"""The command `check`: what is odd about a netlist or a saved map."""

from __future__ import annotations

import argparse
import sys

from tracer.bitmap.checked import check_as_json, check_as_text, map_check_as_json, map_check_as_text
from tracer.cli.exit_codes import OK, STOPPED
from tracer.cli.inputs import read_board, saved_map, working
from tracer.cli.own_files import read_library
from tracer.netlist.check import check_netlist

__all__ = ["run"]


def run(args: argparse.Namespace) -> int:
    """Print the findings; 1 when one is a warning."""
    bit_map = saved_map(args.files)
    if bit_map is not None:
        findings = bit_map.findings
        text = map_check_as_json(bit_map) if args.json else map_check_as_text(args.files[0], bit_map)
    else:
        netlist = read_board(args)
        # Nothing is asked of it here, but its mistakes are said.
        read_library(args)
        with working(f"checking {netlist.name}"):
            findings = check_netlist(netlist)
        text = check_as_json(netlist, findings) if args.json else check_as_text(netlist, findings)
    sys.stdout.write(text)
    return STOPPED if any(f.severity == "warning" for f in findings) else OK
