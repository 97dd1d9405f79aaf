"""Growth from 1,000 to 1,000,000 pins: time a pin, and memory; each size in a process of its own.

``python -m tests.benchmarks.growth make PINS FILE`` writes a netlist, ``.. trace FILE REPEATS`` reads and traces it
and prints seconds and bytes as JSON. The times are the processor's; the clock's stands beside the longest.
"""

from __future__ import annotations

import json
import re
import resource
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.boards import BITS, make_board
from tests.benchmarks.measure import Goal, Row, Spread, seconds, spread, time_of_children
from tests.benchmarks.starting import ROOT
from tests.benchmarks.texts import kicad_netlist
from tracer.importers import read_netlist
from tracer.tracing.pipeline import trace

__all__ = ["growth"]

#: The largest time a pin over the smallest.
FLAT = Goal(at_most=1.5)
#: A board of a million pins: processor seconds from start to end, and gigabytes.
LARGEST_SECONDS = Goal(at_most=60)
LARGEST_GIGABYTES = Goal(at_most=4)
LARGEST = 1_000_000

#: Pins that are traced in one process, so that small boards are not lost in the clock's steps.
_PINS_A_RUN = 30_000


@dataclass(frozen=True, slots=True)
class Traced:
    """One process: pins, seconds of one trace, peak bytes; seconds and the clock's seconds from start to end."""

    pins: int
    cpu: float
    peak: int
    whole: float
    clock: float


def growth(folder: Path, sizes: Sequence[int], repeats: int) -> Iterator[Row]:
    """A row a size, then the goals."""
    files = {size: folder / f"{size}.net" for size in sizes}
    for size, path in files.items():
        _python("make", str(size), str(path))
    found: dict[int, list[Traced]] = {size: [] for size in sizes}
    for _ in range(repeats):
        for size, path in files.items():
            found[size].append(_traced(path, max(1, _PINS_A_RUN // size)))
    each = {size: [run.cpu / run.pins for run in runs] for size, runs in found.items()}
    smallest = sizes[0]
    for size, runs in found.items():
        peak = max(run.peak for run in runs)
        ratio = [a / b for a, b in zip(each[size], each[smallest], strict=True)]
        yield Row(
            f"read and trace {size:,} pins; a pin",
            seconds(spread([run.cpu for run in runs]).median),
            f"{peak / 1e6:.0f} MB",
            spread(ratio),
        )
    flat = [max(turn) / min(turn) for turn in zip(*each.values(), strict=True)]
    medians = [spread(values).median for values in each.values()]
    yield Row(
        "time a pin, largest over smallest",
        f"{max(medians) * 1e6:.1f} us",
        f"{min(medians) * 1e6:.1f} us",
        spread(flat),
        goal=FLAT,
    )
    if LARGEST in found:
        clock = spread([run.clock for run in found[LARGEST]])
        whole = spread([run.whole for run in found[LARGEST]])
        bytes_ = spread([run.peak / 1e9 for run in found[LARGEST]])
        yield Row("1,000,000 pins, start to end", seconds(clock.median), "", whole, "s", LARGEST_SECONDS)
        yield Row("1,000,000 pins, peak memory", "", "", Spread(bytes_.median, bytes_.low, bytes_.high), "GB",
                  LARGEST_GIGABYTES)  # fmt: skip


def _python(*arguments: str) -> str:
    done = subprocess.run(
        [sys.executable, "-m", __name__, *arguments], cwd=ROOT, capture_output=True, text=True, check=True
    )
    return done.stdout


def _traced(path: Path, repeats: int) -> Traced:
    start, used = time.perf_counter(), time_of_children()
    pins, cpu, peak = json.loads(_python("trace", str(path), str(repeats)))
    return Traced(pins, cpu, peak, time_of_children() - used, time.perf_counter() - start)


def _make(n_pins: int, path: Path) -> None:
    with path.open("w", encoding="utf-8") as file:
        file.writelines(kicad_netlist(make_board(n_pins)))


def _measure(path: Path, repeats: int) -> tuple[int, float, int]:
    """Pins, processor seconds of a trace, peak bytes; the tables of parts are loaded before."""
    trace(make_board(0))
    start = time.process_time()
    for _ in range(repeats):
        netlist = read_netlist(path)
        bit_map = trace(netlist)
    taken = (time.process_time() - start) / repeats
    if bit_map.n_traced != BITS or not bit_map.is_complete:
        raise AssertionError(f"{bit_map.n_traced} of {BITS} bits were traced")
    return sum(len(net.pins) for net in netlist.nets), taken, _peak()


def _peak() -> int:
    """The most bytes that this process held; on Linux ``getrusage`` would tell those of the one that started it."""
    status = Path("/proc/self/status")
    if status.exists():
        found = re.search(r"^VmHWM:\s*(\d+) kB", status.read_text(encoding="ascii"), re.MULTILINE)
        if found:
            return int(found[1]) * 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * (1 if sys.platform == "darwin" else 1024)


if __name__ == "__main__":
    if sys.argv[1] == "make":
        _make(int(sys.argv[2]), Path(sys.argv[3]))
    else:
        print(json.dumps(_measure(Path(sys.argv[2]), int(sys.argv[3]))))
