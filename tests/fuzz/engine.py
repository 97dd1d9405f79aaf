"""The loop: change an input, read it, keep it when it went where none went before; write down what broke."""

from __future__ import annotations

import hashlib
import json
import random
import re
import resource
import signal
import sys
import time
import traceback
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType

from tests.fuzz.coverage import Coverage
from tests.fuzz.targets import Target, judge

__all__ = ["Broken", "Report", "fuzz", "replay", "shrink"]

#: Seconds of CPU that one input may take; more while steps are counted, as that is slower.
SECONDS = 5.0
SECONDS_WATCHED = 30.0
#: Bytes by which one input may make the process grow.
GROWTH = 600 << 20
_POOL = 4000


class TooSlow(BaseException):
    """An input took longer than it may; no `Exception`, so that no reader catches it."""


@dataclass(frozen=True)
class Broken:
    """An input that was neither read nor refused."""

    data: bytes
    what: str
    trace: str

    @property
    def key(self) -> str:
        """Alike for inputs that break at the same line."""
        return self.what


@dataclass
class Report:
    """What came of a run."""

    target: str
    seed: int
    cases: Counter[str] = field(default_factory=Counter)
    cpu: float = 0.0
    steps: int = 0
    broken: dict[str, Broken] = field(default_factory=dict)


@contextmanager
def _within(seconds: float) -> Iterator[None]:
    """CPU time, not the clock's: other programs may run beside."""

    def stop(_signal: int, _frame: FrameType | None) -> None:
        raise TooSlow

    old = signal.signal(signal.SIGVTALRM, stop)
    signal.setitimer(signal.ITIMER_VIRTUAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        signal.signal(signal.SIGVTALRM, old)


def replay(
    target: Target, data: bytes, folder: Path, *, follow: bool = True, seconds: float = SECONDS
) -> str:
    """Read one input, and with `follow` carry on with what was read; ``read`` or ``refused``.

    Raises
    ------
    TooSlow
        It takes longer than it may.
    Exception
        What the reader let out, or an `AssertionError` that says what does not hold.
    """

    def run() -> None:
        after = target.run(data, folder)
        if follow:
            after()

    with _within(seconds):
        return judge(run)


def _broken(target: Target, data: bytes, folder: Path, follow: bool) -> Broken | None:
    """What is wrong with an input, or None."""
    before = _size()
    try:
        replay(target, data, folder, follow=follow)
    except TooSlow:
        trace = traceback.format_exc()
        return Broken(data, f"slow: {_last_of_ours(trace)}", trace)
    except Exception as error:
        trace = traceback.format_exc()
        words = re.sub(r"\d+", "#", f"{type(error).__name__}: {error}".split("\n")[0])[:90]
        return Broken(data, f"{words} at {_last_of_ours(trace)}", trace)
    if _size() - before > GROWTH:
        return Broken(data, f"memory: {target.name}", f"{(_size() - before) >> 20} MiB for {len(data)} bytes")
    return None


def _size() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024


def _last_of_ours(trace: str) -> str:
    found = re.findall(r'File "[^"]*/(tracer/[^"]+)", line (\d+)', trace)
    return ":".join(found[-1]) if found else "?"


def fuzz(target: Target, folder: Path, seconds: float, seed: int, pool: list[bytes] | None = None) -> Report:
    """Fuzz one target for some seconds of CPU; `pool` takes up inputs that went somewhere new."""
    rng = random.Random(seed)
    coverage, report = Coverage(), Report(target.name, seed)
    pool = [] if pool is None else pool
    waiting = [*(pool or []), *target.seeds()]
    pool.clear()
    start = time.process_time()
    slowest = 1e-5
    while time.process_time() - start < seconds:
        is_seed = bool(waiting)
        data = waiting.pop() if is_seed else target.next_input(pool, rng)
        report.cases["cases"] += 1
        (folder / "last-input").write_bytes(data)
        began = time.process_time()
        try:
            with coverage.watching():
                report.cases[replay(target, data, folder, follow=False, seconds=SECONDS_WATCHED)] += 1
            failed = False
        except (TooSlow, Exception):
            failed = True
        took = (time.process_time() - began) / (len(data) + 400)
        is_new = coverage.fresh > 0
        if failed or is_new or report.cases["cases"] % 97 == 0 or time.process_time() - began > SECONDS:
            report.cases["followed"] += 1
            broken = _broken(target, data, folder, follow=not failed)
            if broken is not None and broken.key not in report.broken:
                report.broken[broken.key] = broken
                print(f"{target.name}: {broken.what} ({len(data)} bytes)", file=sys.stderr, flush=True)
            failed = failed or broken is not None
        if is_seed or ((is_new or took > slowest * 1.5) and not failed and len(pool) < _POOL):
            pool.append(data)
            # What is slow for its length is worth changing too.
            slowest = max(slowest, took) if not is_new else slowest
    report.cpu, report.steps = time.process_time() - start, coverage.total
    return report


def shrink(target: Target, broken: Broken, folder: Path, seconds: float = 20.0) -> Broken:
    """The smallest input that still breaks in the same place: stretches are taken out, the long ones first."""
    best = broken
    start = time.process_time()
    size = max(1, len(best.data) // 2)
    while size and time.process_time() - start < seconds:
        at, changed = 0, False
        while at < len(best.data) and time.process_time() - start < seconds:
            tried = _broken(target, best.data[:at] + best.data[at + size :], folder, follow=True)
            if tried is not None and tried.key == broken.key:
                best, changed = tried, True
            else:
                at += size
        size = size if changed and size == 1 else size // 2
    return best


def save(broken: Broken, target: str, folder: Path) -> Path:
    """Write an input down with what it did."""
    name = hashlib.sha256(broken.key.encode()).hexdigest()[:10]
    place = folder / target.replace(" ", "-")
    place.mkdir(parents=True, exist_ok=True)
    (place / f"{name}.input").write_bytes(broken.data)
    (place / f"{name}.txt").write_text(f"{broken.what}\n\n{broken.trace}", encoding="utf-8", errors="replace")
    return place / f"{name}.input"


def as_json(report: Report) -> str:
    """A report in a line."""
    return json.dumps(
        {
            "target": report.target, "seed": report.seed, **report.cases, "cpu": round(report.cpu, 1),
            "steps": report.steps, "broken": sorted(report.broken),
        }
    )  # fmt: skip
