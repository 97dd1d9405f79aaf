"""Steps of a staircase that are many times the others, and what makes them so.

Where all outputs with a high level are lifted above it, they hold nothing any more, and a pull-up alone says where the
stage goes; a transistor that begins to conduct, or saturates, does the like. Neither is a fault: the board is drawn so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median
from typing import Literal

from tracer.levels.solver import StageSolver
from tracer.stage.level_count import LEVEL_STEP

__all__ = ["LargeSteps", "large_steps"]

#: A step of so many times the middle one of the others stands out. A judgement, no source: of 183 colours of random boards of
#: up to 4 bits a colour (`tests/closed_loop/built`, the first 120) none has a step of 3 to 9 times the others, and three have a larger one.
MANY_TIMES = 5.0
#: A transistor gives a load of 75 ohm something to see from about here on (0.1 mA), and is saturated where its collector
#: stands this much below its base (silicon; common practice, no source).
TURNS_ON_VOLTS = 0.6
SATURATES_VOLTS = 0.4

Cause = Literal["let go", "saturates", "turns on", ""]


@dataclass(frozen=True, slots=True)
class LargeSteps:
    """The steps of one colour at one load that stand out.

    Attributes
    ----------
    codes : tuple of int
        Those at which such a step ends, rising.
    volts : float
        The largest of them.
    usual : float
        The middle one of the others.
    cause : str
        At the largest: ``let go`` (the outputs hold nothing), ``saturates``, ``turns on`` (a transistor), or nothing known.
    part : str
        The transistor.
    """

    codes: tuple[int, ...]
    volts: float
    usual: float
    cause: Cause = ""
    part: str = ""

    @property
    def times(self) -> float:
        """How many times the usual step the largest is."""
        return self.volts / self.usual


def large_steps(
    volts: Sequence[float], solver: StageSolver, codes: Sequence[Sequence[int]]
) -> LargeSteps | None:
    """The steps that stand out, or None; a step alone has no others to be measured by.

    Parameters
    ----------
    volts : sequence of float
        By code.
    solver : StageSolver
    codes : sequence of sequence of int
        Levels of all drivers, by code.

    Raises
    ------
    NoConvergenceError
        The stage has no solution.
    """
    steps = [abs(b - a) for a, b in pairwise(volts)]
    moving = [s for s in steps if s > LEVEL_STEP * (max(volts) - min(volts))]
    if len(moving) < 2:
        return None
    usual = median(sorted(moving)[:-1])
    large = [i for i, s in enumerate(steps) if s >= MANY_TIMES * usual]
    if not large:
        return None
    worst = max(large, key=lambda i: steps[i])
    cause, part = _cause(solver, codes[worst], codes[worst + 1])
    return LargeSteps(tuple(i + 1 for i in large), steps[worst], usual, cause, part)


def _cause(solver: StageSolver, before: Sequence[int], after: Sequence[int]) -> tuple[Cause, str]:
    here, there = solver.solve(before), solver.solve(after)
    for q in solver.stage.network.transistors:
        sign = -1.0 if q.polarity in ("pnp", "pmos") else 1.0

        def passes(end: str, limit: float, base: str = q.base, sign: float = sign) -> bool:
            """Whether the junction from the base to this end is over the limit after the step, and not before."""
            across = [sign * (at.volts[base] - at.volts[end]) for at in (here, there)]
            return across[1] > limit >= across[0]

        if passes(q.collector, SATURATES_VOLTS):
            return "saturates", q.part
        if passes(q.emitter, TURNS_ON_VOLTS):
            return "turns on", q.part
    high = {i for i, level in enumerate(after) if level and solver.drives[i].high}
    if high and high <= there.let_go:
        return "let go", ""
    return "", ""
