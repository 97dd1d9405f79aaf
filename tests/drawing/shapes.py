"""Symbols that are no boxes: gates, resistors, capacitors, transistors, connectors, supplies. Our own drawing."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from tests.drawing.geometry import Box
from tests.drawing.pinouts import EDGE_LETTERS, EDGE_NUMBERS
from tests.drawing.sexpr import Node, Word, mm, node
from tests.drawing.symbols import Symbol, SymbolPin, chip_pins, chip_symbol, line, rectangle, supply_unit

__all__ = ["CONNECTORS", "symbol"]

_STROKE = node("stroke", node("width", Word("0.254")), node("type", Word("default")))

#: Type -> shape, inverted output, inputs of a section.
GATES = {
    "74x00": ("and", True, "AB"),
    "74x02": ("or", True, "AB"),
    "74x04": ("buffer", True, "A"),
    "74x08": ("and", False, "AB"),
    "74x10": ("and", True, "ABC"),
    "74x11": ("and", False, "ABC"),
    "74x14": ("schmitt", True, "A"),
    "74x32": ("or", False, "AB"),
}


def _arc(
    start: tuple[float, float], mid: tuple[float, float], end: tuple[float, float], fill: str = "none"
) -> Node:
    points = [
        node(word, mm(p[0]), mm(p[1]))
        for word, p in zip(("start", "mid", "end"), (start, mid, end), strict=True)
    ]
    return node("arc", *points, _STROKE, node("fill", node("type", Word(fill))))


def _gate_graphics(shape: str) -> list[Node]:
    if shape == "and":
        return [
            _arc((0, -3), (3, 0), (0, 3), "background"),
            line((0, 3), (-3, 3), (-3, -3), (0, -3), fill="background"),
        ]
    if shape == "or":
        return [
            _arc((-3, 3), (-2.2, 0), (-3, -3)),
            line((-3, 3), (-1, 3)),
            line((-3, -3), (-1, -3)),
            _arc((-1, 3), (1.5, 1.9), (3, 0)),
            _arc((3, 0), (1.5, -1.9), (-1, -3)),
        ]
    triangle: list[Node] = [line((-3, 3), (3, 0), (-3, -3), (-3, 3), fill="background")]
    if shape == "schmitt":
        triangle.append(line((-2, -0.7), (-1, -0.7), (-1, 0.7), (0, 0.7)))
        triangle.append(line((-1, -0.7), (-0.6, -0.7)))
    return triangle


def _gate_chip(type_name: str, marking: str, *, hidden_supply: bool) -> Symbol:
    shape, inverted, inputs = GATES[type_name]
    pins = chip_pins(type_name)
    n_gates = sum(name.endswith("Y") for name in pins)
    placed: list[SymbolPin] = []
    bodies: dict[int, Box] = {}
    graphics: list[tuple[int, Node]] = []
    rows = {1: [0], 2: [2, -2], 3: [2, 0, -2]}[len(inputs)]
    reach = 3.5 if shape == "or" else 3
    for unit in range(1, n_gates + 1):
        for letter, y in zip(inputs, rows, strict=True):
            pin = pins.pop(f"{unit}{letter}")[0]
            placed.append(replace(pin, x=-6, y=y, length=reach, unit=unit))
        out = pins.pop(f"{unit}Y")[0]
        bubble = "inverted" if inverted else "line"
        placed.append(replace(out, x=6, angle=180, unit=unit, shape=bubble))
        bodies[unit] = Box(-3, -3, 3, 3)
        graphics += [(unit, g) for g in _gate_graphics(shape)]
    if hidden_supply:
        # Common to all sections, as older libraries draw them.
        placed += [
            replace(pins.pop(name)[0], x=0, y=y, angle=a, length=0, unit=0, hidden=True)
            for name, y, a in (("VCC", 2, 270), ("GND", -2, 90))
        ]
    else:
        found, body = supply_unit(pins, n_gates + 1)
        placed += found
        bodies[n_gates + 1] = body
        graphics.append((n_gates + 1, rectangle(body)))
    return Symbol(marking, "U", "gate", tuple(placed), bodies, tuple(graphics), hide_names=True)


def _two_legs(
    name: str, letter: str, graphics: list[Node], half: Box, names: tuple[str, str] = ("~", "~")
) -> Symbol:
    """A part of two legs, drawn upright: leg 1 on top."""
    reach = 3 - half.y1
    pins = (
        SymbolPin("1", names[0], "passive", 0, 3, 270, reach),
        SymbolPin("2", names[1], "passive", 0, -3, 90, reach),
    )
    return Symbol(
        name,
        letter,
        "two",
        pins,
        {1: half},
        tuple((1, g) for g in graphics),
        hide_numbers=True,
        hide_names=True,
    )


def _transistor() -> Symbol:
    pins = (
        SymbolPin("1", "E", "passive", 2, -4, 90, 2),
        SymbolPin("2", "B", "passive", -4, 0, 0, 4),
        SymbolPin("3", "C", "passive", 2, 4, 270, 2),
    )
    graphics: list[Node] = [
        line((0, 1.6), (0, -1.6)),
        line((0, 0.6), (2, 2)),
        line((0, -0.6), (2, -2)),
        line((2, -2), (1.1, -1.8), (1.5, -1.1), (2, -2), fill="outline"),
    ]
    return Symbol("Q_NPN_EBC", "Q", "transistor", pins, {1: Box(-0.2, -2, 2.2, 2)}, tuple((1, g) for g in graphics),
                  hide_names=True)  # fmt: skip


def _pack_of_four() -> Symbol:
    """Four separate resistors in line, legs 1-2, 3-4, 5-6, 7-8; one section each."""
    pins: list[SymbolPin] = []
    bodies = {unit: Box(-0.8, -2, 0.8, 2) for unit in range(1, 5)}
    for unit in range(1, 5):
        pins.append(SymbolPin(str(2 * unit - 1), f"R{unit}.1", "passive", 0, 4, 270, 2, unit))
        pins.append(SymbolPin(str(2 * unit), f"R{unit}.2", "passive", 0, -4, 90, 2, unit))
    graphics = tuple((unit, rectangle(body)) for unit, body in bodies.items())
    return Symbol("R_Pack04_SIP_Split", "RN", "two", tuple(pins), bodies, graphics, hide_names=True)


def _bussed_pack() -> Symbol:
    """Eight resistors on one common leg."""
    pins = [SymbolPin("1", "common", "passive", -8, 5, 270, 2)]
    pins += [SymbolPin(str(n + 1), f"R{n}", "passive", 2 * n - 10, -5, 90, 2) for n in range(1, 9)]
    body = Box(-9, -3, 7, 3)
    marks = [line((2 * n - 10, -2.2), (2 * n - 10, 1)) for n in range(1, 9)]
    graphics = (rectangle(body), *marks, line((-8, 1), (6, 1)), line((-8, 1), (-8, 2.2)))
    return Symbol(
        "R_Network08", "RN", "box", tuple(pins), {1: body}, tuple((1, g) for g in graphics), hide_names=True
    )


def _connector(name: str, columns: list[list[tuple[str, str]]], *, hide_names: bool = False) -> Symbol:
    """Rows of (leg, name): one column has its legs on the left, a second one on the right."""
    half = 2 if hide_names else 4 + 3 * len(columns)
    high = len(columns[0])
    pins: list[SymbolPin] = []
    for side, rows in enumerate(columns):
        for row, (number, pin_name) in enumerate(rows):
            x, angle = (-half - 3, 0) if side == 0 else (half + 3, 180)
            pins.append(SymbolPin(number, pin_name, "passive", x, high - 1 - 2 * row, angle))
    body = Box(-half, -high, half, high)
    return Symbol(name, "J", "box", tuple(pins), {1: body}, ((1, rectangle(body)),), hide_names=hide_names)


def _named(names: str) -> list[list[tuple[str, str]]]:
    return [[(str(n), name) for n, name in enumerate(names.split(), start=1)]]


#: Connector symbol -> its columns of (leg, name), and whether the names are shown.
CONNECTORS: dict[str, tuple[list[list[tuple[str, str]]], bool]] = {
    "Conn_01x06_Monitor": (_named("RED GREEN BLUE GND SYNC +5V"), True),
    "Conn_01x06_Colour": (_named("B G R SYNC GND GND"), True),
    "Conn_01x02": ([[(str(n), f"Pin_{n}") for n in (1, 2)]], False),
    "Conn_01x08": ([[(str(n), f"Pin_{n}") for n in range(1, 9)]], False),
    "Conn_02x10_Odd_Even": (
        [[(str(n), f"Pin_{n}") for n in range(1, 20, 2)], [(str(n), f"Pin_{n}") for n in range(2, 21, 2)]],
        False,
    ),
    "Conn_Edge_56": (
        [[(str(n), name) for n, name in enumerate(EDGE_NUMBERS, start=1)], list(EDGE_LETTERS.items())],
        True,
    ),
}


def _rail(name: str) -> Symbol:
    if name == "GND":
        graphics = [line((0, 0), (0, -0.8)), line((-0.7, -0.8), (0.7, -0.8)), line((-0.42, -1.15), (0.42, -1.15)),
                    line((-0.15, -1.5), (0.15, -1.5))]  # fmt: skip
        pin = SymbolPin("1", name, "power_in", 0, 0, 270, 0, hidden=True)
        return Symbol(name, "#PWR", "power", (pin,), {1: Box(-0.7, -1.5, 0.7, 0)}, tuple((1, g) for g in graphics),
                      hide_numbers=True, hide_names=True, power=True)  # fmt: skip
    flag = name == "PWR_FLAG"
    graphics = (
        [line((0, 0), (0, 0.8)), line((0, 0.8), (-0.7, 1.15), (0, 1.5), (0.7, 1.15), (0, 0.8))]
        if flag
        else [line((0, 0), (0, 1)), line((-0.8, 1), (0.8, 1))]
    )
    pin = SymbolPin(
        "1", "pwr" if flag else name, "power_out" if flag else "power_in", 0, 0, 90, 0, hidden=True
    )
    return Symbol(name, "#FLG" if flag else "#PWR", "power", (pin,), {1: Box(-0.8, 0, 0.8, 1.5 if flag else 1)},
                  tuple((1, g) for g in graphics), hide_numbers=True, hide_names=True, power=True)  # fmt: skip


@cache
def symbol(type_name: str, marking: str = "", hidden_supply: bool = False) -> Symbol:
    """The symbol of a type: ``R``, ``C``, ``GND``, ``74x273`` (with the marking as its name) ..."""
    if type_name in CONNECTORS:
        columns, names_shown = CONNECTORS[type_name]
        return _connector(type_name, columns, hide_names=not names_shown)
    if type_name in GATES:
        return _gate_chip(type_name, marking, hidden_supply=hidden_supply)
    if type_name in ("GND", "+5V", "VCC", "+12V", "-5V", "PWR_FLAG"):
        return _rail(type_name)
    plates = [line((-1.6, 0.5), (1.6, 0.5)), line((-1.6, -0.5), (1.6, -0.5))]
    body = Box(-0.8, -2, 0.8, 2)
    simple = {
        "R": lambda: _two_legs("R", "R", [rectangle(body)], body),
        "C": lambda: _two_legs("C", "C", plates, Box(-1.6, -0.5, 1.6, 0.5)),
        "C_Polarized": lambda: _two_legs(
            "C_Polarized", "C", [*plates, line((-1.5, 1.4), (-0.7, 1.4)), line((-1.1, 1), (-1.1, 1.8))],
            Box(-1.6, -0.5, 1.6, 0.5),
        ),
        "D": lambda: _two_legs(
            "D", "D", [line((-1, 1), (1, 1)), line((-1, -1), (1, -1), (0, 1), (-1, -1))], Box(-1, -1, 1, 1), ("K", "A")
        ),
        "Q_NPN_EBC": _transistor,
        "R_Pack04_SIP_Split": _pack_of_four,
        "R_Network08": _bussed_pack,
    }  # fmt: skip
    if type_name in simple:
        return simple[type_name]()
    return chip_symbol(type_name, marking, hidden_supply=hidden_supply)
