"""Options that several commands have, each described once; and what their values mean."""

from __future__ import annotations

import argparse

from tracer.base.errors import UsageError
from tracer.base.units import parse_ohm

__all__ = [
    "add_contents",
    "add_files",
    "add_json",
    "add_own_parts",
    "add_pins",
    "add_tracing",
    "add_wiring",
    "contents_told",
    "parse_load",
]


def add_files(parser: argparse.ArgumentParser) -> None:
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
    add_own_parts(parser)
    parser.add_argument(
        "--format", metavar="NAME", help="take the files as this format instead of looking at them"
    )
    parser.add_argument("--encoding", metavar="NAME", help="character encoding of the files")
    parser.add_argument(
        "--spice-pins", metavar="FILE", help="legs of a SPICE deck's subcircuits (NAME,leg,leg ...)"
    )


def add_own_parts(parser: argparse.ArgumentParser) -> None:
    """The option that adds part types."""
    parser.add_argument(
        "--parts", action="append", default=[], metavar="FILE", help="part types of your own (TOML)"
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


def add_contents(parser: argparse.ArgumentParser, what: str) -> None:
    """The option that gives dumps."""
    parser.add_argument("--contents", action="append", default=[], metavar="U4=FILE", help=what)


def add_wiring(parser: argparse.ArgumentParser) -> None:
    """The option that replaces numbers of the search by beeps."""
    parser.add_argument(
        "--wiring", metavar="FILE", help="numbers of your own for how boards are wired (TOML)"
    )


def add_json(parser: argparse.ArgumentParser, what: str) -> None:
    """The option that prints JSON in place of text."""
    parser.add_argument("--json", action="store_true", help=f"print the {what} as JSON and nothing else")


def parse_load(text: str) -> float | None:
    """Ohms of a ``--load``; None for none."""
    if text.lower() == "none":
        return None
    ohm = parse_ohm(text)
    if not ohm:
        raise UsageError(f"--load {text} is no resistance", fix="write --load 75, --load 1k or --load none")
    return ohm


def contents_told(option: str, told: list[str]) -> dict[str, str]:
    """``U4=FILE`` -> part and file."""
    found: dict[str, str] = {}
    for text in told:
        part, equals, file = text.partition("=")
        if not (part and equals and file):
            raise UsageError(f"{option} {text} is not understood", fix=f"write {option} U4=dump.bin")
        if part in found:
            raise UsageError(f"{option} names {part} twice", fix="give one dump a memory")
        found[part] = file
    return found
