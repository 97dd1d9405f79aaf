"""Files of the user's that tell the program something: part types, and numbers of how boards are wired."""

from __future__ import annotations

import argparse
from pathlib import Path

from tracer.base.toml_numbers import NumberTables
from tracer.beeps.weights import load_wiring
from tracer.importers.text import decode, read_bytes
from tracer.parts.library import Library, load_library

__all__ = ["read_library", "read_text", "read_wiring"]


def read_text(file: str) -> str:
    """The text of a file of the user's."""
    return decode(read_bytes(Path(file)), file)[0]


def read_library(args: argparse.Namespace) -> Library:
    """The part types, with those of the user's files."""
    return load_library([(file, read_text(file)) for file in args.parts])


def read_wiring(file: str | None) -> NumberTables:
    """The numbers of how boards are wired, with those of the user's file."""
    return load_wiring(read_text(file) if file else None, file or "")
