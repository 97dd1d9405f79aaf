"""The command `rehearse`: the search by beeps played on a board that is fully known."""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable

from tracer.base.errors import UsageError
from tracer.beeps.bench import set_up
from tracer.beeps.json import rehearsal_as_json
from tracer.beeps.rehearsal import rehearse, undrawn
from tracer.beeps.rehearsal_text import rehearsal_as_text
from tracer.cli.beep_dialogue import Memory, converse, say
from tracer.cli.exit_codes import OK, STOPPED
from tracer.cli.inputs import read_board
from tracer.cli.own_files import read_library, read_wiring
from tracer.tracing.told_pins import parse_told

__all__ = ["parse_share", "run"]


def run(args: argparse.Namespace) -> int:
    """Play the search; 0 when the map that came out is the board's."""
    if args.ask and args.json:
        raise UsageError("--ask and --json do not go together", fix="leave one out")
    wrong, told = parse_share(args.wrong), parse_told(args.pin)
    netlist, library, numbers = read_board(args), read_library(args), read_wiring(args.wiring)
    if args.ask:
        start = undrawn(netlist, set_up(netlist, library, told).colours, is_placed=not args.unplaced)
        halfway = converse(Memory(start), library, numbers, {}, input, say)
        return OK if halfway.search.choice is None else STOPPED
    rehearsed = rehearse(
        netlist,
        library,
        numbers,
        told=told,
        wrong=wrong,
        seed=args.seed,
        is_placed=not args.unplaced,
        tell=_counted(netlist.name),
    )
    sys.stdout.write(rehearsal_as_json(rehearsed) if args.json else rehearsal_as_text(rehearsed))
    return OK if rehearsed.map_right else STOPPED


def _counted(name: str) -> Callable[[int], None]:
    """Shows on a terminal how many touches were made, once a second."""
    shown = time.monotonic()

    def tell(touches: int) -> None:
        nonlocal shown
        if sys.stderr.isatty() and time.monotonic() - shown >= 1.0:
            shown = time.monotonic()
            print(f"rehearsing {name}: {touches} touches ...", file=sys.stderr)

    return tell


def parse_share(text: str) -> float:
    """``3%`` or ``0.03`` as a share.

    Raises
    ------
    UsageError
        No share from 0 to 50 %.
    """
    number = text.strip().removesuffix("%")
    try:
        share = float(number) / (100 if text.strip().endswith("%") else 1)
    except ValueError:
        share = -1.0
    if not 0 <= share <= 0.5:
        raise UsageError(f"--wrong {text} is no share of touches", fix="write --wrong 3% (0% to 50%)")
    return share
