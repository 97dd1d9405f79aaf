"""Whole runs of the program from its start, against what Python itself takes."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from functools import partial
from pathlib import Path

from tests.benchmarks.boards import make_board
from tests.benchmarks.drawn import write_schematic
from tests.benchmarks.measure import Goal, Row, interleaved, ratios, seconds, spread, time_of_children
from tracer.export.netlists.netlists import write_netlist
from tracer.importers import read_netlist

__all__ = ["ROOT", "commands", "whole_schematic"]

ROOT = Path(__file__).resolve().parents[2]

#: Whole command -> at most so many times `python -c pass`, and at most so many times importing networkx.
GOALS = {
    "--help": (Goal(at_most=8), Goal(at_most=1)),
    "trace": (Goal(at_most=40), Goal(at_most=3)),
    "suspect": (Goal(at_most=50), Goal(at_most=4)),
    "beep": (Goal(at_most=50), Goal(at_most=4)),
}
#: Processor seconds for a whole trace of a schematic of 3 MB.
WHOLE_SCHEMATIC = Goal(at_most=1.5)

_BOARD = "netlists/wren/wren.net"
_ARGUMENTS = {
    "--help": ["--help"],
    "trace": ["trace", _BOARD],
    "suspect": ["suspect", _BOARD, "--seen", "red=missing", "--seen", "green=fine", "--seen", "blue=fine"],
    "beep": ["beep", "NOTES", "--pin", "red=J1.1", "--pin", "green=J1.2", "--pin", "blue=J1.3"],
}


def run(arguments: Sequence[str]) -> int:
    """Run Python with some arguments in the checkout; gives its exit code."""
    where = os.pathsep.join([str(ROOT), *filter(None, [os.environ.get("PYTHONPATH")])])
    done = subprocess.run(
        [sys.executable, *arguments],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": where},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        check=False,
    )
    return done.returncode


def undrawn(folder: Path) -> Path:
    """Bench notes of a board whose parts are known, and nothing of what joins them."""
    text, _ = write_netlist("bench-notes", read_netlist(ROOT / _BOARD))
    path = folder / "board.notes"
    known = [
        line for line in text.splitlines() if line.startswith("board ") or re.search(" (?:is|called) ", line)
    ]
    path.write_text("\n".join([*known, ""]), encoding="utf-8")
    return path


def commands(folder: Path, repeats: int) -> Iterator[Row]:
    """Two rows a command; one that this version does not have, or that fails, is said."""
    notes = str(undrawn(folder))
    runs = {"pass": partial(run, ["-c", "pass"]), "networkx": partial(run, ["-c", "import networkx"])}
    absent = []
    for name, words in _ARGUMENTS.items():
        arguments = [notes if word == "NOTES" else word for word in words]
        # 0 and 1 are answers; 2 is an error of use, such as a command that is not there.
        if run(["-m", "tracer", *arguments]) > 1:
            absent.append(name)
            continue
        runs[name] = partial(run, ["-m", "tracer", *arguments])
    taken = interleaved(runs, repeats, clock=time_of_children)
    for name, (to_pass, to_networkx) in GOALS.items():
        if name in absent:
            yield Row(f"{name}: python -c pass", remark=f"{name} cannot be run here", goal=to_pass)
            continue
        for other, goal in (("pass", to_pass), ("networkx", to_networkx)):
            ours = spread(taken[name])
            yield Row(
                f"{name}: {'python -c pass' if other == 'pass' else 'import networkx'}",
                seconds(ours.median),
                seconds(spread(taken[other]).median),
                ratios(taken[other], taken[name]),
                goal=goal,
            )


def whole_schematic(folder: Path, n_pins: int, repeats: int) -> Iterator[Row]:
    """From the start of Python to the printed map; the clock's time stands beside it, as ours."""
    root, size = write_schematic(make_board(n_pins), folder)
    if run(["-m", "tracer", "trace", str(root)]) != 0:
        raise AssertionError("the schematic was not traced to its end")
    clock: list[float] = []

    def traced() -> None:
        start = time.perf_counter()
        run(["-m", "tracer", "trace", str(root)])
        clock.append(time.perf_counter() - start)

    figure = spread(interleaved({"ours": traced}, repeats, clock=time_of_children)["ours"])
    n_files = len(list(folder.glob("*.kicad_sch")))
    yield Row(
        f"whole trace, schematic of {n_files} files",
        seconds(spread(clock).median),
        f"{size / 1e6:.2f} MB",
        figure,
        "s",
        WHOLE_SCHEMATIC,
    )
