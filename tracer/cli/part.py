"""The command `part`: the leg table of a chip's marking."""

from __future__ import annotations

import argparse
import sys

from tracer.cli.exit_codes import OK, STOPPED
from tracer.cli.own_files import read_library
from tracer.parts.lookup import look_up
from tracer.parts.table import part_as_json, part_as_text

__all__ = ["run"]


def run(args: argparse.Namespace) -> int:
    """Print the table; 1 for a marking that is not known."""
    found = look_up(args.marking, read_library(args))
    sys.stdout.write(part_as_json(found) if args.json else part_as_text(found))
    return OK if found.type is not None else STOPPED
