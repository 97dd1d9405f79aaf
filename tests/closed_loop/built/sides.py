"""What people hang on the colours beside the way out: mixers, second jacks, clamps, blanking, brightness.

None of it is a bit, but a brightness that a stored bit drives over a diode and a resistor of each colour.
"""

from __future__ import annotations

from collections.abc import Callable

from tests.closed_loop.built.board import Drawing

__all__ = ["BENDING", "SIDES"]


def _mono_by_diodes(b: Drawing, nodes: list[str], plug: str) -> None:
    base = b.node()
    for node in nodes:
        b.diode(node, base)
    b.resistor(base, "@GND", 1000)
    _follow(b, base, plug)


def _luma_by_resistors(b: Drawing, nodes: list[str], plug: str) -> None:
    base = b.node()
    for node, ohm in zip(nodes, (680, 330, 1000), strict=True):
        b.resistor(node, base, ohm)
    b.resistor(base, "@VCC", 10000)
    b.resistor(base, "@GND", 4700)
    _follow(b, base, plug)


def _follow(b: Drawing, base: str, plug: str) -> None:
    transistor = b.place("Q", "2N3904")
    b.join(f"{transistor}.2", base)
    b.join(f"{transistor}.3", "@VCC")
    b.join(f"{transistor}.1", f"{plug}.5")
    b.resistor(f"{transistor}.1", "@GND", 220)


def _luma_passive(b: Drawing, nodes: list[str], plug: str) -> None:
    meet = b.node()
    for node, ohm in zip(nodes, (3300, 1500, 8200), strict=True):
        b.resistor(node, meet, ohm)
    b.resistor(meet, "@GND", 75)
    b.join(meet, f"{plug}.5")


def _second_jack(b: Drawing, nodes: list[str], _: str) -> None:
    jack = b.place("J", "second", symbol="Conn_01x04")
    for i, node in enumerate(nodes):
        b.resistor(node, f"{jack}.{i + 1}", 100)
    b.join(f"{jack}.4", "@GND")


def _encoder(b: Drawing, nodes: list[str], plug: str) -> None:
    pins = ("6=RIN:input", "7=GIN:input", "8=BIN:input", "10=COMP:output")
    part = b.place("U", "AD724", symbol="AD724", pins=pins)
    for leg, node in zip(("6", "7", "8"), nodes, strict=True):
        behind = b.node()
        b.resistor(node, behind, 75)
        b.between("C", behind, f"{part}.{leg}", "100n", symbol="C")
    b.join(f"{part}.10", f"{plug}.5")


def _rail_clamps(b: Drawing, nodes: list[str], _: str) -> None:
    for node in nodes:
        b.diode(node, "@VCC")
        b.diode("@GND", node)


def _blank_by_diodes(b: Drawing, nodes: list[str], plug: str) -> None:
    """An inverter pulls every colour down over a diode."""
    _, (one,), out = b.section("74LS04", "blank")
    b.join(one, f"{plug}.6")
    for node in nodes:
        b.diode(node, out)
    b.said.add(("clamp", out))


def _blank_by_transistors(b: Drawing, nodes: list[str], plug: str) -> None:
    """A transistor to ground at every colour, all driven by one inverter."""
    _, (one,), out = b.section("74LS04", "blank")
    b.join(one, f"{plug}.6")
    for node in nodes:
        transistor = b.place("Q", "BC547")
        b.join(f"{transistor}.1", node)
        b.join(f"{transistor}.3", "@GND")
        b.resistor(f"{transistor}.2", out, 1000)
    b.said.add(("clamp", out))


def _sync_in_green(b: Drawing, nodes: list[str], plug: str) -> None:
    _, (one,), out = b.section("74LS04", "sync")
    b.join(one, f"{plug}.6")
    b.join(out, "@CSYNC")
    b.resistor(nodes[1], out, 1000)
    b.said.add(("sync-mixed", out))


SIDES: dict[str, Callable[[Drawing, list[str], str], None]] = {
    "mono by diodes": _mono_by_diodes, "luma at a biased base": _luma_by_resistors, "passive luma": _luma_passive,
    "second jack": _second_jack, "colour encoder": _encoder, "diodes to the rails": _rail_clamps,
    "blanking by diodes": _blank_by_diodes, "blanking by transistors": _blank_by_transistors,
    "sync in green": _sync_in_green,
}  # fmt: skip
#: Those with junctions: weights are no longer the shares of the resistors.
BENDING = frozenset({"mono by diodes", "blanking by diodes", "blanking by transistors"})
