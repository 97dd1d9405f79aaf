"""The nodal solver in plain Python against numpy's, at the sizes that output stages have."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from functools import partial
from typing import Any

from tests.benchmarks.measure import Goal, Row, interleaved, row
from tests.benchmarks.packages import find_package
from tracer.stage.network import Network, Resistor
from tracer.stage.nodal import LEAK_SIEMENS, solve_network

__all__ = ["SIZES", "ladder", "nodal"]

#: Unknown nodes of a stage -> goal: a plain sum of resistors has one, a ladder of eight bits eight; three times that is
#: more than any stage met. Numpy would first have to be loaded, which takes a tenth of a second.
SIZES = {1: Goal(at_least=1), 8: Goal(at_least=0.7), 24: Goal(at_least=0.3)}

_ROUNDS = 200


def ladder(n_nodes: int) -> tuple[Network, dict[str, float]]:
    """An R-2R ladder of so many nodes into 75 ohm, every second input high."""
    resistors = [Resistor("RL", "n0", "0", 75.0)]
    fixed = {"0": 0.0}
    for i in range(n_nodes):
        resistors.append(Resistor(f"R{i}", f"n{i}", f"in{i}", 2000.0))
        fixed[f"in{i}"] = 5.0 * (i % 2)
        if i:
            resistors.append(Resistor(f"RR{i}", f"n{i - 1}", f"n{i}", 1000.0))
    return Network(tuple(resistors)), fixed


def with_numpy(numpy: Any, network: Network, fixed: dict[str, float]) -> dict[str, float]:
    """The same network by `numpy.linalg.solve`, its matrix filled resistor by resistor as ours is."""
    unknown = sorted(network.nodes() - set(fixed))
    index = {node: i for i, node in enumerate(unknown)}
    matrix = numpy.zeros((len(unknown), len(unknown)))
    right = numpy.zeros(len(unknown))
    for i in range(len(unknown)):
        matrix[i, i] = LEAK_SIEMENS
    for resistor in network.resistors:
        siemens = 1.0 / resistor.ohm
        for here, there in ((resistor.a, resistor.b), (resistor.b, resistor.a)):
            if here in index:
                matrix[index[here], index[here]] += siemens
                if there in index:
                    matrix[index[here], index[there]] -= siemens
                else:
                    right[index[here]] += siemens * fixed[there]
    volts = numpy.linalg.solve(matrix, right)
    return {**fixed, **dict(zip(unknown, volts.tolist(), strict=True))}


def _often(
    solve: Callable[[Network, dict[str, float]], object], network: Network, fixed: dict[str, float]
) -> None:
    for _ in range(_ROUNDS):
        solve(network, fixed)


def nodal(repeats: int) -> Iterator[Row]:
    """One row a size."""
    numpy = find_package("numpy")
    for size, goal in SIZES.items():
        network, fixed = ladder(size)
        name = f"nodal solver, {size} node(s): numpy"
        if numpy is None:
            yield Row(name, remark="numpy is not installed", goal=goal)
            continue
        ours, other = solve_network(network, fixed), with_numpy(numpy, network, fixed)
        if not all(math.isclose(ours[node], other[node], abs_tol=1e-9) for node in ours):
            raise AssertionError("numpy finds other voltages")
        taken = interleaved(
            {
                "ours": partial(_often, solve_network, network, fixed),
                "other": partial(_often, partial(with_numpy, numpy), network, fixed),
            },
            repeats,
        )
        each = {name: [t / _ROUNDS for t in times] for name, times in taken.items()}
        yield row(name, each, "ours", "other", goal)
