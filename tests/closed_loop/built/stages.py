"""What stands between the resistors of a colour and the connector's pin: loads, amplifiers, filters, links."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from tests.closed_loop.built.board import Drawing

__all__ = ["AMPLIFIERS", "ENTRIES", "EXITS", "Way", "way_out"]


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


def _header(b: Drawing, node: str, _: Way) -> str:
    """Two legs that nobody drew a bridge on."""
    part = b.place("J", "", symbol="Conn_01x02")
    b.join(f"{part}.1", node)
    b.said.add(("no-drivers", part))
    return f"{part}.2"


EXITS: dict[str, Callable[[Drawing, str, Way], str]] = {
    "straight": lambda _, node, __: node, "series": _series, "bead": _bead, "filter of three legs": _filter,
    "zero ohm": _zero, "coupled": _coupled, "jumper": _jumper, "header": _header,
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
