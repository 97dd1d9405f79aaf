"""The resistors that make a colour of bits.

A network gives its bits' legs, heaviest first: a smaller resistor at one node weighs more, a rung nearer the end of a
ladder twice as much as the next. At a node without junctions shares are those of the conductances, whatever else loads it
(superposition; a textbook's adder of resistors); along a ladder of R and 2R each is twice the next.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from tests.closed_loop.built.board import Drawing

__all__ = ["NETWORKS", "Leg", "Network", "network"]

#: Sets of weights as drawn, heaviest first.
SETS = {
    1: ((470,), (220,), (1000,)),
    2: ((220, 470), (470, 1000), (150, 330), (330, 680)),
    3: ((220, 470, 1000), (470, 1000, 2200), (270, 560, 1200)),
    4: ((220, 470, 1000, 2200), (470, 1000, 2000, 3900), (330, 680, 1500, 3000)),
    5: ((240, 510, 1000, 2000, 3900), (220, 470, 1000, 2200, 4700)),
}


@dataclass(frozen=True)
class Leg:
    """Where a driver goes: its net, the resistors that only it passes, and its weight."""

    net: str
    resistors: frozenset[str]
    weight: float
    exact: bool = True
    may_pass: frozenset[str] = frozenset()


@dataclass
class Network:
    """The resistors of a colour: the node where they meet, and the legs of its bits."""

    node: str
    legs: list[Leg]


def _at_one_node(
    b: Drawing, ohms: tuple[int, ...], leg: Callable[[str, int], tuple[str, set[str]]]
) -> Network:
    node = b.node()
    whole = sum(1 / ohm for ohm in ohms)
    legs = []
    for ohm in ohms:
        net, parts = leg(node, ohm)
        legs.append(Leg(net, frozenset(parts), 1 / ohm / whole))
    return Network(node, legs)


def _weighted(b: Drawing, n: int) -> Network:
    def leg(node: str, ohm: int) -> tuple[str, set[str]]:
        net = b.node()
        return net, {b.resistor(node, net, ohm)}

    return _at_one_node(b, b.random.choice(SETS[n]), leg)


def _equal(b: Drawing, n: int) -> Network:
    def leg(node: str, ohm: int) -> tuple[str, set[str]]:
        net = b.node()
        return net, {b.resistor(node, net, ohm)}

    return _at_one_node(b, (b.random.choice((470, 1000)),) * n, leg)


def _two_in_series(b: Drawing, n: int) -> Network:
    def leg(node: str, ohm: int) -> tuple[str, set[str]]:
        net, between = b.node(), b.node()
        small = round(ohm / 10)
        return net, {b.resistor(node, between, ohm - small), b.resistor(between, net, small)}

    return _at_one_node(b, b.random.choice(SETS[n]), leg)


def _damped(b: Drawing, n: int) -> Network:
    """A bead in each leg: it has no ohms."""

    def leg(node: str, ohm: int) -> tuple[str, set[str]]:
        net, between = b.node(), b.node()
        resistor = b.resistor(node, between, ohm)
        b.between("L", between, net, "600R@100MHz", symbol="Ferrite_Bead")
        return net, {resistor}

    return _at_one_node(b, b.random.choice(SETS[n]), leg)


def _packs(b: Drawing, n: int) -> Network:
    """Isolated packs, one value each, shared by the colours."""

    def leg(node: str, ohm: int) -> tuple[str, set[str]]:
        net = b.node()
        pack, one, other = b.pack_section(ohm)
        b.join(one, net)
        b.join(other, node)
        return net, {pack}

    return _at_one_node(b, SETS[n][0], leg)


def _trimmers(b: Drawing, n: int) -> Network:
    """A trimmer as an adjustable resistor: its slider joined to one end, its value the whole."""

    def leg(node: str, ohm: int) -> tuple[str, set[str]]:
        net = b.node()
        trimmer = b.place("VR", f"{ohm:g}", symbol="R_Potentiometer_Trim")
        b.join(f"{trimmer}.1", net)
        b.join(f"{trimmer}.2", f"{trimmer}.3", node)
        return net, {trimmer}

    return _at_one_node(b, b.random.choice(SETS[n]), leg)


def _diodes(b: Drawing, n: int) -> Network:
    """A diode in each leg, so that a low bit gives nothing, and a resistor that pulls down."""

    def leg(node: str, ohm: int) -> tuple[str, set[str]]:
        net, between = b.node(), b.node()
        b.diode(net, between)
        return net, {b.resistor(node, between, ohm)}

    found = _at_one_node(b, b.random.choice(SETS[n]), leg)
    b.resistor(found.node, "@GND", 470)
    return Network(found.node, [replace(leg, exact=False) for leg in found.legs])


def _open_collectors(b: Drawing, n: int) -> Network:
    """Legs that are pulled up, for drivers that only pull low."""
    found = _weighted(b, n)
    for leg in found.legs:
        b.resistor(leg.net, "@VCC", 330)
    return Network(found.node, [replace(leg, exact=False) for leg in found.legs])


def _ladder(b: Drawing, n: int) -> Network:
    """R-2R: rungs of 2R, rails of R, the far end over 2R to ground."""
    node, r = b.node(), b.random.choice((470, 1000, 2200))
    end = node
    legs = []
    whole = sum(2.0**i for i in range(n))
    rail = ""
    for i in range(n):
        net = b.node()
        own = {b.resistor(end, net, 2 * r)}
        may = {rail} if rail else set()
        if i < n - 1:
            further = b.node()
            rail = b.resistor(end, further, r)
            end = further
        else:
            may.add(b.resistor(end, "@GND", 2 * r))
        legs.append(Leg(net, frozenset(own), 2.0 ** (n - 1 - i) / whole, may_pass=frozenset(may)))
    return Network(node, legs)


def _bare(b: Drawing, n: int) -> Network:
    """One output straight on the node: eight colours."""
    assert n == 1
    node = b.node()
    return Network(node, [Leg(node, frozenset(), 1.0)])


def _hybrid(b: Drawing, n: int) -> Network:
    """A module whose resistors are not drawn: R0, R1 ... go in, and the colour comes out."""
    inputs, out = b.hybrid_legs(n)
    whole = 2.0**n - 1
    return Network(
        out, [Leg(leg, frozenset(), 2.0**i / whole) for i, leg in reversed(list(enumerate(inputs)))]
    )


NETWORKS: dict[str, Callable[[Drawing, int], Network]] = {
    "weighted": _weighted, "equal": _equal, "two in series": _two_in_series, "beads": _damped, "packs": _packs,
    "trimmers": _trimmers, "diodes": _diodes, "open collectors": _open_collectors, "ladder": _ladder, "bare": _bare, "hybrid": _hybrid,
}  # fmt: skip


def network(b: Drawing, kind: str, n: int) -> Network:
    """The resistors of a colour of n bits; each leg is at least one resistor, of a ladder two rungs."""
    b.idioms.add(kind)
    return NETWORKS[kind](b, n)
