"""Volts of one colour by code with typical, weak and strong outputs, and with resistors off by their tolerance."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

from tracer.levels.at_rest import AtRest, levels_at_rest
from tracer.levels.drive import Corner
from tracer.levels.drive_values import Override
from tracer.levels.loaded_stage import loaded_stage, solver_of
from tracer.levels.solver import StageSolver
from tracer.levels.tolerance import worst_in_box
from tracer.levels.values import CodeLevel, LoadLevels
from tracer.stage.model import Stage
from tracer.tracing.pipeline import Traced

__all__ = ["Corners"]


@dataclass
class Corners:
    """All solutions of one colour.

    Attributes
    ----------
    traced : Traced
    colour : str
    load_ohm : float or None
        At which it is settled how the drivers that are no bits rest.
    override : Override or None
    tolerance : float
        Of every resistor, as a share.
    """

    traced: Traced
    colour: str
    load_ohm: float | None
    override: Override | None = None
    tolerance: float = 0.0

    @cached_property
    def stage(self) -> Stage:
        """What is solved."""
        return loaded_stage(self.traced, self.colour)

    @cached_property
    def rest(self) -> AtRest:
        """The drivers that are no bits."""
        return levels_at_rest(self.traced, self.colour, self.load_ohm, self.override)

    @cached_property
    def codes(self) -> list[tuple[int, ...]]:
        """Levels of all drivers for each code."""
        n = len(self.rest.places)
        return [self._levels(tuple(code >> i & 1 for i in range(n))) for code in range(2**n)]

    @cached_property
    def is_coupled(self) -> bool:
        """Whether a capacitor stands in the way: the volts are those above code 0."""
        return bool(self.stage.network.charged)

    def _levels(self, code: Sequence[int], *, blank: bool = False) -> tuple[int, ...]:
        return self.rest.levels(len(self.stage.drivers), code, blank=blank)

    def solver(self, load: float | None, corner: Corner = "typical") -> StageSolver:
        """A solver whose capacitors have taken their charge."""
        found = solver_of(self.traced, self.colour, load, corner, self.override)
        found.settle_charges(self.codes)
        return found

    def at_load(self, load: float | None) -> LoadLevels:
        """All codes at one load.

        Raises
        ------
        NoConvergenceError
            The stage has no solution.
        """
        told = self.override is not None and None not in (self.override.high, self.override.low)
        corners: tuple[Corner, ...] = ("typical",) if told else ("typical", "weak", "strong")
        columns = [self._volts(self.solver(load, corner)) for corner in corners]
        lowest = [min(volts) for volts in zip(*columns, strict=True)]
        highest = [max(volts) for volts in zip(*columns, strict=True)]
        if self.tolerance:
            solvers = [self.solver(load, corner) for corner in corners]
            for i, levels in enumerate(self.codes):
                asked = [self._asked(solver, levels) for solver in solvers]
                lowest[i] = worst_in_box(asked, solvers, self.tolerance, -1)
                highest[i] = worst_in_box(asked, solvers, self.tolerance, 1)
        codes = (
            CodeLevel(i, _tidy(volts), _tidy(lowest[i]), _tidy(highest[i]))
            for i, volts in enumerate(columns[0])
        )
        return LoadLevels(load, tuple(codes), self._blanked(load))

    def _blanked(self, load: float | None) -> float | None:
        """What blanking leaves of the brightest code."""
        if not self.rest.blanked:
            return None
        solver, n = self.solver(load), len(self.rest.places)
        blank = solver.volts(self._levels((1,) * n, blank=True))
        return _tidy(blank - (solver.volts(self.codes[0]) if self.is_coupled else 0.0))

    def _volts(self, solver: StageSolver) -> list[float]:
        """Of each code."""
        volts = [solver.volts(levels) for levels in self.codes]
        return [v - volts[0] for v in volts] if self.is_coupled else volts

    def _asked(self, solver: StageSolver, levels: tuple[int, ...]) -> Callable[[], float]:
        """Volts of a code, as the solver stands when it is asked."""
        if not self.is_coupled:
            return lambda: solver.volts(levels)
        return lambda: solver.volts(levels) - solver.volts(self.codes[0])

    def crossing(self) -> tuple[tuple[int, int], ...]:
        """Neighbouring codes that the tolerance can turn over.

        Raises
        ------
        NoConvergenceError
            The stage has no solution.
        """
        if not self.tolerance:
            return ()
        solver = self.solver(self.load_ohm)
        up = 1 if solver.volts(self.codes[-1]) >= solver.volts(self.codes[0]) else -1
        found = []
        for k in range(len(self.codes) - 1):
            dark, bright = self.codes[k], self.codes[k + 1]

            def step(dark: tuple[int, ...] = dark, bright: tuple[int, ...] = bright) -> float:
                return up * (solver.volts(bright) - solver.volts(dark))

            if worst_in_box([step], [solver], self.tolerance, -1) < 0:
                found.append((k, k + 1))
        return tuple(found)


def _tidy(volts: float) -> float:
    """Without the last digits, in which machines differ."""
    return round(volts, 6) + 0.0
