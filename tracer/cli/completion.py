"""The command `completion`: what lets a shell complete commands, options and files at the tab key.

The scripts are made by shtab from the parser itself; it is imported only here, as nothing else needs it.
"""

from __future__ import annotations

import argparse
import sys

from tracer.base.errors import UsageError
from tracer.cli.exit_codes import OK
from tracer.cli.main import build_parser
from tracer.export.netlists.netlists import NETLIST_FORMS
from tracer.importers.formats import FORMATS

__all__ = ["run"]


def run(args: argparse.Namespace) -> int:
    """Print the script; it is made from the parser of all commands."""
    try:
        import shtab
    except ImportError:
        raise UsageError(
            "completion scripts are made by the Python package shtab, which is not installed",
            fix="pip install 'rgbroots[completion]', or pip install shtab",
        ) from None
    if args.shell not in shtab.SUPPORTED_SHELLS:
        raise UsageError(
            f"shtab {shtab.__version__} writes no script for {args.shell}",
            fix="pip install --upgrade shtab",
        )
    root = build_parser()
    _say_what_completes(root, shtab.FILE, shtab.DIRECTORY)
    sys.stdout.write(shtab.complete(root, args.shell))
    return OK


def _say_what_completes(parser: argparse.ArgumentParser, file: object, folder: object) -> None:
    """Mark the arguments that are files, and those of a fixed list of names."""
    names = {"--format": [f.name for f in FORMATS], "--to": [f.name for f in NETLIST_FORMS]}
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            for each in action.choices.values():
                _say_what_completes(each, file, folder)
            continue
        for option in names.keys() & set(action.option_strings):
            action.choices = names[option]
        if isinstance(action.metavar, str) and action.metavar.startswith("FILE"):
            action.complete = file  # type: ignore[attr-defined]
        elif action.metavar == "DIR":
            action.complete = folder  # type: ignore[attr-defined]
