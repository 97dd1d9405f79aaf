"""Times taken by turns: what is compared runs in the same minutes of the same machine, so that its load cancels out.

The processor's time counts, in this process or in the programs it starts, so that other programs on the machine do
not. On a machine with nothing else to do it is the clock's.
"""

from __future__ import annotations

import gc
import resource
import statistics
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

__all__ = ["Goal", "Row", "Spread", "interleaved", "ratios", "row", "seconds", "spread", "time_of_children"]


@dataclass(frozen=True, slots=True)
class Spread:
    """Median, smallest and largest of some measurements."""

    median: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Goal:
    """What a figure must be: at least, or at most, so much."""

    at_least: float | None = None
    at_most: float | None = None

    def __str__(self) -> str:
        return f">={self.at_least:g}" if self.at_least is not None else f"<={self.at_most:g}"

    def is_met(self, figure: float) -> bool:
        """Whether a figure is as good as the goal."""
        if self.at_least is not None and figure < self.at_least:
            return False
        return self.at_most is None or figure <= self.at_most


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table.

    Attributes
    ----------
    what : str
        What was measured, and against what.
    ours, other : str
        Times or sizes with their units, for orientation.
    figure : Spread or None
        What the goal is about; None where a package is missing.
    unit : str
        Of the figure: ``x`` for a ratio, ``MB/s``, ``s``, ``GB``.
    goal : Goal or None
    remark : str
        Stands in a line of its own below.
    """

    what: str
    ours: str = ""
    other: str = ""
    figure: Spread | None = None
    unit: str = "x"
    goal: Goal | None = None
    remark: str = ""

    @property
    def verdict(self) -> str:
        """``met`` or ``missed``; empty without a goal or a figure."""
        if self.goal is None or self.figure is None:
            return ""
        return "met" if self.goal.is_met(self.figure.median) else "missed"


def interleaved(
    runs: Mapping[str, Callable[[], object]], repeats: int, *, clock: Callable[[], float] = time.process_time
) -> dict[str, list[float]]:
    """Seconds of each run, by turns, after one round that does not count; the search for cycles is done between."""
    taken: dict[str, list[float]] = {name: [] for name in runs}
    for number in range(repeats + 1):
        for name, run in runs.items():
            gc.collect()
            start = clock()
            run()
            if number:
                taken[name].append(clock() - start)
    return taken


def time_of_children() -> float:
    """Processor seconds of all programs that were started and have ended."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def spread(values: Sequence[float]) -> Spread:
    """Median, smallest and largest."""
    return Spread(statistics.median(values), min(values), max(values))


def ratios(ours: Sequence[float], other: Sequence[float]) -> Spread:
    """How many times longer the other takes, turn by turn."""
    return spread([b / a for a, b in zip(ours, other, strict=True)])


def seconds(value: float) -> str:
    """A time for people.

    >>> [seconds(v) for v in (0.0000123, 0.0123, 1.5, 32.1)]
    ['12 us', '12 ms', '1.50 s', '32.1 s']
    """
    if value < 0.001:
        return f"{value * 1e6:.0f} us"
    if value < 1:
        return f"{value * 1e3:.0f} ms"
    return f"{value:.2f} s" if value < 10 else f"{value:.1f} s"


def row(
    what: str,
    taken: Mapping[str, Sequence[float]],
    ours: str,
    other: str,
    goal: Goal | None,
    remark: str = "",
) -> Row:
    """A line that says how many times longer `other` takes than `ours`."""
    a, b = taken[ours], taken[other]
    return Row(
        what, seconds(spread(a).median), seconds(spread(b).median), ratios(a, b), goal=goal, remark=remark
    )
