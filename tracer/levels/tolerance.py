"""The worst that resistors within their tolerance can make of a voltage.

The volts of a resistor network go one way with each resistor (they are a quotient
of two expressions linear in its conductance), so the extremes lie at corners of
the box: each resistor is moved to its worse end, in turn, until none makes it worse.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from tracer.levels.solver import StageSolver

__all__ = ["worst_in_box"]

_MOST_SWEEPS = 4
#: Changes smaller than this are those of rounding.
_LEAST_GAIN_VOLTS = 1e-12


def worst_in_box(
    values: Sequence[Callable[[], float]], solvers: Sequence[StageSolver], tolerance: float, sign: int
) -> float:
    """The greatest (sign 1) or least (-1) of the values over the box of the resistors' tolerance.

    Parameters
    ----------
    values : sequence of callable
        Volts by each of the solvers.
    solvers : sequence of StageSolver
        Of one stage, with outputs of different strength. The one that is worst with the resistors as marked finds the
        corner (an output that is let go by one may hold in another); where junctions make a solution dear, by the slopes
        there alone.
    tolerance : float
        As a share.
    sign : int
    """
    n = len(solvers[0].scale)
    for solver in solvers:
        solver.scale = (1.0,) * n
    all_marked = [v() for v in values]
    at = max(range(len(values)), key=lambda i: all_marked[i] * sign)
    first, value, marked = solvers[at], values[at], all_marked[at]
    low, high = 1 - tolerance, 1 + tolerance
    corner = []
    for i in range(n):
        first.scale = (*(1.0,) * i, high, *(1.0,) * (n - i - 1))
        corner.append(high if (value() - marked) * sign > 0 else low)
    first.scale = tuple(corner)
    best = value() * sign
    for _ in range(_MOST_SWEEPS if first.stage.network.is_linear else 0):
        before = first.scale
        for i in range(n):
            held = first.scale
            first.scale = (*held[:i], low if held[i] == high else high, *held[i + 1 :])
            now = value() * sign
            if now > best + _LEAST_GAIN_VOLTS:
                best = now
            else:
                first.scale = held
        if first.scale == before:
            break
    worst = first.scale
    for solver in solvers:
        solver.scale = worst
    found = max(v() * sign for v in values)
    for solver in solvers:
        solver.scale = (1.0,) * n
    return found * sign
