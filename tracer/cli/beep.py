"""The command `beep`: where to put the probe next on a board that is not fully known."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from tracer.base.errors import UsageError
from tracer.cli.inputs import add_command, add_pins, read_library, wiring_numbers, working

TYPE_CHECKING = False
if TYPE_CHECKING:
    from tracer.cli.inputs import Commands

__all__ = ["add"]

OK, STOPPED = 0, 1


def add(commands: Commands) -> None:
    """Add the command to the parser."""
    parser = add_command(
        commands,
        "beep",
        "say which pins of an undrawn board to beep next",
        "rgbroots beep board.notes --ask",
        _run,
    )
    parser.add_argument("notes", metavar="FILE.notes", help="parts, places, connector and the beeps so far")
    add_pins(parser)
    parser.add_argument(
        "--ask", action="store_true", help="as a conversation; each answer is added to FILE at once"
    )
    parser.add_argument("--undo", action="store_true", help="take the last noted answer back")
    parser.add_argument(
        "--parts", action="append", default=[], metavar="FILE", help="part types of your own (TOML)"
    )
    parser.add_argument(
        "--wiring", metavar="FILE", help="numbers of your own for how boards are wired (TOML)"
    )
    parser.add_argument("--json", action="store_true", help="print the advice as JSON and nothing else")


def _run(args: argparse.Namespace) -> int:
    from tracer.beeps.advice import advise
    from tracer.beeps.bench import set_up
    from tracer.beeps.choice import look
    from tracer.beeps.json import advice_as_json
    from tracer.beeps.text import advice_as_text
    from tracer.cli.beep_dialogue import converse, say
    from tracer.cli.notes_file import NotesFile
    from tracer.tracing.colour_pins import parse_told
    from tracer.tracing.pipeline import trace

    if args.ask and args.json:
        raise UsageError("--ask and --json do not go together", fix="leave one out")
    notes = NotesFile(Path(args.notes))
    netlist = notes.netlist()
    if not netlist.beeped:
        raise UsageError(
            f"{args.notes} is no notes file",
            fix="beep wants bench notes; to practise on a full netlist, use rehearse",
        )
    library, told, numbers = read_library(args), parse_told(args.pin), wiring_numbers(args.wiring)
    if args.undo:
        gone = notes.undo()
        print(
            "\n".join(f"taken back: {line}" for line in gone) or "there is no answer to take back",
            file=sys.stderr,
        )
    if args.ask:
        search = converse(notes, library, numbers, told, input, say)
        pins = {colour: str(pin) for colour, pin in search.bench.colours.items()}
        closed = search.choice is None and trace(notes.netlist(), library, pins=pins).is_complete
        return OK if closed else STOPPED
    with working("looking for the next touch"):
        netlist = notes.netlist()
        search = look(set_up(netlist, library, told), numbers)
        pins = {colour: str(pin) for colour, pin in search.bench.colours.items()}
        bit_map = trace(netlist, library, pins=pins)
        advice = advise(search, bit_map, numbers)
    sys.stdout.write(advice_as_json(advice) if args.json else advice_as_text(advice))
    return OK if advice.next is None and bit_map.is_complete else STOPPED
