"""The strip of a connector: its pins in the order of their numbers, what each carries below it."""

from __future__ import annotations

from itertools import zip_longest

from tracer.base.names import last_part, readable_name
from tracer.base.text import clean
from tracer.card.chip_values import ConnectorPin, ConnectorView
from tracer.card.metrics import fit, width
from tracer.card.shapes import Box, Look, Shape, Strip, Text, ink_of

__all__ = ["connector_strips", "shown_pins"]


def connector_strips(connector: ConnectorView, room: float, look: Look) -> list[Strip]:
    """A connector's pins in the order of their numbers, colours marked; numbers and letters on rows of their own."""
    pins = shown_pins(connector)
    signs = {pin: _sign(pin) for pin in pins}
    for n in range(_MOST_IN_ROW, 0, -1):
        rows = _connector_rows(pins, n)
        needs = [[_need(p, signs[p], look) for p in row] for row in rows]
        if sum(max(column) for column in zip_longest(*needs, fillvalue=0.0)) <= room:
            break
    cells = _cells(needs, room)
    strips = []
    for row in rows:
        shapes: list[Shape] = []
        for i, pin in enumerate(row):
            shapes += _pin(pin, signs[pin], sum(cells[:i]), cells[i], look)
        strips.append(Strip(2 * look.row * 0.96 + 1.0 * look.scale, tuple(shapes)))
    return strips


def _need(pin: ConnectorPin, sign: str, look: Look) -> float:
    """How wide a pin's cell must be."""
    return max(
        width(pin.number, look.small, True) + 1.2,
        width(sign, look.small, pin.use == "colour") + 0.9,
        5.2 * look.scale,
    )


def _cells(needs: list[list[float]], room: float) -> list[float]:
    """How wide each place of the rows is: all alike where there is room, else the columns that need more wider."""
    own = [max(column) for column in zip_longest(*needs, fillvalue=0.0)]
    alike = max(own, default=0.0)
    if alike * len(own) <= room:
        return [alike] * len(own)
    return [w * min(1.0, room / sum(own)) for w in own]


#: Of larger connectors only the pins with a use are shown.
_MOST_PINS = 64


def shown_pins(connector: ConnectorView) -> tuple[ConnectorPin, ...]:
    """The pins that a card shows."""
    if len(connector.pins) <= _MOST_PINS:
        return connector.pins
    return tuple(p for p in connector.pins if p.use)


#: Pins of a connector side by side before it goes on below.
_MOST_IN_ROW = 28


def _connector_rows(pins: tuple[ConnectorPin, ...], most: int) -> list[list[ConnectorPin]]:
    """Edge connectors have a side of numbers and one of letters."""
    sides = [[p for p in pins if p.number[:1].isdigit()], [p for p in pins if not p.number[:1].isdigit()]]
    return [s[i : i + most] for s in sides for i in range(0, len(s), most)]


def _sign(pin: ConnectorPin) -> str:
    if pin.use == "colour":
        return clean(pin.colour)
    if pin.use == "ground":
        return "0 V"
    if pin.use == "supply":
        return clean(readable_name(last_part(pin.net or pin.name)))
    return "sync" if pin.use == "sync" else ""


def _pin(pin: ConnectorPin, sign: str, x: float, cell: float, look: Look) -> list[Shape]:
    high = look.row * 0.96
    is_colour = pin.use == "colour"
    shapes: list[Shape] = [
        Box(x, 0.0, cell, high, 0.5 if is_colour else 0.2),
        *_centred(pin.number, x, cell, high / 2, look.small, True, "#000000"),
    ]
    if is_colour:
        shapes.append(Box(x, high, cell, high, 0.5, ink_of(pin.colour), ink_of(pin.colour)))
        shapes += _centred(sign, x, cell, high * 1.5, look.small, True, "#ffffff")
    elif sign:
        shapes += _centred(sign, x, cell, high * 1.5, look.small, False, "#000000")
    return shapes


def _centred(text: str, x: float, cell: float, y: float, size: float, bold: bool, ink: str) -> list[Shape]:
    text = fit(text, cell - 0.2, size, bold)
    if not text:
        return []
    return [Text(x + (cell - width(text, size, bold)) / 2, y + size * 0.36, text, size, bold, ink)]
