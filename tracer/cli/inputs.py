"""What the commands share: reading, merging and joining the files that were named."""

from __future__ import annotations

import argparse
import os
import sys
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from tracer.bitmap.model import BitMap
from tracer.bitmap.read import read_map
from tracer.cli.own_files import read_text
from tracer.importers.spice.pins import load_pin_tables
from tracer.importers.together import named_file, read_together
from tracer.netlist.board import Netlist

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
    return [named_file(spec, number, bool(args.join)) for number, spec in enumerate(args.files)]


def read_board(args: argparse.Namespace) -> Netlist:
    """Read, merge and join the files of a command."""
    return read_together(
        named_files(args),
        joins=args.join,
        markings=args.part,
        format_name=args.format,
        encoding=args.encoding,
        spice_pins=_pin_tables(args),
        working=working,
    )


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
