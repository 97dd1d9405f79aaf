"""Amplifiers whose gain asks for more than their supplies give.

The solver's amplifier is ideal, so its output may stand beyond the supplies that its part is joined to; a real one stops
there or earlier. Which voltages those are follows from the nets of the part's supply legs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tracer.circuit.graph import Circuit
from tracer.levels.solver import StageSolver

__all__ = ["Clipping", "clipped"]

#: So far beyond a supply an ideal output does not count as beyond: what rounding leaves, in volts.
_SLACK_VOLTS = 1e-3


@dataclass(frozen=True, slots=True)
class Clipping:
    """An amplifier at one of its supplies.

    Attributes
    ----------
    part : str
    rail : str
        The net of the supply.
    rail_volts : float
    asked_volts : float
        The farthest that the ideal output goes.
    codes : tuple of int
        Codes at which it is beyond, rising.
    last : int
        The highest code of the colour.
    """

    part: str
    rail: str
    rail_volts: float
    asked_volts: float
    codes: tuple[int, ...]
    last: int


def clipped(circuit: Circuit, solver: StageSolver, codes: Sequence[Sequence[int]]) -> tuple[Clipping, ...]:
    """The amplifiers of a stage that a code drives beyond a supply.

    Parameters
    ----------
    circuit : Circuit
    solver : StageSolver
        Of the stage at one load.
    codes : sequence of sequence of int
        Levels of all drivers, by code.

    Raises
    ------
    NoConvergenceError
        A network with junctions has no solution.
    """
    amplifiers = solver.stage.network.amplifiers
    if not amplifiers:
        return ()
    solved = [solver.solve(levels).volts for levels in codes]
    found = []
    for amplifier in amplifiers:
        supplies = _supplies(circuit, amplifier.part)
        if not supplies:
            continue
        volts = [at.get(amplifier.out, solver.stage.fixed.get(amplifier.out, 0.0)) for at in solved]
        top = max(supplies, key=lambda net: circuit.rails[net].volts)
        bottom = min(supplies, key=lambda net: circuit.rails[net].volts)
        for rail, sign in ((top, 1.0), (bottom, -1.0)):
            limit = circuit.rails[rail].volts
            over = [code for code, v in enumerate(volts) if sign * (v - limit) > _SLACK_VOLTS]
            if over and (len(supplies) > 1 or limit * sign > 0.0):
                asked = max((volts[code] for code in over), key=lambda v: sign * v)
                found.append(Clipping(amplifier.part, rail, limit, asked, tuple(over), len(codes) - 1))
    return tuple(found)


def _supplies(circuit: Circuit, reference: str) -> list[str]:
    """Nets of known voltage that a part's supply legs stand on."""
    part = circuit.identified[reference]
    legs = [pin.number for pin in part.type.pins if pin.direction == "power"]
    nets = dict.fromkeys(net for leg in legs for net in circuit.nets_of(reference, leg))
    return [net for net in nets if net in circuit.rails]
