"""What a colour pin does when drivers switch: its volts for any levels of them, by solving the stage."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import product

from tracer.stage.model import Stage
from tracer.stage.network import Network, Resistor
from tracer.stage.nodal import NoConvergenceError, solve_network

__all__ = ["MOST_ENUMERATED_BENT", "Response"]

#: Ideal levels of a driver.
HIGH_VOLTS = 5.0
LOW_VOLTS = 0.0
#: With junctions each code costs a Newton solution: all are computed up to this many bits.
MOST_ENUMERATED_BENT = 6
_GROUND = "\0ground"


class Response:
    """Volts at the colour pin for any levels of the drivers.

    Attributes
    ----------
    stage : Stage
    network : Network
        Of the stage, with the load.
    always_conducting : bool
        Take the transistors so: set where the stage does not conduct as drawn.
    both_levels : bool
        Take open collectors as if they could pull up: set where no pull-up is drawn.
    """

    def __init__(self, stage: Stage, load_ohm: float | None) -> None:
        self.stage = stage
        self.out = stage.node(stage.start)
        network = stage.network
        if load_ohm is not None:
            load = Resistor("load", self.out, _GROUND, load_ohm)
            network = Network(
                (*network.resistors, load), network.diodes, network.transistors, network.amplifiers
            )
        self.network = network
        self.always_conducting = False
        self.both_levels = False
        self._cache: dict[tuple[int, ...], float] = {}
        self._near: dict[str, float] | None = None

    @property
    def superposes(self) -> bool:
        """Whether changes add up: no junctions, and every driver holds its net in both states."""
        bent = not self.network.is_linear and not self.always_conducting
        return not bent and (self.both_levels or not any(d.open_collector for d in self.stage.drivers))

    def volts(self, levels: tuple[int, ...]) -> float:
        """Volts at the colour pin."""
        key = (*levels, int(self.always_conducting), int(self.both_levels))
        if key not in self._cache:
            fixed = {**self.stage.fixed, _GROUND: 0.0}
            for driver, level in zip(self.stage.drivers, levels, strict=True):
                if self.both_levels or not (driver.open_collector and level):
                    fixed[self.stage.node(driver.net)] = HIGH_VOLTS if level else LOW_VOLTS
            self._cache[key] = self._solve(fixed)
        return self._cache[key]

    def _solve(self, fixed: Mapping[str, float]) -> float:
        if self.out in fixed:
            return fixed[self.out]
        for start in (self._near, None):
            try:
                found = solve_network(self.network, fixed, start, always_conducting=self.always_conducting)
            except NoConvergenceError:
                continue
            self._near = found
            return found.get(self.out, 0.0)
        return solve_network(self.network, fixed, always_conducting=True).get(self.out, 0.0)

    def change(self, index: int, held: Mapping[int, int]) -> float:
        """Mean change of the colour when one driver rises, over what the others may do."""
        total = []
        for others in self._contexts([i for i in range(len(self.stage.drivers)) if i != index], held):
            low, high = ((*others[:index], level, *others[index:]) for level in (0, 1))
            total.append(self.volts(high) - self.volts(low))
            if self.superposes:
                break
        return sum(total) / len(total)

    def _contexts(self, others: list[int], held: Mapping[int, int]) -> Iterator[tuple[int, ...]]:
        """Levels of the other drivers: all codes where they are few, else all low, all high, and each one apart."""
        free = [i for i in others if i not in held]
        if len(free) < MOST_ENUMERATED_BENT:
            codes = [dict(zip(free, code, strict=True)) for code in product((0, 1), repeat=len(free))]
        else:
            codes = [dict.fromkeys(free, level) for level in (0, 1)]
            codes += [{**dict.fromkeys(free, level), i: 1 - level} for level in (0, 1) for i in free]
        for code in codes:
            yield tuple(held.get(i, code.get(i, 0)) for i in others)
