"""Outputs that must give or take more current than their data sheets grant.

The current is the output's own, from the solution of the whole stage. Where resistors and diodes alone lead from the
output to the colour pin, the load draws it. Behind a transistor or an amplifier the output feeds its resistors, and of
the load only the base current comes through: the emitter's divided by the gain and one (P. Horowitz, W. Hill, The Art
of Electronics, section on the emitter follower; from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tracer.circuit.graph import Circuit
from tracer.levels.drive import driver_family
from tracer.levels.solver import StageSolver
from tracer.stage.model import Stage

__all__ = ["Overdrive", "overdriven"]


@dataclass(frozen=True, slots=True)
class Overdrive:
    """An output's current at its worst beside what its data sheet grants.

    Attributes
    ----------
    pin : str
    milliamp, granted : float
        In milliamperes.
    level : int
    behind : tuple of str
        Transistors and amplifiers that drive the load in the output's place; empty where the output does it itself.
    """

    pin: str
    milliamp: float
    granted: float
    level: int
    behind: tuple[str, ...] = ()

    @property
    def times(self) -> float:
        """How many times the granted current."""
        return self.milliamp / self.granted


def overdriven(circuit: Circuit, solver: StageSolver, codes: Iterable[Sequence[int]]) -> dict[str, Overdrive]:
    """Output -> its worst, of those that are over at one of the codes (levels of all drivers)."""
    found: dict[str, Overdrive] = {}
    behind = [_between(solver.stage, driver.net) for driver in solver.stage.drivers]
    for levels in codes:
        for i, amp in enumerate(solver.solve(levels).amp):
            driver = solver.stage.drivers[i]
            family = driver_family(circuit, driver)
            if family is None:
                continue
            pin, granted = str(driver.pins[0]), family.drive_ma if levels[i] else family.sink_ma
            over = Overdrive(pin, abs(amp) * 1e3, granted, levels[i], behind[i])
            if over.times > max(1.0, found[pin].times if pin in found else 0.0):
                found[pin] = over
    return found


def _between(stage: Stage, net: str) -> tuple[str, ...]:
    """What amplifies between an output's net and the colour pin; empty where current goes all the way.

    Currents end at nodes that are held: supplies and ground.
    """
    network = stage.network
    ways = [
        *((r.a, r.b) for r in network.resistors),
        *((d.anode, d.cathode) for d in network.diodes),
        *((c.a, c.b) for c in network.charged),
    ]
    out, reached, front = stage.node(stage.start), {stage.node(net)}, [stage.node(net)]
    while front:
        here = front.pop()
        if here in stage.fixed:
            continue
        near = {b if a == here else a for a, b in ways if here in (a, b)} - reached
        reached |= near
        front += near
    if out in reached:
        return ()
    inputs = [
        *((q.part, {q.base}) for q in network.transistors),
        *((a.part, {a.plus, a.minus}) for a in network.amplifiers),
    ]
    held = reached - set(stage.fixed)
    return tuple(dict.fromkeys(part for part, legs in inputs if legs & held))
