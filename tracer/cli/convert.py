"""The command `convert`: a netlist in another form."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from tracer.base.errors import UsageError
from tracer.base.names import nearest
from tracer.base.write import write_whole
from tracer.cli.exit_codes import OK
from tracer.cli.inputs import read_board, working
from tracer.export.netlists.netlists import NETLIST_FORMS, write_netlist

__all__ = ["run"]


def run(args: argparse.Namespace) -> int:
    """Write the netlist, and say what its new form cannot hold."""
    target = Path(args.output)
    known = {f.name if args.to else f.suffix: f for f in reversed(NETLIST_FORMS)}
    form = known.get(args.to or target.suffix.lower())
    if form is None:
        forms = ", ".join(f"{f.name} ({f.suffix})" for f in NETLIST_FORMS)
        near = nearest(args.to or target.suffix, known)
        raise UsageError(
            f"{args.to or target.name} is no form that can be written", fix=f"{near}the forms are: {forms}"
        )
    board = read_board(args)
    with working(f"writing {target.name}"):
        text, lost = write_netlist(form.name, board)
        write_whole(target, text)
    print(f"wrote {target}", file=sys.stderr)
    if lost:
        print(f"a {form.what} cannot hold: {', '.join(lost)}", file=sys.stderr)
    return OK
