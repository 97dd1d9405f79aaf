"""Volts at the nodes of an output stage with real outputs driving it.

A bipolar output holds its high level only while current leaves it, its low
level only while current enters: what the solution shows to run the other way is
let go and the network solved again, until nothing changes.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from tracer.levels.drive_values import Drive, Hold
from tracer.stage.model import Stage
from tracer.stage.network import Charged, Resistor
from tracer.stage.nodal import CHARGED_SIEMENS, NoConvergenceError, solve_network

__all__ = ["GROUND", "Solution", "StageSolver"]

#: The node of 0 V that every net name differs from.
GROUND = "\0ground"
_BEHIND = "\0behind "
#: An output that would take the wrong current by this many volts is let go.
_LET_GO_VOLTS = 1e-7
_MOST_ROUNDS = 12


@dataclass(frozen=True)
class Solution:
    """Volts of every node, the current that each driver gives (leaving the pin: positive), in amperes, and who holds nothing.

    A driver is let go where its net stands on the far side of its level, so that it neither gives nor takes.
    """

    volts: Mapping[str, float]
    amp: tuple[float, ...]
    let_go: frozenset[int] = frozenset()


class StageSolver:
    """One stage at one load; remembers the last solution to begin the next from.

    Parameters
    ----------
    stage : Stage
    drives : sequence of Drive
        One for each of `stage.drivers`.
    load_ohm : float or None
    also_loaded : sequence of str
        Nodes of other colour pins in the same stage: a monitor loads all of them alike.
    """

    def __init__(
        self,
        stage: Stage,
        drives: Sequence[Drive],
        load_ohm: float | None,
        also_loaded: Sequence[str] = (),
    ) -> None:
        self.stage, self.drives, self.load_ohm = stage, tuple(drives), load_ohm
        self.also_loaded = tuple(also_loaded)
        self.out = stage.node(stage.start)
        self.scale: tuple[float, ...] = (1.0,) * len(stage.network.resistors)
        self.charged: tuple[Charged, ...] = stage.network.charged
        self._near: dict[str, float] | None = None

    def volts(self, levels: Sequence[int]) -> float:
        """Volts at the colour pin."""
        return self.solve(levels).volts[self.out]

    def solve(self, levels: Sequence[int], missing: frozenset[int] = frozenset()) -> Solution:
        """Solve for the levels of the drivers; those in `missing` hold nothing.

        Raises
        ------
        NoConvergenceError
            A network with junctions has no solution.
        """
        holds = [
            None if i in missing else drive.at(level)
            for i, (drive, level) in enumerate(zip(self.drives, levels, strict=True))
        ]
        let_go: set[int] = set()
        for _ in range(_MOST_ROUNDS):
            found = self._solve(
                [None if i in let_go else hold for i, hold in enumerate(holds)],
            )
            wrong = set()
            for i, hold in enumerate(holds):
                if hold is not None and hold.one_way:
                    over = found[self._node(i)] - hold.volts
                    if (over > _LET_GO_VOLTS) if levels[i] else (over < -_LET_GO_VOLTS):
                        wrong.add(i)
            # An output that was let go stays so while its net is on the far side of its level.
            if wrong == let_go:
                break
            let_go = wrong
        amp = tuple(
            0.0 if hold is None or i in let_go or not hold.ohm else (hold.volts - found[self._node(i)]) / hold.ohm
            for i, hold in enumerate(holds)
        )  # fmt: skip
        return Solution(found, amp, frozenset(let_go))

    def _node(self, i: int) -> str:
        return self.stage.node(self.stage.drivers[i].net)

    def _solve(self, holds: Sequence[Hold | None]) -> dict[str, float]:
        network = self.stage.network
        resistors = [
            r if scale == 1.0 else replace(r, ohm=r.ohm * scale)
            for r, scale in zip(network.resistors, self.scale, strict=True)
        ]
        fixed = {**self.stage.fixed, GROUND: 0.0}
        if self.load_ohm is not None:
            for node in (self.out, *self.also_loaded):
                resistors.append(Resistor("load", node, GROUND, self.load_ohm))
        for i, hold in enumerate(holds):
            node = self._node(i)
            if hold is None:
                continue
            if hold.ohm == 0.0:
                fixed[node] = hold.volts
            else:
                fixed[_BEHIND + node] = hold.volts
                resistors.append(Resistor("output", _BEHIND + node, node, hold.ohm))
        whole = replace(network, resistors=tuple(resistors), charged=self.charged)
        try:
            found = solve_network(whole, fixed, self._near)
        except NoConvergenceError:
            found = solve_network(whole, fixed)
        self._near = found
        for node in [self.out, *(self._node(i) for i in range(len(holds)))]:
            found.setdefault(node, fixed.get(node, 0.0))
        return found

    # -- coupling capacitors ------------------------------------------------------------------------

    def settle_charges(self, codes: Sequence[Sequence[int]], missing: frozenset[int] = frozenset()) -> None:
        """Charge the coupling capacitors until no current flows through them on the mean of all codes.

        The drivers in `missing` hold nothing meanwhile.

        Raises
        ------
        NoConvergenceError
            A network with junctions has no solution.
        """
        counted = Counter(tuple(code) for code in codes)
        for _ in range(_MOST_ROUNDS):
            moved = 0.0
            for at, capacitor in enumerate(self.charged):
                moved = max(moved, self._settle(at, capacitor, counted, missing))
            if moved < 1e-6:
                return

    def _settle(
        self, at: int, capacitor: Charged, codes: Counter[tuple[int, ...]], missing: frozenset[int]
    ) -> float:
        """One capacitor, by the secant method on its mean current."""

        def mean_current(volts: float) -> float:
            self.charged = (
                *self.charged[:at],
                replace(self.charged[at], volts=volts),
                *self.charged[at + 1 :],
            )
            found = [(self.solve(code, missing).volts, times) for code, times in codes.items()]
            across = sum((v[capacitor.a] - v[capacitor.b]) * times for v, times in found) / codes.total()
            return CHARGED_SIEMENS * (across - volts)

        first = self.charged[at].volts
        a, b = first, first + 1.0
        at_a, at_b = mean_current(a), mean_current(b)
        for _ in range(30):
            if abs(at_b) < 1e-10 or abs(at_b - at_a) < 1e-15:
                break
            a, b, at_a = b, b - at_b * (b - a) / (at_b - at_a), at_b
            at_b = mean_current(b)
        mean_current(b)
        return abs(b - first)
