"""The command `suspect`: from what was seen and read to suspects and the next measurement."""

from __future__ import annotations

import argparse
import sys

from tracer.base.errors import UsageError
from tracer.base.names import similar_names
from tracer.cli.exit_codes import OK, STOPPED
from tracer.cli.inputs import working
from tracer.cli.own_files import read_library, read_text
from tracer.cli.tracing import trace_board
from tracer.suspects.answer import answer, shown_without
from tracer.suspects.evidence import KINDS, observations_of, observations_told
from tracer.suspects.json import suspects_as_json
from tracer.suspects.priors import load_priors
from tracer.suspects.reasoning import Reasoning
from tracer.suspects.terminal import suspects_as_text
from tracer.suspects.text import shown_text
from tracer.suspects.told import faults_called
from tracer.tracing.pipeline import Traced

__all__ = ["run"]

#: How each piece of evidence is told.
_EXAMPLES = {
    "seen": "red=missing",
    "read": "U13.19=low",
    "beep": '"U9.17 to U13.18=none"',
    "ohms": "R5=open",
    "pressed": '"U13=no change"',
    "swapped": '"U9=no change"',
    "exchanged": '"red and green=moves"',
}


def run(args: argparse.Namespace) -> int:
    """Print the suspects, or what a fault shows; 0 when every bit ends at a memory pin."""
    priors = load_priors(read_text(args.priors) if args.priors else None, args.priors or "")
    told = _told(args)
    sockets = {**dict.fromkeys(args.socket, True), **dict.fromkeys(args.soldered, False)}
    both = sorted(set(args.socket) & set(args.soldered))
    if both:
        raise UsageError(f"{both[0]} is told to be in a socket and soldered", fix="leave one of the two out")
    traced = trace_board(args)
    _check_parts(traced, sockets)
    with working("computing what each fault would show"):
        reasoning = Reasoning(traced, priors, traced.bit_map.load_ohm, read_library(args), sockets)
    if args.without:
        return _say_without(reasoning, args.without)
    if args.fault:
        return _say_under(reasoning, args.fault)
    return _say_suspects(reasoning, traced, told, as_json=args.json)


def _say_without(reasoning: Reasoning, part: str) -> int:
    with working(f"computing what the screen shows without {part}"):
        words = shown_without(reasoning, part)
    if not words:
        raise UsageError(
            f"{part} is no chip of the colour path",
            fix=f"its chips are: {', '.join(reasoning.legs.chips)}",
        )
    print(f"{reasoning.traced.bit_map.name} without {part}: {shown_text(words)}")
    return OK


def _say_under(reasoning: Reasoning, name: str) -> int:
    with working("computing what the screen shows"):
        called = faults_called(reasoning, name)
    if not called:
        raise UsageError(
            f"no fault of this path is called {name!r}",
            fix="give a leg and a word, such as --fault 'U9.13 low'",
        )
    for text, words in called:
        print(f"{text}: {shown_text(words)}")
    return OK


def _say_suspects(
    reasoning: Reasoning, traced: Traced, told: list[tuple[str, str, str]], *, as_json: bool
) -> int:
    noted, findings = observations_of(reasoning, traced.circuit.netlist.notes.evidence)
    evidence = [*noted]
    for kind, where, words in told:
        evidence += observations_told(reasoning, kind, where, words)
    with working("weighing what was seen and read"):
        for observation in evidence:
            reasoning.observe(observation)
        table = answer(reasoning, evidence, findings)
    sys.stdout.write(suspects_as_json(table) if as_json else suspects_as_text(table))
    return OK if traced.bit_map.is_complete else STOPPED


def _check_parts(traced: Traced, sockets: dict[str, bool]) -> None:
    for part in sockets:
        if part not in traced.circuit.identified:
            near = (
                similar_names(part, sorted(traced.circuit.identified))
                or sorted(traced.circuit.identified)[:4]
            )
            raise UsageError(
                f"{part} is no part of this board", fix=f"its parts are, for example: {', '.join(near)}"
            )


def _told(args: argparse.Namespace) -> list[tuple[str, str, str]]:
    """Kind, place and words of each piece of evidence."""
    found = []
    for kind in KINDS:
        for value in getattr(args, kind):
            where, equals, words = value.partition("=")
            if kind == "seen" and not equals and len(value.split()) > 1:
                # "white as blue", "shapes right": the place is among the words.
                found.append((kind, "", value))
                continue
            if not equals or not where or not words:
                raise UsageError(
                    f"--{kind} {value} is not understood",
                    fix=f"write --{kind} {_EXAMPLES[kind]}; `rgbroots help suspects` has the words",
                )
            found.append((kind, where.strip(), words.strip()))
    return found
