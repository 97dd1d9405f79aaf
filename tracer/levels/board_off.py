"""What a meter shows between two nets with the board off.

The ohms are those that resistors, packs, coils and links alone give, with the
chips of the path out and no monitor. Supplies are taken once as joined to ground
(by what else sits on them) and once as floating; between the two lies what a
meter shows. Junctions count as open: the ohm ranges of a meter that stay below
0.4 V do not open them (common practice, no source).
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Sequence

from tracer.circuit.graph import Circuit
from tracer.levels.leg_values import OhmRange
from tracer.stage.network import Network, Resistor
from tracer.stage.nodal import solve_network

__all__ = ["LEAD_OHM", "RESISTOR_TOLERANCE", "ohms_between"]

#: Tolerance of resistors on these boards, and of a meter's lead (common practice, no source).
RESISTOR_TOLERANCE = 0.05
LEAD_OHM = 1.0
#: Above this a meter shows open.
OPEN_OHM = 20e6
#: Parts that a meter's ohm range sees.
_TEST_OHM = 1000.0
_PROBE, _RETURN = "\0probe", "\0return"


def ohms_between(circuit: Circuit, net: str | None, other: str | None) -> OhmRange | None:
    """What a meter shows between two nets, or to ground when `other` is None; see the head of this module.

    None where the net, or a value on the way, is not known.
    """
    if net is None:
        return None
    found = []
    for supplies_grounded in (True, False):
        try:
            ohm = _ohm(circuit, net, other, supplies_grounded)
        except _UnknownValueError:
            return None
        found.append(ohm if ohm is not None and ohm < OPEN_OHM else None)
    low = min((f for f in found if f is not None), default=None)
    if low is None:
        return OhmRange(None, None)
    high = None if None in found else max(f for f in found if f is not None)
    return OhmRange(
        round(low * (1 - RESISTOR_TOLERANCE), 3),
        None if high is None else round(high * (1 + RESISTOR_TOLERANCE) + LEAD_OHM, 3),
    )


class _UnknownValueError(Exception):
    """A resistor on the way has no value that can be read."""


def _ohm(circuit: Circuit, net: str, other: str | None, supplies_grounded: bool) -> float | None:
    """Ohms of the resistive parts alone; None where there is no way."""

    def node(name: str) -> str:
        rail = circuit.rails.get(name)
        if rail is None:
            return name
        return _RETURN if rail.is_ground or supplies_grounded else f"rail {rail.volts:g}"

    resistors, joined = _resistive_around(circuit, net, node)
    start, end = node(net), _RETURN if other is None else node(other)
    start, end = joined.get(start, start), joined.get(end, end)
    if start == end:
        return 0.0
    network = Network(
        tuple(Resistor(r.part, joined.get(r.a, r.a), joined.get(r.b, r.b), r.ohm) for r in resistors)
    )
    if start not in network.nodes() or end not in network.nodes():
        return None
    # One volt behind a known resistor divides with what is between the two nets.
    test = Resistor("meter", _PROBE, start, _TEST_OHM)
    volts = solve_network(Network((*network.resistors, test)), {_PROBE: 1.0, end: 0.0})[start]
    return None if volts > 1 - 1e-6 else volts / (1 - volts) * _TEST_OHM


def _resistive_around(
    circuit: Circuit, net: str, node: Callable[[str], str]
) -> tuple[Sequence[Resistor], dict[str, str]]:
    """Resistors reached from a net over resistive parts alone, and nodes that links join."""
    resistors: dict[tuple[str, str, str], Resistor] = {}
    joined: dict[str, str] = {}
    queue, seen = deque([net]), {net}
    while queue:
        here = queue.popleft()
        for there, part, arc in circuit.series_neighbours(here):
            if not circuit.identified[part].kind.conducts:
                continue
            if arc.ohm is None:
                raise _UnknownValueError(part)
            a, b = node(here), node(there)
            if a != b and arc.ohm:
                legs = "-".join(sorted((arc.source, arc.target)))
                resistors[part, legs, "-".join(sorted((a, b)))] = Resistor(part, a, b, arc.ohm)
            elif a != b:
                _join(joined, a, b)
            if there not in seen and there not in circuit.rails:
                seen.add(there)
                queue.append(there)
    return tuple(resistors.values()), joined


def _join(joined: dict[str, str], a: str, b: str) -> None:
    first, second = joined.get(a, a), joined.get(b, b)
    keep, drop = (second, first) if second == _RETURN else (first, second)
    if keep != drop:
        for name, to in list(joined.items()):
            if to == drop:
                joined[name] = keep
        joined[drop] = keep
