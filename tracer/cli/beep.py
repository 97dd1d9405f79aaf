"""The command `beep`: where to put the probe next on a board that is not fully known."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from tracer.base.errors import UsageError
from tracer.beeps.halfway import Halfway, look_halfway
from tracer.beeps.json import advice_as_json
from tracer.beeps.text import advice_as_text
from tracer.cli.beep_dialogue import converse, say
from tracer.cli.exit_codes import OK, STOPPED
from tracer.cli.inputs import working
from tracer.cli.notes_file import NotesFile
from tracer.cli.own_files import read_library, read_wiring
from tracer.tracing.told_pins import parse_told

__all__ = ["run"]


def run(args: argparse.Namespace) -> int:
    """Say the next touch, or ask touch after touch; 0 when no touch and no bit is open."""
    if args.ask and args.json:
        raise UsageError("--ask and --json do not go together", fix="leave one out")
    notes = NotesFile(Path(args.notes))
    if not notes.netlist().beeped:
        raise UsageError(
            f"{args.notes} is no notes file",
            fix="beep wants bench notes; to practise on a full netlist, use rehearse",
        )
    library, told, numbers = read_library(args), parse_told(args.pin), read_wiring(args.wiring)
    if args.undo:
        gone = notes.undo()
        print(
            "\n".join(f"taken back: {line}" for line in gone) or "there is no answer to take back",
            file=sys.stderr,
        )
    halfway: Halfway
    if args.ask:
        halfway = converse(notes, library, numbers, told, input, say)
    else:
        with working("looking for the next touch"):
            halfway = look_halfway(notes.netlist(), library, numbers, told)
        advice = halfway.advice
        sys.stdout.write(advice_as_json(advice) if args.json else advice_as_text(advice))
    return OK if halfway.is_closed else STOPPED
