"""The command line: find the command, run it, give its exit code. Nothing is computed here."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from importlib import import_module

from tracer.base.errors import TracerError
from tracer.base.plain import write_what_streams_hold
from tracer.cli.commands import COMMANDS
from tracer.cli.exit_codes import OK, UNREADABLE
from tracer.cli.options import OPTIONS
from tracer.cli.parser import Parser

__all__ = ["build_parser", "main"]


def main(argv: Sequence[str] | None = None) -> int:
    """Run the program; gives its exit code."""
    write_what_streams_hold()
    parser = build_parser()
    args = parser.parse_args(argv)
    write_what_streams_hold(
        "json" if getattr(args, "json", False) else "xml" if getattr(args, "graphml", False) else "text"
    )
    if args.version:
        print(_version())
        return OK
    if not hasattr(args, "module"):
        parser.print_help()
        return UNREADABLE
    try:
        # What one command needs would make all of them start later.
        code: int = import_module(args.module).run(args)
        return code
    except TracerError as error:
        print(error, file=sys.stderr)
        return UNREADABLE
    except BrokenPipeError:
        # The reader of a pipe went away (`| head`): not our error.
        sys.stdout = open(os.devnull, "w")  # noqa: SIM115, PTH123
        return OK
    except KeyboardInterrupt:
        print("stopped", file=sys.stderr)
        return UNREADABLE


def _version() -> str:
    """The program's version, and what else a person is asked for who reports a mistake of it."""
    # Loaded for this alone.
    import platform

    from tracer.base.own_version import own_version

    own = own_version() or "that is not installed"
    return f"rgbroots {own} (Python {platform.python_version()}, {platform.system()} {platform.machine()})"


def build_parser() -> Parser:
    """The parser of all commands; also what completion files are made from."""
    parser = Parser(
        prog="rgbroots",
        description="Traces the colours of a raster-video board from the connector back to the memory pins that "
        "store them.",
        epilog="Example: rgbroots trace dunlin.net -o dunlin",
    )
    parser.add_argument("--version", action="store_true", help="print the version and exit")
    subparsers = parser.add_subparsers(title="commands", metavar="COMMAND")
    for command in COMMANDS:
        subparser = subparsers.add_parser(
            command.name,
            help=command.what,
            description=command.what[0].upper() + command.what[1:] + ".",
            epilog=f"Example: {command.example}",
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )
        OPTIONS[command.name](subparser)
        subparser.set_defaults(module=command.module)
    return parser
