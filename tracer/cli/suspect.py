"""The command `suspect`: from what was seen and read to suspects and the next measurement."""

from __future__ import annotations

import argparse
import sys

from tracer.base.errors import UsageError
from tracer.cli.exit_codes import OK, STOPPED
from tracer.cli.inputs import read_library, read_text, working
from tracer.cli.options import add_files, add_json, add_tracing, parse_load
from tracer.cli.tracing import trace_board
from tracer.suspects.answer import answer, shown_without
from tracer.suspects.evidence import observations_of
from tracer.suspects.find import KINDS, observations_told
from tracer.suspects.json import suspects_as_json
from tracer.suspects.observation import Observation
from tracer.suspects.priors import load_priors
from tracer.suspects.reasoning import Reasoning
from tracer.suspects.terminal import suspects_as_text
from tracer.suspects.text import shown_text
from tracer.suspects.told import check_told, faults_called
from tracer.tracing.pipeline import Traced

__all__ = ["add_options", "run"]

#: How each piece of evidence is told.
_EXAMPLES = {
    "seen": "red=missing",
    "read": "U13.19=low",
    "beep": '"U9.17 to U13.18=none"',
    "ohms": "R5=open",
    "pressed": '"U13=no change"',
    "swapped": '"U9=no change"',
}


def add_options(parser: argparse.ArgumentParser) -> None:
    """The command's own options."""
    add_files(parser)
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
    add_json(parser, "answer")


def run(args: argparse.Namespace) -> int:
    """Print the suspects, or what a fault shows; 0 when every bit ends at a memory pin."""
    priors = load_priors(read_text(args.priors) if args.priors else None, args.priors or "")
    told = _told(args)
    traced = trace_board(args)
    with working("computing what each fault would show"):
        reasoning = Reasoning(traced, priors, parse_load(args.load), read_library(args))
    if args.without:
        return _say_without(reasoning, args.without)
    if args.fault:
        return _say_under(reasoning, args.fault)
    return _say_suspects(reasoning, traced, told, as_json=args.json)


def _say_without(reasoning: Reasoning, part: str) -> int:
    words = shown_without(reasoning, part)
    if not words:
        raise UsageError(
            f"{part} is no chip of the colour path",
            fix=f"its chips are: {', '.join(reasoning.legs.chips)}",
        )
    print(f"{reasoning.traced.bit_map.name} without {part}: {shown_text(words)}")
    return OK


def _say_under(reasoning: Reasoning, name: str) -> int:
    called = faults_called(reasoning, name)
    if not called:
        raise UsageError(
            f"no fault of this path is called {name!r}",
            fix="give a leg and a word, such as --fault 'U9.13 low'",
        )
    for text, words in called:
        print(f"{text}: {shown_text(words)}")
    return OK


def _say_suspects(reasoning: Reasoning, traced: Traced, told: list[Observation], *, as_json: bool) -> int:
    noted, findings = observations_of(reasoning, traced.circuit.netlist.notes.evidence)
    check_told(reasoning, told)
    evidence = [*noted, *told]
    for observation in evidence:
        reasoning.observe(observation)
    table = answer(reasoning, evidence, findings)
    sys.stdout.write(suspects_as_json(table) if as_json else suspects_as_text(table))
    return OK if traced.bit_map.is_complete else STOPPED


def _told(args: argparse.Namespace) -> list[Observation]:
    found = []
    for kind in KINDS:
        for value in getattr(args, kind):
            where, equals, words = value.partition("=")
            if not equals or not where or not words:
                raise UsageError(
                    f"--{kind} {value} is not understood",
                    fix=f"write --{kind} {_EXAMPLES[kind]}; `rgbroots help suspects` has the words",
                )
            found += observations_told(kind, where.strip(), words.strip())
    return found
