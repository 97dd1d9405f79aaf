"""``python -m tests.closed_loop.bench --loops 350 --seed 1 [--json]``: how well the program finds faults not its own."""

from __future__ import annotations

import argparse
import json
import sys

from tests.closed_loop.bench.loop import run_loops
from tests.closed_loop.bench.report import loops_text, report_as_data, report_text


def main() -> None:
    """Run the loops and print the figures."""
    parser = argparse.ArgumentParser(prog="python -m tests.closed_loop.bench", description=__doc__)
    parser.add_argument("--loops", type=int, default=350)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--json", action="store_true", help="figures and loops as data")
    parser.add_argument(
        "--show", metavar="WORD", help="each loop whose fault, board or verdict has that word"
    )
    args = parser.parse_args()
    loops = run_loops(args.loops, args.seed)
    if args.show:
        shown = (x for x in loops if args.show in (x.verdict, x.board) or args.show in x.family)
        sys.stdout.write(loops_text(shown))
        return
    sys.stdout.write(json.dumps(report_as_data(loops), indent=1) + "\n" if args.json else report_text(loops))


if __name__ == "__main__":
    main()
