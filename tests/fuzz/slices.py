"""One turn of one target: a process with a limit on memory, which starts with the inputs of the turns before."""

from __future__ import annotations

import resource
import sys
from hashlib import sha256
from pathlib import Path

from tests.fuzz.engine import as_json, fuzz, save, shrink
from tests.fuzz.targets import target

__all__ = ["run_slice"]

#: Bytes that a process may take.
_MEMORY = 4 << 30


def run_slice(name: str, seconds: float, seed: int, into: Path) -> None:
    """Fuzz one target, in a process of its own; ends it, with 1 when something broke."""
    resource.setrlimit(resource.RLIMIT_AS, (_MEMORY, _MEMORY))
    sys.setrecursionlimit(1000)
    label = name.replace(" ", "-")
    work, kept = into / "work" / label, into / "pool" / label
    work.mkdir(parents=True, exist_ok=True)
    kept.mkdir(parents=True, exist_ok=True)
    pool = [p.read_bytes() for p in sorted(kept.iterdir())]
    known = {sha256(data).hexdigest() for data in pool}
    report = fuzz(target(name), work, seconds, seed, pool)
    for data in pool:
        digest = sha256(data).hexdigest()
        if digest not in known:
            (kept / digest[:20]).write_bytes(data)
    for broken in report.broken.values():
        save(shrink(target(name), broken, work), name, into / "broken")
    with (into / "runs.jsonl").open("a", encoding="utf-8") as file:
        file.write(as_json(report) + "\n")
    sys.exit(1 if report.broken else 0)
