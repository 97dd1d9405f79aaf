"""Output stages: resistors that make a colour of bits, and what stands between them and the connector's pin.

A network gives its bits' legs, heaviest first: a smaller resistor at one node weighs more, a rung nearer the end of a
ladder twice as much as the next. At a node without junctions shares are those of the conductances, whatever else loads it
(superposition; a textbook's adder of resistors); along a ladder of R and 2R each is twice the next.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from tests.closed_loop.built.board import Drawing

__all__ = ["AMPLIFIERS", "ENTRIES", "EXITS", "NETWORKS", "Leg", "Network", "Way", "network", "way_out"]

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


@dataclass
class Way:
    """What stands between a network's node and the pin.

    Attributes
    ----------
    shared : resistors that the whole colour passes.
    is_linear : shares are still those of the resistors.
    """

    shared: set[str] = field(default_factory=set)
    is_linear: bool = True


# -- networks ---------------------------------------------------------------------------------


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


NETWORKS: dict[str, Callable[[Drawing, int], Network]] = {
    "weighted": _weighted, "equal": _equal, "two in series": _two_in_series, "beads": _damped, "packs": _packs,
    "trimmers": _trimmers, "diodes": _diodes, "open collectors": _open_collectors, "ladder": _ladder,
}  # fmt: skip


def network(b: Drawing, kind: str, n: int) -> Network:
    """The resistors of a colour of n bits; each leg is at least one resistor, of a ladder two rungs."""
    b.idioms.add(kind)
    return NETWORKS[kind](b, n)


# -- what loads the node ------------------------------------------------------------------------


def _terminated(b: Drawing, node: str) -> str:
    b.resistor(node, "@GND", b.random.choice((75, 100, 150, 330)))
    return node


def _pulled_up(b: Drawing, node: str) -> str:
    b.resistor(node, "@VCC", b.random.choice((1000, 2200, 4700)))
    return node


def _biased(b: Drawing, node: str) -> str:
    return _terminated(b, _pulled_up(b, node))


def _common_pack(b: Drawing, node: str) -> str:
    """A leg of a pack whose other ends meet at ground."""
    b.join(b.common_leg(), node)
    return node


#: What stands at the node itself.
ENTRIES: dict[str, Callable[[Drawing, str], str]] = {
    "nothing": lambda _, node: node, "termination": _terminated, "pull-up": _pulled_up, "bias": _biased,
    "common pack": _common_pack,
}  # fmt: skip


# -- amplifiers and followers ---------------------------------------------------------------------


def _follower(b: Drawing, node: str, way: Way) -> str:
    legs = b.random.choice((("2N3904", "EBC"), ("BC547", "CBE"), ("2SC1815", "ECB")))
    transistor = b.place("Q", legs[0])
    pin = {letter: f"{transistor}.{i + 1}" for i, letter in enumerate(legs[1])}
    b.join(pin["B"], node)
    b.join(pin["C"], "@VCC")
    b.resistor(pin["E"], "@GND", b.random.choice((180, 330, 470)))
    way.is_linear = False
    return pin["E"]


def _pnp_follower(b: Drawing, node: str, way: Way) -> str:
    transistor = b.place("Q", "2N3906")
    b.join(f"{transistor}.2", node)
    b.join(f"{transistor}.3", "@GND")
    # It raises by a junction: what comes must stay well below the supply.
    b.resistor(node, "@GND", 100)
    b.resistor(f"{transistor}.1", "@VCC", 150)
    way.is_linear = False
    out = b.node()
    way.shared.add(b.resistor(f"{transistor}.1", out, 330))
    return out


def _quad_leg(b: Drawing, form: str) -> tuple[str, str, str]:
    """+ input, - input and output of an operational amplifier: single, or one of four in a case."""
    if form == "single":
        part = b.place(
            "U",
            "AD8051",
            symbol="AD8051",
            pins=("1=:output", "2=V-:power_in", "3=+:input", "4=-:input", "5=V+:power_in"),
        )
        b.join(f"{part}.5", "@VCC")
        b.join(f"{part}.2", "@GND")
        return f"{part}.3", f"{part}.4", f"{part}.1"
    return b.amplifier_of_four()


def _op_follower(b: Drawing, node: str, _: Way) -> str:
    plus, minus, out = _quad_leg(b, b.random.choice(("single", "four")))
    b.join(plus, node)
    b.join(minus, out)
    b.resistor(node, "@GND", 470)
    return out


def _op_gain(b: Drawing, node: str, _: Way) -> str:
    plus, minus, out = _quad_leg(b, b.random.choice(("single", "four")))
    b.join(plus, node)
    b.resistor(minus, out, b.random.choice((470, 1000)))
    b.resistor(minus, "@GND", 1000)
    b.resistor(node, "@GND", 150)
    return out


def _op_inverting(b: Drawing, node: str, way: Way) -> str:
    plus, minus, out = _quad_leg(b, b.random.choice(("single", "four")))
    b.join(minus, node)
    way.shared.add(b.resistor(minus, out, 220))
    b.join(plus, b.halved_supply())
    return out


def _video_buffer(b: Drawing, node: str, _: Way) -> str:
    one, out = b.buffer_leg()
    b.join(one, node)
    b.resistor(node, "@GND", 150)
    return out


def _module(b: Drawing, node: str, _: Way) -> str:
    """A part that nobody knows, with INn and OUTn."""
    one, out = b.module_leg()
    b.join(one, node)
    b.resistor(node, "@GND", 150)
    return out


AMPLIFIERS: dict[str, Callable[[Drawing, str, Way], str]] = {
    "emitter follower": _follower, "pnp follower": _pnp_follower, "op-amp follower": _op_follower,
    "op-amp gain": _op_gain, "op-amp inverting": _op_inverting, "video buffer": _video_buffer,
    "unknown module": _module,
}  # fmt: skip


# -- the last parts before the pin ----------------------------------------------------------------


def _series(b: Drawing, node: str, way: Way) -> str:
    out = b.node()
    way.shared.add(b.resistor(node, out, b.random.choice((33, 68, 75, 100))))
    return out


def _bead(b: Drawing, node: str, _: Way) -> str:
    out = b.node()
    b.between("L", node, out, b.random.choice(("FB", "10uH")), symbol=b.random.choice(("Ferrite_Bead", "L")))
    return out


def _filter(b: Drawing, node: str, _: Way) -> str:
    letters, symbol = b.random.choice((("FL", "Filter_EMI_LCL"), ("C", "C_Feedthrough"), ("L", "EMI_FILTER")))
    part = b.place(letters, "NFM", symbol=symbol)
    b.join(f"{part}.1", node)
    b.join(f"{part}.2", "@GND")
    return f"{part}.3"


def _zero(b: Drawing, node: str, _: Way) -> str:
    out = b.node()
    b.resistor(node, out, 0)
    return out


def _coupled(b: Drawing, node: str, _: Way) -> str:
    out = b.node()
    b.between("C", node, out, b.random.choice(("220u", "470uF", "100u")), symbol="C_Polarized")
    b.resistor(node, "@GND", 75)
    return out


def _jumper(b: Drawing, node: str, _: Way) -> str:
    out = b.node()
    part = b.between("JP", node, out, symbol="Jumper")
    b.said.add(("switch-assumed", part))
    return out


EXITS: dict[str, Callable[[Drawing, str, Way], str]] = {
    "straight": lambda _, node, __: node, "series": _series, "bead": _bead, "filter of three legs": _filter,
    "zero ohm": _zero, "coupled": _coupled, "jumper": _jumper,
}  # fmt: skip


def way_out(b: Drawing, node: str, pin: str, kinds: tuple[str, ...]) -> Way:
    """From the node to the pin over these parts."""
    way = Way()
    here = node
    for kind in kinds:
        b.idioms.add(kind)
        if kind in ENTRIES:
            here = ENTRIES[kind](b, here)
        elif kind in AMPLIFIERS:
            here = AMPLIFIERS[kind](b, here, way)
        else:
            here = EXITS[kind](b, here, way)
    b.join(here, pin)
    return way
