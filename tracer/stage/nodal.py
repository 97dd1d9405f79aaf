"""Small resistor networks with diodes, transistors and amplifiers: node voltages by nodal analysis.

Linear networks are solved by Gauss elimination with partial pivoting; others by
Newton's method with the junction-voltage limiting that circuit simulators use
(Nagel, "SPICE2: A computer program to simulate semiconductor circuits", UC
Berkeley ERL-M520, 1975, section on convergence; from memory).

Models: diode I = IS (exp(V/VT) - 1); bipolar transistor in the transport form
of Ebers and Moll; field-effect transistors are taken as bipolar ones of very
high gain, which is right for a switch or a follower and nothing finer.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from tracer.stage.network import Network, Transistor

__all__ = [
    "CHARGED_SIEMENS",
    "NoConvergenceError",
    "solve_network",
]

#: kT/q at 27 C, the temperature that simulators assume.
THERMAL_VOLTS = 0.025865
#: Saturation current and gains of a small transistor: IS 1e-14 A, BF 100, BR 1, round figures from memory of simulator models.
SATURATION_AMP = 1e-14
FORWARD_GAIN = 100.0
REVERSE_GAIN = 1.0
FET_GAIN = 1e6
#: Conductance from every node to ground, so that a node joined to nothing has a voltage.
LEAK_SIEMENS = 1e-12
#: Gain of the ideal amplifier, as a conductance from the difference of its inputs to its output.
AMPLIFIER_SIEMENS = 1e4
#: Conductance in series with a charged capacitor.
CHARGED_SIEMENS = 1e3
#: Base-emitter drop and input resistance of a transistor taken as always conducting.
DROP_VOLTS = 0.65
BASE_OHM = 1.0

_MOST_STEPS = 200
_TOLERANCE_VOLTS = 1e-9
_CRITICAL = THERMAL_VOLTS * math.log(THERMAL_VOLTS / (math.sqrt(2) * SATURATION_AMP))


class NoConvergenceError(Exception):
    """Newton's method found no solution; the caller falls back to a simpler model."""


def solve_network(
    network: Network,
    fixed: Mapping[str, float],
    start: Mapping[str, float] | None = None,
    *,
    always_conducting: bool = False,
) -> dict[str, float]:
    """Voltages of all nodes, in volts.

    Parameters
    ----------
    network : Network
        The parts. Node names are free.
    fixed : mapping of str to float
        Volts of the nodes that are held: supplies, ground, ideal drivers.
    start : mapping of str to float, optional
        A solution near by, to begin from.
    always_conducting : bool
        Take transistors as conducting (a fixed drop and a fixed gain) and diodes as open, which makes
        the network linear.

    Raises
    ------
    NoConvergenceError
        A network with junctions has no solution within the steps allowed.

    Examples
    --------
    A 1k/470/220 set into 75 ohm, all high (Millman's theorem):

    >>> from tracer.stage.network import Resistor
    >>> net = Network((Resistor("R1", "a", "x", 1000), Resistor("R2", "b", "x", 470),
    ...                Resistor("R3", "c", "x", 220), Resistor("RL", "x", "0", 75)))
    >>> round(solve_network(net, {"a": 5, "b": 5, "c": 5, "0": 0})["x"], 5)
    1.82637
    """
    unknown = sorted(network.nodes() - set(fixed))
    index = {node: i for i, node in enumerate(unknown)}
    solver = _Solver(network, dict(fixed), index, always_conducting)
    volts = [(start or {}).get(node, 0.0) for node in unknown]
    if network.is_linear or always_conducting:
        volts = solver.step(volts)
        return {**fixed, **dict(zip(unknown, volts, strict=True))}
    for _ in range(_MOST_STEPS):
        new = solver.step(volts)
        moved = max((abs(a - b) for a, b in zip(new, volts, strict=True)), default=0.0)
        volts = new
        if moved < _TOLERANCE_VOLTS and not solver.limited:
            return {**fixed, **dict(zip(unknown, volts, strict=True))}
    raise NoConvergenceError(f"no solution for {len(unknown)} nodes")


class _Solver:
    """One linearised system after the other."""

    def __init__(
        self, network: Network, fixed: dict[str, float], index: dict[str, int], always_conducting: bool
    ) -> None:
        self.network, self.fixed, self.index = network, fixed, index
        self.always_conducting = always_conducting
        self.junctions: dict[object, float] = {}
        self.limited = False

    def step(self, volts: list[float]) -> list[float]:
        """Linearise at `volts` and solve."""
        n = len(self.index)
        self.volts = volts
        self.matrix = [[0.0] * n for _ in range(n)]
        self.right = [0.0] * n
        self.limited = False
        for i in range(n):
            self.matrix[i][i] = LEAK_SIEMENS
        for r in self.network.resistors:
            self._conductance(r.a, r.b, 1.0 / r.ohm)
        for a in self.network.amplifiers:
            self._transfer(a.out, None, a.plus, a.minus, AMPLIFIER_SIEMENS)
        for c in self.network.charged:
            self._conductance(c.a, c.b, CHARGED_SIEMENS)
            self._current(c.a, c.b, c.volts * CHARGED_SIEMENS)
        for d in self.network.diodes if not self.always_conducting else ():
            self._junction(d, d.anode, d.cathode, 1.0, 1.0)
        for q in self.network.transistors:
            self._transistor(q)
        return _gauss(self.matrix, self.right)

    def _value(self, node: str) -> float:
        return self.fixed[node] if node in self.fixed else self.volts[self.index[node]]

    def _conductance(self, a: str, b: str, siemens: float) -> None:
        """The same as ``_transfer(b, a, a, b, siemens)``, which nearly all stamps are, in half the time."""
        row_a, row_b = self.index.get(a), self.index.get(b)
        if row_a is not None:
            self.matrix[row_a][row_a] += siemens
            if row_b is not None:
                self.matrix[row_a][row_b] -= siemens
            else:
                self.right[row_a] += siemens * self.fixed[b]
        if row_b is not None:
            if row_a is not None:
                self.matrix[row_b][row_a] -= siemens
            else:
                self.right[row_b] += siemens * self.fixed[a]
            self.matrix[row_b][row_b] += siemens

    def _transfer(self, into: str | None, out_of: str | None, plus: str, minus: str, siemens: float) -> None:
        """A current siemens * (V(plus) - V(minus)) that leaves `out_of` and enters `into`."""
        for node, sign in ((out_of, 1.0), (into, -1.0)):
            if node is None or node in self.fixed:
                continue
            row = self.index[node]
            for control, factor in ((plus, siemens), (minus, -siemens)):
                if control in self.fixed:
                    self.right[row] -= sign * factor * self.fixed[control]
                else:
                    self.matrix[row][self.index[control]] += sign * factor

    def _current(self, into: str, out_of: str, amp: float) -> None:
        """A fixed current that leaves `out_of` and enters `into`."""
        if out_of not in self.fixed:
            self.right[self.index[out_of]] -= amp
        if into not in self.fixed:
            self.right[self.index[into]] += amp

    def _limit(self, key: object, new: float) -> float:
        """Keep a junction's voltage from running away between two steps."""
        old = self.junctions.get(key, _CRITICAL)
        if new > _CRITICAL and abs(new - old) > 2 * THERMAL_VOLTS:
            if old > 0:
                ratio = 1 + (new - old) / THERMAL_VOLTS
                new = old + THERMAL_VOLTS * math.log(ratio) if ratio > 0 else _CRITICAL
            else:
                new = THERMAL_VOLTS * math.log(max(new, THERMAL_VOLTS) / THERMAL_VOLTS)
            self.limited = True
        self.junctions[key] = new
        return new

    def _junction(
        self, key: object, anode: str, cathode: str, sign: float, scale: float
    ) -> tuple[float, float]:
        """Stamp a diode; gives its conductance and its current."""
        volts = self._limit((key, anode, cathode), sign * (self._value(anode) - self._value(cathode)))
        current, siemens = _diode(volts, SATURATION_AMP * scale)
        plus, minus = (anode, cathode) if sign > 0 else (cathode, anode)
        self._conductance(plus, minus, siemens)
        self._current(minus, plus, current - siemens * volts)
        return siemens, current

    def _transistor(self, q: Transistor) -> None:
        sign = -1.0 if q.polarity in ("pnp", "pmos") else 1.0
        gain = FET_GAIN if q.polarity.endswith("mos") else FORWARD_GAIN
        if self.always_conducting:
            self._conducting(q, sign, gain)
            return
        vbe = self._limit((q, "be"), sign * (self._value(q.base) - self._value(q.emitter)))
        vbc = self._limit((q, "bc"), sign * (self._value(q.base) - self._value(q.collector)))
        forward, g_forward = _diode(vbe, SATURATION_AMP)
        reverse, g_reverse = _diode(vbc, SATURATION_AMP)
        reverse_gain = REVERSE_GAIN if gain == FORWARD_GAIN else FET_GAIN
        # Base-emitter and base-collector junctions carry the base current, the transport current runs
        # from collector to emitter.
        for other, volts, current, siemens, part in (
            (q.emitter, vbe, forward, g_forward, gain),
            (q.collector, vbc, reverse, g_reverse, reverse_gain),
        ):
            self._conductance(q.base, other, siemens / part)
            amp = sign * (current - siemens * volts) / part
            self._current(other, q.base, amp)
        self._transfer(q.emitter, q.collector, q.base, q.emitter, g_forward)
        self._transfer(q.emitter, q.collector, q.collector, q.base, g_reverse)
        amp = sign * ((forward - g_forward * vbe) - (reverse - g_reverse * vbc))
        self._current(q.emitter, q.collector, amp)

    def _conducting(self, q: Transistor, sign: float, gain: float) -> None:
        siemens = 1.0 / BASE_OHM
        self._conductance(q.base, q.emitter, siemens)
        self._current(q.emitter, q.base, -sign * DROP_VOLTS * siemens)
        self._transfer(q.emitter, q.collector, q.base, q.emitter, gain * siemens)
        self._current(q.emitter, q.collector, -sign * DROP_VOLTS * gain * siemens)


def _diode(volts: float, saturation: float) -> tuple[float, float]:
    """Current and conductance of a junction."""
    if volts < -5 * THERMAL_VOLTS:
        return -saturation, saturation / THERMAL_VOLTS * math.exp(-5.0)
    grown = saturation * math.exp(min(volts / THERMAL_VOLTS, 80.0))
    return grown - saturation, grown / THERMAL_VOLTS


def _gauss(matrix: list[list[float]], right: list[float]) -> list[float]:
    """Solve a dense system in place, with partial pivoting."""
    n = len(right)
    for column in range(n):
        pivot, largest = column, abs(matrix[column][column])
        for row in range(column + 1, n):
            size = abs(matrix[row][column])
            if size > largest:
                pivot, largest = row, size
        if matrix[pivot][column] == 0.0:
            raise NoConvergenceError("singular system")
        if pivot != column:
            matrix[column], matrix[pivot] = matrix[pivot], matrix[column]
            right[column], right[pivot] = right[pivot], right[column]
        top = matrix[column]
        for row in range(column + 1, n):
            factor = matrix[row][column] / top[column]
            if factor:
                line = matrix[row]
                # What stands below the pivot would be zero; nothing reads it again.
                for k in range(column + 1, n):
                    line[k] -= factor * top[k]
                right[row] -= factor * right[column]
    for row in range(n - 1, -1, -1):
        line = matrix[row]
        right[row] = (right[row] - sum(line[k] * right[k] for k in range(row + 1, n))) / line[row]
    return right
