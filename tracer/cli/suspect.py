"""The command `suspect`: from what was seen and read to suspects and the next measurement."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from tracer.base.errors import UsageError
from tracer.cli.inputs import (
    add_command,
    add_inputs,
    add_tracing,
    parse_load,
    read_library,
    trace_board,
    working,
)

TYPE_CHECKING = False
if TYPE_CHECKING:
    from tracer.cli.inputs import Commands
    from tracer.suspects.observation import Observation

__all__ = ["add"]

OK, STOPPED = 0, 1

#: How each piece of evidence is told.
_EXAMPLES = {
    "--seen": "red=missing",
    "--read": "U13.19=low",
    "--beep": '"U9.17 to U13.18=none"',
    "--ohms": "R5=open",
    "--pressed": '"U13=no change"',
    "--swapped": '"U9=no change"',
}


def add(commands: Commands) -> None:
    """Add the command to the parser."""
    parser = add_command(
        commands,
        "suspect",
        "rank what can be wrong by what was seen and read, and say what to measure next",
        "rgbroots suspect dunlin.net --seen red=missing --seen green=flickers --seen blue=fine",
        _run,
    )
    add_inputs(parser)
    add_tracing(parser)
    parser.add_argument(
        "--seen", action="append", default=[], metavar="red=missing",
        help="the screen: fine, missing, always on, weak, too strong, coarse, mixed, flickers, wrong",
    )  # fmt: skip
    parser.add_argument(
        "--read", action="append", default=[], metavar="U4.11=low",
        help="a probe: low, high, pulsing, floating, between, or volts",
    )  # fmt: skip
    parser.add_argument(
        "--swapped",
        action="append",
        default=[],
        metavar="U4=no change",
        help="a chip swapped: cured or no change",
    )
    parser.add_argument(
        "--beep",
        action="append",
        default=[],
        metavar="'U9.17 to U13.18=none'",
        help="a connection: beep or none",
    )
    parser.add_argument(
        "--ohms", action="append", default=[], metavar="R5=open",
        help="a resistor or a connection: as it should be, short, open, wrong value",
    )  # fmt: skip
    parser.add_argument(
        "--pressed", action="append", default=[], metavar="U13=changes",
        help="a chip pressed or warmed: changes or no change",
    )  # fmt: skip
    parser.add_argument(
        "--without", metavar="U4", help="what the screen shows with this chip pulled, and nothing else"
    )
    parser.add_argument(
        "--fault", metavar="WORDS", help="what the screen shows under the faults whose name holds these words"
    )
    parser.add_argument("--priors", metavar="FILE", help="priors, error rates and minutes of your own (TOML)")
    parser.add_argument("--json", action="store_true", help="print the answer as JSON and nothing else")


def _run(args: argparse.Namespace) -> int:
    from tracer.importers.text import decode, read_bytes
    from tracer.suspects.answer import answer, shown_without
    from tracer.suspects.evidence import observations_of
    from tracer.suspects.json import suspects_as_json
    from tracer.suspects.priors import load_priors
    from tracer.suspects.reasoning import Reasoning
    from tracer.suspects.terminal import suspects_as_text
    from tracer.suspects.text import shown_text
    from tracer.suspects.told import check_told, faults_called

    text = decode(read_bytes(Path(args.priors)), args.priors)[0] if args.priors else None
    priors = load_priors(text, args.priors or "")
    told = _told(args)
    traced = trace_board(args)
    with working("computing what each fault would show"):
        reasoning = Reasoning(traced, priors, parse_load(args.load), read_library(args))
    if args.without:
        words = shown_without(reasoning, args.without)
        if not words:
            raise UsageError(
                f"{args.without} is no chip of the colour path",
                fix=f"its chips are: {', '.join(reasoning.legs.chips)}",
            )
        print(f"{traced.bit_map.name} without {args.without}: {shown_text(words)}")
        return OK
    if args.fault:
        called = faults_called(reasoning, args.fault)
        if not called:
            raise UsageError(
                f"no fault of this path is called {args.fault!r}",
                fix="give a leg and a word, such as --fault 'U9.13 low'",
            )
        for text, words in called:
            print(f"{text}: {shown_text(words)}")
        return OK
    noted, findings = observations_of(reasoning, traced.circuit.netlist.notes.evidence)
    evidence = [*noted, *told]
    check_told(reasoning, told)
    for observation in evidence:
        reasoning.observe(observation)
    table = answer(reasoning, evidence, findings)
    sys.stdout.write(suspects_as_json(table) if args.json else suspects_as_text(table))
    return OK if traced.bit_map.is_complete else STOPPED


def _told(args: argparse.Namespace) -> list[Observation]:
    from tracer.suspects.evidence import (
        parse_beep,
        parse_manner,
        parse_ohms,
        parse_pressed,
        parse_read,
        parse_seen,
        parse_swapped,
    )

    found = []
    for option, values, parse in (
        ("--seen", args.seen, parse_seen),
        ("--read", args.read, parse_read),
        ("--beep", args.beep, parse_beep),
        ("--ohms", args.ohms, parse_ohms),
        ("--pressed", args.pressed, parse_pressed),
        ("--swapped", args.swapped, parse_swapped),
    ):
        for value in values:
            where, equals, words = value.partition("=")
            if not equals or not where or not words:
                raise UsageError(
                    f"{option} {value} is not understood",
                    fix=f"write {option} {_EXAMPLES[option]}; `rgbroots help suspects` has the words",
                )
            found.append(parse(where.strip(), words.strip()))
            if option == "--seen":
                found += parse_manner(words)
    return found
