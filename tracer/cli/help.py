"""The command `help`: texts that are longer than an option's line, and the help of a command.

A topic is a text file of 80 columns in `help_topics/`. Words in braces in it are filled in from the program, so that
they cannot go stale.
"""

from __future__ import annotations

import argparse
import sys
from importlib.resources import files

from tracer.base.text import wrapped
from tracer.cli.commands import TOPICS
from tracer.cli.exit_codes import OK
from tracer.cli.main import build_parser
from tracer.cli.parser import command_parsers
from tracer.export.netlists.netlists import NETLIST_FORMS
from tracer.importers.formats import FORMATS
from tracer.parts.connectors import connector_types
from tracer.parts.kinds import Kind

__all__ = ["run", "topic_text"]


def run(args: argparse.Namespace) -> int:
    """Print the topics, one of them, or a command's help."""
    if args.topic is None:
        rows = "".join(f"  {name:<10} {what}\n" for name, what in TOPICS.items())
        sys.stdout.write(f"topics, for rgbroots help TOPIC:\n{rows}rgbroots --help lists the commands.\n")
    elif args.topic in TOPICS:
        sys.stdout.write(topic_text(args.topic))
    else:
        command_parsers(build_parser())[args.topic].print_help()
    return OK


def topic_text(topic: str) -> str:
    """The text of one of `TOPICS`."""
    text = (files("tracer.cli") / "help_topics" / f"{topic}.txt").read_text(encoding="utf-8")
    for name, make in _FILLED.items():
        if f"{{{name}}}" in text:
            text = text.replace(f"{{{name}}}", "\n".join(make()))
    return text


def _kinds() -> list[str]:
    return wrapped(", ".join(Kind), " " * 13, " " * 13)


def _read() -> list[str]:
    lines = []
    for form in FORMATS:
        lines += wrapped(form.what, f"  {form.name:<16} ", " " * 19)
        lines += wrapped(f"not: {'; '.join(form.loses)}", " " * 21, " " * 23) if form.loses else []
    return lines


def _written() -> list[str]:
    return [f"  {form.name:<14} {form.suffix:<7} {form.what}" for form in NETLIST_FORMS]


def _connectors() -> list[str]:
    lines = []
    for standard in connector_types():
        pins = ", ".join(f"{colour} {pin}" for colour, pin in standard.colours.items())
        lines += wrapped(f"{standard.what}: {pins}", f"  {standard.name:<11} ", " " * 14)
    return lines


#: Word in braces -> the lines that stand for it.
_FILLED = {"kinds": _kinds, "read": _read, "written": _written, "connectors": _connectors}
