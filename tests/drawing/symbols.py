"""Symbols of our own drawing: chips as boxes, their legs from the program's part tables."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from tests.drawing.geometry import Box, text_units
from tests.drawing.names import expand
from tests.drawing.pinouts import CHIPS, LAYOUTS
from tests.drawing.sexpr import Node, Word, mm, node
from tracer.parts.library import load_library

__all__ = ["Symbol", "SymbolPin", "box_unit", "chip_pins", "chip_symbol", "line", "rectangle", "supply_unit"]

#: Length of a chip's leg as drawn, in grid steps.
LEG = 3

KINDS = {
    "in": "input",
    "out": "output",
    "three_state": "tri_state",
    "open_collector": "open_collector",
    "bidirectional": "bidirectional",
    "power": "power_in",
    "passive": "passive",
    "nc": "no_connect",
}


@dataclass(frozen=True, slots=True)
class SymbolPin:
    """One pin: `x` and `y` (up) of its end in grid steps, `angle` from there to the body.

    `unit` 0 is common to all sections; `name` is the part table's (``/CE``).
    """

    number: str
    name: str
    kind: str
    x: int = 0
    y: int = 0
    angle: int = 0
    length: float = LEG
    unit: int = 1
    shape: str = "line"
    hidden: bool = False


@dataclass(frozen=True)
class Symbol:
    """A symbol: pins, graphics and the body of each section.

    Attributes
    ----------
    style : str
        How its texts are placed: box, two, gate, transistor, power.
    bodies : dict of int to Box
        Section -> outline, y up.
    graphics : tuple of (int, Node)
        Section (0 = all) and what is drawn.
    power : bool
        A supply symbol: names its net, is no part.
    """

    name: str
    letter: str
    style: str
    pins: tuple[SymbolPin, ...]
    bodies: dict[int, Box]
    graphics: tuple[tuple[int, Node], ...] = ()
    hide_numbers: bool = False
    hide_names: bool = False
    power: bool = False

    @property
    def units(self) -> int:
        """How many sections."""
        return max(self.bodies)


_STROKE = node("stroke", node("width", Word("0.254")), node("type", Word("default")))


def line(*points: tuple[float, float], fill: str = "none") -> Node:
    """An open or closed line through points (y up)."""
    pts = node("pts", *(node("xy", mm(x), mm(y)) for x, y in points))
    return node("polyline", pts, _STROKE, node("fill", node("type", Word(fill))))


def rectangle(box: Box, fill: str = "background") -> Node:
    """A rectangle (y up)."""
    return node(
        "rectangle",
        node("start", mm(box.x0), mm(box.y1)),
        node("end", mm(box.x1), mm(box.y0)),
        _STROKE,
        node("fill", node("type", Word(fill))),
    )


def chip_pins(type_name: str) -> dict[str, list[SymbolPin]]:
    """Pins of a chip by name, not yet placed: from our own tables of boxes, else from the part tables."""
    found: dict[str, list[SymbolPin]] = {}
    if type_name in CHIPS:
        rows = [(number, name, kind) for number, (name, kind) in CHIPS[type_name].items()]
    else:
        known = load_library().find(type_name)
        if known is None:
            raise ValueError(f"no part table for {type_name}")
        rows = [(p.number, p.name, KINDS[p.direction]) for p in known.pins]
    for number, name, kind in rows:
        found.setdefault(name, []).append(SymbolPin(number, name, kind))
    return found


def _rows(spec: str) -> list[str]:
    return [name for word in spec.split() for name in expand(word)]


def box_unit(
    pins: dict[str, list[SymbolPin]], unit: int, left: str, right: str, top: str = "", bottom: str = ""
) -> tuple[list[SymbolPin], Box]:
    """Lay one section out as a box; takes the pins it uses out of `pins`.

    ``.`` in a row list leaves a gap. Rows are two grid steps apart.
    """
    rows = {"left": _rows(left), "right": _rows(right), "top": _rows(top), "bottom": _rows(bottom)}
    shown = {
        side: max((text_units(n) for n in names if n != "."), default=0.0) for side, names in rows.items()
    }
    n_supply = max(len(pins.get(name, ())) for name in ("VCC", "VDD", "GND", "VSS"))
    middle = 3.0 + 4.0 * max(0, n_supply - 1)  # the supply legs' names run up the middle
    half = max(4, math.ceil((shown["left"] + shown["right"] + middle) / 2 + 1))
    high = max(len(rows["left"]), len(rows["right"]), 4)
    placed: list[SymbolPin] = []

    def take(name: str, x: int, y: int, angle: int) -> None:
        pin = pins[name].pop(0)
        if not pins[name]:
            del pins[name]
        clock = "clock" if name.endswith("CLK") else "line"
        placed.append(replace(pin, x=x, y=y, angle=angle, unit=unit, shape=clock))

    for row, name in enumerate(rows["left"]):
        if name != ".":
            take(name, -half - LEG, high - 1 - 2 * row, 0)
    for row, name in enumerate(rows["right"]):
        if name != ".":
            take(name, half + LEG, high - 1 - 2 * row, 180)
    for names, y, angle in ((rows["top"], high + LEG, 270), (rows["bottom"], -high - LEG, 90)):
        for column, name in enumerate(names):
            take(name, 2 * column - len(names) + 1, y, angle)
    return placed, Box(-half, -high, half, high)


def _supply(pins: dict[str, list[SymbolPin]], body: Box, unit: int, *, hidden: bool) -> list[SymbolPin]:
    """Supply pins above, ground pins below the body; hidden ones lie on its edge."""
    placed: list[SymbolPin] = []
    for names, edge, angle in ((("VCC", "VDD"), int(body.y1), 270), (("GND", "VSS"), int(body.y0), 90)):
        found = [pin for name in names for pin in pins.pop(name, [])]
        reach = 0 if hidden else LEG - 1
        y = edge + reach if angle == 270 else edge - reach
        for column, pin in enumerate(found):
            placed.append(
                replace(
                    pin,
                    x=4 * column - 2 * len(found) + 2,
                    y=y,
                    angle=angle,
                    length=reach,
                    unit=unit,
                    hidden=hidden,
                )
            )
    return placed


def supply_unit(pins: dict[str, list[SymbolPin]], unit: int) -> tuple[list[SymbolPin], Box]:
    """A section of its own for the supply pins."""
    body = Box(-2, -4, 2, 4)
    return _supply(pins, body, unit, hidden=False), body


def chip_symbol(type_name: str, marking: str, *, hidden_supply: bool = False) -> Symbol:
    """A chip as one or more boxes.

    Parameters
    ----------
    type_name : str
        Name of its part table: ``74x273``.
    marking : str
        Name of the symbol: ``74LS273``.
    hidden_supply : bool
        Draw the supply pins hidden, so that they join nets by their names.
    """
    pins = chip_pins(type_name)
    layout = LAYOUTS[type_name]
    placed: list[SymbolPin] = []
    bodies: dict[int, Box] = {}
    for unit, sides in enumerate(layout, start=1):
        found, body = box_unit(pins, unit, *sides)
        placed += found
        bodies[unit] = body
    if len(layout) == 1 or hidden_supply:
        placed += _supply(pins, bodies[1], 1 if len(layout) == 1 else 0, hidden=hidden_supply)
    else:
        found, bodies[len(layout) + 1] = supply_unit(pins, len(layout) + 1)
        placed += found
    if pins:
        raise ValueError(f"{type_name}: pins without a place in the drawing: {sorted(pins)}")
    graphics = tuple((unit, rectangle(body)) for unit, body in bodies.items())
    return Symbol(marking, "U", "box", tuple(placed), bodies, graphics)
