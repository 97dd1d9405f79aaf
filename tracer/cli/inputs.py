"""What the commands share: reading, merging and joining the files that were named."""

from __future__ import annotations

import argparse
import os
import sys
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from tracer.base.errors import UsageError
from tracer.base.visible import visible
from tracer.bitmap.model import BitMap
from tracer.bitmap.read import read_map
from tracer.cli.own_files import read_text
from tracer.importers import read_netlist
from tracer.importers.spice.pins import load_pin_tables
from tracer.netlist.board import Netlist, with_markings
from tracer.netlist.join import join_boards, parse_join
from tracer.netlist.merge import merge_netlists

__all__ = [
    "as_file_name",
    "is_coloured",
    "named_files",
    "read_board",
    "saved_map",
    "working",
]

_LONGEST_FILE_NAME = 200


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


def saved_map(files: Sequence[str]) -> BitMap | None:
    """The map in the one file that was named, or None when that is something else or there are several."""
    if len(files) != 1 or Path(files[0]).suffix.lower() != ".json" or not Path(files[0]).is_file():
        return None
    return read_map(read_text(files[0]), files[0])


def named_files(args: argparse.Namespace) -> list[tuple[str, str]]:
    """The files of a command, each with the name of its board; empty where none is needed."""
    found = []
    for number, spec in enumerate(args.files):
        name, equals, file = spec.partition("=")
        if not equals or Path(spec).exists():
            # Without names the boards of a join are A, B, C in the order of the files.
            name, file = (chr(ord("A") + number) if args.join else "", spec)
        found.append((visible(name), file))
    return found


def read_board(args: argparse.Namespace) -> Netlist:
    """Read, merge and join the files of a command."""
    joins = [parse_join(j) for j in args.join]
    boards: dict[str, list[Netlist]] = {}
    for name, file in named_files(args):
        with working(f"reading {file}"):
            read = read_netlist(
                file, format_name=args.format, encoding=args.encoding, spice_pins=_pin_tables(args)
            )
        boards.setdefault(name, []).append(read)
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


def _pin_tables(args: argparse.Namespace) -> dict[str, tuple[str, ...]] | None:
    file = args.spice_pins
    return load_pin_tables(read_text(file), file) if file else None


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
