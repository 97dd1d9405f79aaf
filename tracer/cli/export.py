"""The command `export`: the walked circuit for other programs."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from tracer.base.write import write_whole
from tracer.cli.exit_codes import OK, STOPPED
from tracer.cli.inputs import working
from tracer.cli.tracing import trace_board
from tracer.export.carried import net_bits
from tracer.export.deck import decks_of
from tracer.export.edges import walked_edges
from tracer.export.nets_csv import nets_as_csv
from tracer.export.spice import decks_as_spice
from tracer.export.walked_csv import edges_as_csv
from tracer.export.walked_graphml import edges_as_graphml

__all__ = ["run"]


def run(args: argparse.Namespace) -> int:
    """Write the circuit; 0 when every bit ends at a memory pin."""
    traced = trace_board(args)
    with working("writing the circuit"):
        if args.spice:
            text = decks_as_spice(traced.bit_map.name, decks_of(traced, traced.bit_map.load_ohm))
        elif args.nets:
            text = nets_as_csv(net_bits(traced))
        else:
            edges = walked_edges(traced)
            text = edges_as_graphml(traced.bit_map.name, edges) if args.graphml else edges_as_csv(edges)
    if args.output:
        write_whole(Path(args.output), text)
        print(f"wrote {args.output}", file=sys.stderr)
    else:
        sys.stdout.write(text)
    return OK if traced.bit_map.is_complete else STOPPED
