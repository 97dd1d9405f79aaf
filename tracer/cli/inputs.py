"""What the commands share: their options for boards, and reading, merging, joining and tracing them."""

from __future__ import annotations

import argparse
import os
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from tracer.base.errors import UsageError
from tracer.base.visible import visible

TYPE_CHECKING = False
if TYPE_CHECKING:
    from tracer.base.toml_numbers import NumberTables
    from tracer.bitmap.model import BitMap
    from tracer.netlist.board import Netlist
    from tracer.parts.library import Library
    from tracer.tracing.pipeline import Traced

    #: What `ArgumentParser.add_subparsers` gives.
    Commands = argparse._SubParsersAction[argparse.ArgumentParser]

__all__ = [
    "add_command",
    "add_inputs",
    "add_pins",
    "add_tracing",
    "as_file_name",
    "is_coloured",
    "parse_load",
    "read_board",
    "read_library",
    "saved_map",
    "trace_board",
    "wiring_numbers",
    "working",
]

_LONGEST_FILE_NAME = 200


def add_command(
    commands: Commands,
    name: str,
    what: str,
    example: str,
    run: Callable[[argparse.Namespace], int],
) -> argparse.ArgumentParser:
    """A command with its help, its example and what runs it."""
    parser = commands.add_parser(
        name,
        help=what,
        description=what[0].upper() + what[1:] + ".",
        epilog=f"Example: {example}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.set_defaults(run=run)
    return parser


def add_inputs(parser: argparse.ArgumentParser) -> None:
    """The options of commands that read boards."""
    parser.add_argument(
        "files", nargs="+", metavar="FILE", help="netlist, schematic or table; NAME=FILE names its board"
    )
    parser.add_argument(
        "--join", action="append", default=[], metavar="A:J3=B:J1", help="join two boards by a cable"
    )
    parser.add_argument(
        "--part", action="append", default=[], metavar="U31=74LS374", help="tell what a part is"
    )
    parser.add_argument(
        "--parts", action="append", default=[], metavar="FILE", help="part types of your own (TOML)"
    )
    parser.add_argument(
        "--format", metavar="NAME", help="take the files as this format instead of looking at them"
    )
    parser.add_argument("--encoding", metavar="NAME", help="character encoding of the files")
    parser.add_argument(
        "--spice-pins", metavar="FILE", help="legs of a SPICE deck's subcircuits (NAME,leg,leg ...)"
    )


def add_pins(parser: argparse.ArgumentParser) -> None:
    """The option that tells colour pins."""
    parser.add_argument(
        "--pin", action="append", default=[], metavar="red=J1.12", help="tell a colour pin (or red=net:NAME)"
    )


def add_tracing(parser: argparse.ArgumentParser) -> None:
    """The options of commands that trace at one load."""
    add_pins(parser)
    parser.add_argument(
        "--load", default="75", metavar="OHM", help="the monitor's input in ohms, or none (default 75)"
    )


@contextmanager
def working(what: str) -> Iterator[None]:
    """Say on the terminal what takes longer than a second."""
    timer = threading.Timer(1.0, lambda: print(f"{what} ...", file=sys.stderr))
    timer.daemon = True
    if sys.stderr.isatty():
        timer.start()
    try:
        yield
    finally:
        timer.cancel()


def read_library(args: argparse.Namespace) -> Library:
    """The part types, with those of the user's files."""
    from tracer.importers.text import decode, read_bytes
    from tracer.parts.library import load_library

    return load_library([(f, decode(read_bytes(Path(f)), f)[0]) for f in args.parts])


def _pin_tables(args: argparse.Namespace) -> dict[str, tuple[str, ...]] | None:
    from tracer.importers.spice.pins import load_pin_tables
    from tracer.importers.text import decode, read_bytes

    file = args.spice_pins
    return load_pin_tables(decode(read_bytes(Path(file)), file)[0], file) if file else None


def read_board(args: argparse.Namespace) -> Netlist:
    """Read, merge and join the files of a command."""
    from tracer.importers import read_netlist
    from tracer.netlist.board import with_markings
    from tracer.netlist.join import join_boards, parse_join
    from tracer.netlist.merge import merge_netlists

    joins = [parse_join(j) for j in args.join]
    boards: dict[str, list[Netlist]] = {}
    for number, spec in enumerate(args.files):
        name, equals, file = spec.partition("=")
        if not equals or Path(spec).exists():
            # Without names the boards of a join are A, B, C in the order of the files.
            name, file = (chr(ord("A") + number) if joins else "", spec)
        with working(f"reading {file}"):
            read = read_netlist(
                file, format_name=args.format, encoding=args.encoding, spice_pins=_pin_tables(args)
            )
        boards.setdefault(visible(name), []).append(read)
    merged = {name: merge_netlists(parts) for name, parts in boards.items()}
    if joins:
        netlist = join_boards(merged, joins)
    elif len(merged) == 1:
        netlist = next(iter(merged.values()))
    else:
        raise UsageError(
            f"{len(merged)} boards are named but nothing joins them",
            fix="add --join A:J3=B:J1, or leave the names out",
        )
    if not netlist.nets:
        raise UsageError(
            f"{netlist.name} has parts but no nets",
            fix="give a net list beside the part list; a table needs the columns part, pin, net",
        )
    markings = {}
    for told in args.part:
        reference, equals, marking = told.partition("=")
        if not equals or not reference or not marking:
            raise UsageError(f"--part {told} is not understood", fix="write --part U31=74LS374")
        markings[reference] = visible(marking)
    return with_markings(netlist, markings) if markings else netlist


def trace_board(args: argparse.Namespace, load: str | None = None) -> Traced:
    """Read a command's files and trace them; at `load` where the command has no ``--load`` of one value."""
    from tracer.tracing.colour_pins import parse_told
    from tracer.tracing.pipeline import trace_fully

    told = parse_told(args.pin)
    load_ohm = parse_load(load or args.load)
    netlist, library = read_board(args), read_library(args)
    with working(f"tracing {netlist.name}"):
        return trace_fully(netlist, library, pins=told, load_ohm=load_ohm)


def parse_load(text: str) -> float | None:
    """Ohms of a ``--load``; None for none."""
    from tracer.base.units import parse_ohm

    if text.lower() == "none":
        return None
    ohm = parse_ohm(text)
    if not ohm:
        raise UsageError(f"--load {text} is no resistance", fix="write --load 75, --load 1k or --load none")
    return ohm


def wiring_numbers(file: str | None) -> NumberTables:
    """The numbers of how boards are wired, with those of the user's file."""
    from tracer.beeps.weights import load_wiring
    from tracer.importers.text import decode, read_bytes

    text = decode(read_bytes(Path(file)), file)[0] if file else None
    return load_wiring(text, file or "")


def saved_map(file: str) -> BitMap | None:
    """The map in a file that this program wrote, or None when the file is something else."""
    path = Path(file)
    if path.suffix.lower() != ".json" or not path.is_file():
        return None
    from tracer.bitmap.read import read_map
    from tracer.importers.text import decode, read_bytes

    return read_map(decode(read_bytes(path), file)[0], file)


def as_file_name(name: str) -> str:
    """A board's name as that of a file in this folder, whatever the name holds.

    >>> as_file_name("../a:b"), as_file_name("")
    ('.._a_b', 'board')
    """
    kept = "".join("_" if c in '/\\:*?"<>|' or not c.isprintable() else c for c in name)
    # File systems take 255 bytes, and an ending must follow.
    return kept.encode()[:_LONGEST_FILE_NAME].decode(errors="ignore").strip() or "board"


def is_coloured() -> bool:
    """Whether the terminal gets colours: https://no-color.org, an informal standard."""
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
