"""Damaged files: a harness that every reader is put through.

A file is damaged in one to four ways (a byte turned, a stretch cut out or doubled, a line dropped, doubled or moved,
two words exchanged, line ends, letters of another code page, the end cut off), and then it is read or refused: never a
traceback, never a wait. `RGBROOTS_EXPLORE` makes the run a hundred times longer, with new damage each time.
"""

from __future__ import annotations

import os
import random
import re
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path

from tracer.base.errors import NetlistError
from tracer.importers import read_netlist
from tracer.netlist.check import check_netlist

__all__ = ["EXPLORE", "damage", "outcomes"]

EXPLORE = bool(os.environ.get("RGBROOTS_EXPLORE"))
#: Damaged copies of a sample, and how much processor time reading one may take (a sample has a few thousand bytes).
CASES = 25_000 if EXPLORE else 250
SECONDS = 5.0

_BYTES = b"\x00\x1a\n\r\t \"'()[]{}<>,;.:*$!-/\\#0A\x80\xe9\xff"


def damage(data: bytes, rng: random.Random) -> bytes:
    """The same file with one to four faults."""
    for _ in range(rng.choice((1, 1, 1, 2, 4))):
        data = rng.choice(_WAYS)(data, rng)
    return data


def _turned(data: bytes, rng: random.Random) -> bytes:
    at = rng.randrange(len(data) + 1)
    byte = rng.choice((rng.randrange(256), rng.choice(_BYTES)))
    return data[:at] + bytes([byte]) + data[at + rng.choice((0, 1)) :]


def _stretch(data: bytes, rng: random.Random) -> tuple[int, int]:
    at = rng.randrange(len(data) + 1)
    return at, min(len(data), at + rng.choice((1, 3, 10, 40, 400)))


def _cut(data: bytes, rng: random.Random) -> bytes:
    at, end = _stretch(data, rng)
    return data[:at] + data[end:]


def _doubled(data: bytes, rng: random.Random) -> bytes:
    at, end = _stretch(data, rng)
    return data[:end] + data[at:end] * rng.choice((1, 1, 3)) + data[end:]


def _ended(data: bytes, rng: random.Random) -> bytes:
    return data[: rng.randrange(len(data) + 1)]


def _lines(data: bytes, rng: random.Random) -> bytes:
    lines = data.split(b"\n")
    at = rng.randrange(len(lines))
    line = lines.pop(at)
    if how := rng.randrange(3):
        lines.insert(rng.randrange(len(lines) + 1) if how == 1 else at, line)
        lines.insert(at, line) if how == 2 else None
    return b"\n".join(lines)


def _words(data: bytes, rng: random.Random) -> bytes:
    words = list(re.finditer(rb"\w+", data))
    if len(words) < 2:
        return data
    first, second = sorted(rng.sample(words, 2), key=lambda m: m.start())
    return (
        data[: first.start()]
        + second[0]
        + data[first.end() : second.start()]
        + first[0]
        + data[second.end() :]
    )


def _ends(data: bytes, rng: random.Random) -> bytes:
    return data.replace(b"\n", rng.choice((b"\r\n", b"\r", b"\n\n", b" \n", b"\x0b", b"")))


def _letters(data: bytes, rng: random.Random) -> bytes:
    return data.replace(
        rng.choice((b"A", b"1", b" ", b"R")), rng.choice(("é".encode("latin-1"), "Б".encode(), b"\xa0"))
    )


_WAYS: tuple[Callable[[bytes, random.Random], bytes], ...] = (
    _turned,
    _turned,
    _turned,
    _cut,
    _doubled,
    _ended,
    _lines,
    _lines,
    _words,
    _ends,
    _letters,
)


def outcomes(
    sample: bytes, path: Path, format_name: str, root: Path | None = None, *, one_of: int = 1
) -> Counter[str]:
    """Read damaged copies of a sample and count what came of it: ``read`` or ``refused``.

    The first half is read as the named format, the second as what it looks like. The cases are shared out where the
    sample is `one_of` several of one format. With `root` the damaged file belongs to that one, which is read.
    """
    cases = CASES // one_of
    seed = time.time_ns() if EXPLORE else 1
    rng = random.Random(seed)
    counts: Counter[str] = Counter()
    for case in range(cases):
        data = damage(sample, rng)
        path.write_bytes(data)
        start = time.process_time()
        refused: NetlistError | None = None
        try:
            check_netlist(read_netlist(root or path, format_name=format_name if case < cases // 2 else None))
        except NetlistError as error:
            refused = error
        except Exception as error:
            raise AssertionError(f"seed {seed}, case {case}: {data!r}") from error
        counts["refused" if refused else "read"] += 1
        if refused:
            lines = data.count(b"\n") + data.count(b"\r") + 1
            assert refused.fix, str(refused)
            assert str(path) in str(refused) or (root is not None and str(root) in str(refused))
            assert refused.line is None or refused.line <= lines, str(refused)
        assert time.process_time() - start < SECONDS, f"seed {seed}, case {case}: {data!r}"
    return counts
