"""Outputs that must give or take more current than their data sheets grant."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tracer.circuit.graph import Circuit
from tracer.levels.drive import driver_family
from tracer.levels.solver import StageSolver

__all__ = ["Overdrive", "overdriven"]


@dataclass(frozen=True, slots=True)
class Overdrive:
    """An output's current at its worst beside what its data sheet grants, in milliamperes."""

    pin: str
    milliamp: float
    granted: float
    level: int

    @property
    def times(self) -> float:
        """How many times the granted current."""
        return self.milliamp / self.granted


def overdriven(circuit: Circuit, solver: StageSolver, codes: Iterable[Sequence[int]]) -> dict[str, Overdrive]:
    """Output -> its worst, of those that are over at one of the codes (levels of all drivers)."""
    found: dict[str, Overdrive] = {}
    for levels in codes:
        for i, amp in enumerate(solver.solve(levels).amp):
            driver = solver.stage.drivers[i]
            family = driver_family(circuit, driver)
            if family is None:
                continue
            pin, granted = str(driver.pins[0]), family.drive_ma if levels[i] else family.sink_ma
            over = Overdrive(pin, abs(amp) * 1e3, granted, levels[i])
            if over.times > max(1.0, found[pin].times if pin in found else 0.0):
                found[pin] = over
    return found
