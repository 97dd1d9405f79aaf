"""Volts of a small network of resistors, junctions and transistors that digital outputs drive.

Nodal analysis with Newton's iteration: at each step every junction is its tangent, a conductance and a current (the
companion model of L. W. Nagel, "SPICE2", ERL-M520, 1975, with its limit on the step of a junction). Transistors are those
of Ebers and Moll. An output of a bipolar chip gives current only one way at each level.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

__all__ = ["LEVELS", "Element", "Network", "junction", "load", "resistor", "transistor"]

#: Amperes at no voltage and volts at 27 degrees of every junction; gains forward and back (the defaults of Ebers and
#: Moll's model in text books; from memory).
_IS, _VT, _FORWARD, _BACK = 1e-14, 0.02585, 100.0, 1.0
#: Siemens from each node to ground, so that one which nothing holds has a solution.
_LEAK = 1e-9
_MOST_STEPS, _NEAR_VOLTS = 200, 1e-7
_CRITICAL = _VT * math.log(_VT / (_IS * math.sqrt(2)))

#: What an output does to its net -> volts behind ohms, and whether it gives and takes current. Middling values of what
#: 74LS sheets draw as typical; from memory.
LEVELS: Mapping[str, tuple[float, float, bool, bool]] = {
    "H": (3.5, 120.0, True, False),  # a bipolar high gives only
    "L": (0.2, 20.0, False, True),  # and a low takes only
    "h": (4.95, 40.0, True, True),  # CMOS, both ways
    "l": (0.05, 40.0, True, True),
    "M": (1.5, 300.0, True, True),  # a weak output
    "B": (0.9, 30.0, True, True),  # two outputs against each other: the low one mostly wins
}


class Element(NamedTuple):
    """A resistor (two nodes, ohms), a load (a resistor that a meter does not find, for it is unplugged), a junction
    (anode, cathode) or a transistor (base, collector, emitter).
    """

    kind: str
    nodes: tuple[str, ...]
    value: float = 0.0


def resistor(a: str, b: str, ohm: float) -> Element:
    """A resistor."""
    return Element("resistor", (a, b), ohm)


def load(a: str, b: str, ohm: float) -> Element:
    """What is plugged in while the board is on."""
    return Element("load", (a, b), ohm)


def junction(anode: str, cathode: str) -> Element:
    """A diode."""
    return Element("junction", (anode, cathode))


def transistor(base: str, collector: str, emitter: str, polarity: str = "npn") -> Element:
    """A bipolar transistor; `value` is -1 for pnp."""
    return Element("transistor", (base, collector, emitter), -1.0 if polarity == "pnp" else 1.0)


class Network:
    """One network: its elements, the nodes held at a voltage, and the nodes that outputs drive.

    Parameters
    ----------
    elements : sequence of Element
    fixed : mapping of str to float
        Node -> volts.
    driven : sequence of str
        Nodes with an output, in the order of the states given to `solve`.
    """

    def __init__(
        self, elements: Sequence[Element], fixed: Mapping[str, float], driven: Sequence[str]
    ) -> None:
        self.elements, self.fixed, self.driven = elements, fixed, driven
        nodes = dict.fromkeys([*(n for e in elements for n in e.nodes), *driven])
        self.free = {n: i for i, n in enumerate(n for n in nodes if n not in fixed)}
        self.bends = [e for e in elements if e.kind not in ("resistor", "load")]
        self._known: dict[str, Mapping[str, float]] = {}
        self._volts = dict.fromkeys(self.free, 0.0)
        self._matrix, self._right = self._linear()

    def solve(self, states: str) -> Mapping[str, float]:
        """Volts of every node; `states` is one letter of `LEVELS` or ``Z`` for each driven node."""
        if states not in self._known:
            self._known[states] = self._solved(states)
        return self._known[states]

    def ohms(self, a: str, b: str) -> float:
        """What a meter reads between two nodes with the board off: junctions do not conduct at its voltage."""
        if a == b:
            return 0.0
        # With the board off the rails are wires like any other.
        only = [e for e in self.elements if e.kind == "resistor"] + [resistor(a, "meter", 1.0)]
        at = Network(only, {b: 0.0, "meter": 1.0}, ()).solve("")[a]
        return math.inf if at > 1 - 1e-7 else at / (1.0 - at)

    # -- the iteration ------------------------------------------------------------------------------

    def _linear(self) -> tuple[list[list[float]], list[float]]:
        n = len(self.free)
        matrix = [[_LEAK if i == j else 0.0 for j in range(n)] for i in range(n)]
        right = [0.0] * n
        for e in self.elements:
            if e.kind in ("resistor", "load"):
                self._conduct(matrix, right, e.nodes[0], e.nodes[1], 1.0 / e.value)
        return matrix, right

    def _conduct(self, matrix: list[list[float]], right: list[float], a: str, b: str, siemens: float) -> None:
        for one, other in ((a, b), (b, a)):
            i = self.free.get(one)
            if i is None:
                continue
            matrix[i][i] += siemens
            j = self.free.get(other)
            if j is None:
                right[i] += siemens * self.fixed[other]
            else:
                matrix[i][j] -= siemens

    def _solved(self, states: str) -> Mapping[str, float]:
        volts = {**self._volts, **self.fixed}
        across: dict[tuple[int, int], float] = {}
        for _ in range(_MOST_STEPS):
            matrix, right = [row[:] for row in self._matrix], self._right[:]
            for node, state in zip(self.driven, states, strict=True):
                self._drive(matrix, right, node, state, volts)
            for at, e in enumerate(self.bends):
                self._bend(matrix, right, e, at, volts, across)
            found = _gauss(matrix, right)
            new = {n: found[i] for n, i in self.free.items()}
            moved = max((abs(new[n] - volts[n]) for n in new), default=0.0)
            volts.update(new)
            if moved < _NEAR_VOLTS:
                break
        self._volts = {n: volts[n] for n in self.free}
        return volts

    def _drive(
        self, matrix: list[list[float]], right: list[float], node: str, state: str, volts: Mapping[str, float]
    ) -> None:
        if state == "Z" or node in self.fixed:
            return
        source, ohm, gives, takes = LEVELS[state]
        if (volts[node] < source and gives) or (volts[node] > source and takes):
            matrix[self.free[node]][self.free[node]] += 1.0 / ohm
            right[self.free[node]] += source / ohm

    def _bend(
        self,
        matrix: list[list[float]],
        right: list[float],
        e: Element,
        at: int,
        volts: Mapping[str, float],
        across: dict[tuple[int, int], float],
    ) -> None:
        """The tangents of a junction, or of a transistor's two."""
        if e.kind == "junction":
            siemens, amps = _tangent(volts, e.nodes[0], e.nodes[1], (at, 0), across, 1.0)
            self._current(matrix, right, e.nodes[0], e.nodes[1], ((e.nodes, siemens),), amps)
            return
        base, collector, emitter = e.nodes
        sign = e.value
        be, be0 = _tangent(volts, base, emitter, (at, 0), across, sign)
        bc, bc0 = _tangent(volts, base, collector, (at, 1), across, sign)
        b_e, b_c = (base, emitter), (base, collector)
        # Base to emitter and base to collector, then what passes from the collector to the emitter.
        self._current(matrix, right, base, emitter, ((b_e, be / _FORWARD),), sign * be0 / _FORWARD)
        self._current(matrix, right, base, collector, ((b_c, bc / _BACK),), sign * bc0 / _BACK)
        self._current(matrix, right, collector, emitter, ((b_e, be), (b_c, -bc)), sign * (be0 - bc0))

    def _current(
        self,
        matrix: list[list[float]],
        right: list[float],
        out_of: str,
        into: str,
        slopes: Sequence[tuple[tuple[str, ...], float]],
        amps: float,
    ) -> None:
        """A current of amps + sum(siemens x volts between two nodes), out of one node and into another."""
        for node, sign in ((out_of, 1.0), (into, -1.0)):
            i = self.free.get(node)
            if i is None:
                continue
            right[i] -= sign * amps
            for (plus, minus), siemens in slopes:
                for other, way in ((plus, 1.0), (minus, -1.0)):
                    j = self.free.get(other)
                    if j is None:
                        right[i] -= sign * way * siemens * self.fixed[other]
                    else:
                        matrix[i][j] += sign * way * siemens


def _tangent(
    volts: Mapping[str, float],
    anode: str,
    cathode: str,
    key: tuple[int, int],
    across: dict[tuple[int, int], float],
    sign: float,
) -> tuple[float, float]:
    """Slope and current at zero of a junction's tangent; its step is limited."""
    v, old = sign * (volts[anode] - volts[cathode]), across.get(key, 0.0)
    if v > _CRITICAL and abs(v - old) > 2 * _VT:
        v = old + _VT * math.log(1 + (v - old) / _VT) if old > 0 and v > old else _CRITICAL
    across[key] = v
    grown = math.exp(max(v, -40 * _VT) / _VT)
    siemens = _IS / _VT * grown + 1e-12
    return siemens, _IS * (grown - 1) - siemens * v


def _gauss(matrix: list[list[float]], right: list[float]) -> list[float]:
    """Gauss's elimination with the largest pivot of each column; changes its arguments."""
    n = len(right)
    for k in range(n):
        p = max(range(k, n), key=lambda i: abs(matrix[i][k]))
        matrix[k], matrix[p], right[k], right[p] = matrix[p], matrix[k], right[p], right[k]
        row = matrix[k]
        for i in range(k + 1, n):
            factor = matrix[i][k] / row[k]
            if factor:
                below = matrix[i]
                for j in range(k, n):
                    below[j] -= factor * row[j]
                right[i] -= factor * right[k]
    for k in reversed(range(n)):
        right[k] = (right[k] - sum(matrix[k][j] * right[j] for j in range(k + 1, n))) / matrix[k][k]
    return right
