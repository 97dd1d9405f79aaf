"""The same input gives the same bytes, whatever order Python gives to sets of words."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

SEEDS = ("0", "1", "4")
PLOVER, DUNLIN = "netlists/plover/plover.net", "netlists/dunlin/dunlin.net"
LINES = (
    f"suspect {PLOVER} --seen red=missing --seen green=flickers --seen blue=fine --pressed U33=changes --json",
    f"suspect {DUNLIN} --fault dead",
    f"suspect {DUNLIN} --seen mauve=fine",
    f"suspect {DUNLIN} --ohms R99=open",
    f"suspect {DUNLIN} --read U13.99=low",
    f"trace {PLOVER} --json",
    f"levels {DUNLIN} --json",
    f"export {DUNLIN} --graphml",
)
#: Runs command lines in one process, and ends what each says.
_RUN = """
import sys
from tracer.cli.main import main
for line in sys.stdin.read().splitlines():
    main(line.split())
    for stream in (sys.stdout, sys.stderr):
        print("\\0", end="", file=stream, flush=True)
"""


def run(seed: str) -> list[tuple[str, str]]:
    """What each line prints, and its messages."""
    done = subprocess.run(
        [sys.executable, "-c", _RUN], input="\n".join(LINES), capture_output=True, check=True, text=True,
        env={**os.environ, "PYTHONHASHSEED": seed},
    )  # fmt: skip
    return list(zip(done.stdout.split("\0"), done.stderr.split("\0"), strict=True))[: len(LINES)]


@pytest.fixture(scope="module")
def said() -> list[list[tuple[str, str]]]:
    return [run(seed) for seed in SEEDS]


@pytest.mark.parametrize("line", LINES)
def test_hash_seeds_change_nothing(line: str, said: list[list[tuple[str, str]]]) -> None:
    first, *others = (each[LINES.index(line)] for each in said)
    assert any(first)
    assert all(other == first for other in others)
