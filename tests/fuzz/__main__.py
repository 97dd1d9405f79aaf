"""``python -m tests.fuzz [--seconds N] [--only NAME] [--seed N] [--into DIR]``: fuzz one reader after the other.

Each runs in a process of its own, with a limit on memory, for its share of the seconds; inputs that went somewhere
new are kept in the folder for the next run. What broke is made small and written there, with its traceback.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import sys
import tempfile
import time
from collections import Counter, defaultdict
from pathlib import Path

from tests.fuzz.slices import run_slice
from tests.fuzz.targets import target_names


def main() -> int:
    """Fuzz; gives 1 when something broke."""
    known = target_names()
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz", description="Fuzz every reader.")
    parser.add_argument("--seconds", type=float, default=60.0 * len(known), help="of CPU, over all targets")
    parser.add_argument("--only", action="append", metavar="NAME", help=f"of {', '.join(known)}")
    parser.add_argument("--seed", type=int, help="the same inputs again (default: by the clock)")
    parser.add_argument(
        "--into", type=Path, help="folder for inputs and what broke (default: a temporary one)"
    )
    parser.add_argument(
        "--slice", type=float, default=60.0, metavar="S", help="seconds that one target runs at a time"
    )
    args = parser.parse_args()
    names = args.only or list(known)
    if unknown := set(names) - set(known):
        parser.error(f"there is no target {', '.join(unknown)}")
    into = args.into or Path(tempfile.mkdtemp(prefix="fuzz-"))
    into.mkdir(parents=True, exist_ok=True)
    spent, turn, failed = 0.0, 0, False
    share = min(args.slice, args.seconds / len(names))
    while spent < args.seconds - 0.5:
        name = names[turn % len(names)]
        seed = (args.seed if args.seed is not None else time.time_ns() % 10**9) + turn // len(names)
        child = multiprocessing.get_context("spawn").Process(target=run_slice, args=(name, share, seed, into))
        child.start()
        child.join(share * 6 + 300)
        if child.is_alive() or child.exitcode not in (0, 1):
            ended = "does not end" if child.is_alive() else f"died with {child.exitcode}"
            child.kill()
            place = into / "broken" / name.replace(" ", "-")
            place.mkdir(parents=True, exist_ok=True)
            last = into / "work" / name.replace(" ", "-") / "last-input"
            if last.exists():
                (place / f"died-{seed}.input").write_bytes(last.read_bytes())
            print(f"{name}: the process {ended}; its last input is in {place}", file=sys.stderr)
            failed = True
        failed = failed or child.exitcode == 1
        spent, turn = spent + share, turn + 1
    _print_totals(into)
    return 1 if failed else 0


def _print_totals(into: Path) -> None:
    runs = into / "runs.jsonl"
    totals: dict[str, Counter[str]] = defaultdict(Counter)
    for line in runs.read_text(encoding="utf-8").splitlines() if runs.exists() else ():
        run = json.loads(line)
        row = totals[run["target"]]
        for key in ("cases", "read", "refused", "followed", "cpu"):
            row[key] += run.get(key, 0)
        row["broken"] += len(run["broken"])
        row["steps"] = max(row["steps"], run["steps"])
    print(
        f"{'target':24}{'cases':>10}{'read':>10}{'refused':>10}{'followed':>9}{'steps':>7}{'CPU min':>9}{'broken':>8}"
    )
    whole: Counter[str] = Counter()
    for name, row in totals.items():
        whole.update({k: v for k, v in row.items() if k != "steps"})
        print(_row(name, row))
    print(_row("all", whole))


def _row(name: str, row: Counter[str]) -> str:
    numbers = f"{row['cases']:>10}{row['read']:>10}{row['refused']:>10}{row['followed']:>9}{row['steps']:>7}"
    return f"{name:24}{numbers}{row['cpu'] / 60:>9.1f}{row['broken']:>8}"


if __name__ == "__main__":
    sys.exit(main())
