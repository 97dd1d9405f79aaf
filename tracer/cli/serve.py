"""The command `serve`: the tracer in a browser, from a built folder, on this machine alone."""

from __future__ import annotations

import argparse
from pathlib import Path

from tracer.cli.exit_codes import OK
from tracer.web.serve import open_server

__all__ = ["run"]


def run(args: argparse.Namespace) -> int:
    """Say the address, and answer browsers until Ctrl-C."""
    with open_server(Path(args.folder), args.port) as server:
        try:
            # At once, also into a pipe: what follows has no end.
            print(f"open {server.url} in a browser; Ctrl-C ends it", flush=True)
            server.serve_forever()
        except KeyboardInterrupt:
            # The way to end it, and no mistake.
            return OK
    return OK
