"""Where the texts of a symbol stand: reference, value, place."""

from __future__ import annotations

from tests.drawing.geometry import OUT, text_units
from tests.drawing.items import Placed, Text

__all__ = ["field_texts"]


def field_texts(placed: Placed) -> dict[str, Text]:
    """Field name -> text, for the fields that are shown."""
    return _STYLES[placed.part.symbol.style](placed)


def _texts(*spots: tuple[str, str, float, float]) -> dict[str, Text]:
    return {name: Text(text, x, y) for name, text, x, y in spots}


def _box(placed: Placed) -> dict[str, Text]:
    """Reference above the left end, value and place below, beside the ground pin."""
    body, part = placed.body, placed.part
    if _only_supply(placed):
        return _gate(placed)
    below = [p for p in placed.pins if p.side == "down" and not p.pin.hidden and p.at.y > body.y1]
    left = max(p.at.x for p in below) + 1.4 if below else body.x0
    name = placed.shown_reference
    above = [p.at.x for p in placed.pins if p.side == "up" and not p.pin.hidden]
    clear = not above or min(above) > body.x0 + text_units(name)
    start = body.x0 if clear else min(above) + 1.2
    found = {
        "Reference": Text(name, start + text_units(name) / 2, body.y0 - 1),
        "Value": Text(part.value, left + text_units(part.value) / 2, body.y1 + 1),
    }
    for row, (field, value) in enumerate(part.fields, start=1):
        found[field] = Text(value, left + text_units(value) / 2, body.y1 + 1 + 1.6 * row)
    return found


def _only_supply(placed: Placed) -> bool:
    return all(p.pin.kind == "power_in" for p in placed.pins)


def _gate(placed: Placed) -> dict[str, Text]:
    body, part = placed.body, placed.part
    middle = (body.x0 + body.x1) / 2
    rows = [("Reference", placed.shown_reference), ("Value", part.value)]
    if _only_supply(placed) or placed.rotation in (90, 270):
        right = body.x1 + 0.5
        rows += list(part.fields) if _only_supply(placed) else []
        return _texts(
            *((f, v, right + text_units(v) / 2, body.y0 + 1 + 1.6 * n) for n, (f, v) in enumerate(rows))
        )
    return _texts(
        ("Reference", placed.shown_reference, middle, body.y0 - 0.8),
        ("Value", part.value, middle, body.y1 + 0.8),
    )


def _two(placed: Placed) -> dict[str, Text]:
    body, part = placed.body, placed.part
    name, value = placed.shown_reference, part.value
    x, y = (body.x0 + body.x1) / 2, (body.y0 + body.y1) / 2
    if placed.rotation in (90, 270):
        inside = part.symbol.letter in ("R", "RN") and text_units(value) < 3.8
        return _texts(
            ("Reference", name, x, body.y0 - 0.9), ("Value", value, x, y if inside else body.y1 + 0.9)
        )
    right = body.x1 + 0.6
    return _texts(
        ("Reference", name, right + text_units(name) / 2, y - 0.9),
        ("Value", value, right + text_units(value) / 2, y + 0.9),
    )


def _transistor(placed: Placed) -> dict[str, Text]:
    """Beside the collector and emitter, on the side away from the base."""
    body, part = placed.body, placed.part
    base = next(p for p in placed.pins if p.pin.name == "B")
    name, value = part.reference, part.value
    if base.side == "left":
        x = body.x1 + 0.6
        spots = [(x + text_units(t) / 2, placed.at.y + dy) for t, dy in ((name, -0.8), (value, 0.8))]
    elif base.side == "right":
        x = body.x0 - 0.6
        spots = [(x - text_units(t) / 2, placed.at.y + dy) for t, dy in ((name, -0.8), (value, 0.8))]
    else:
        away = body.y0 - 3 if base.side == "down" else body.y1 + 1.4
        spots = [(placed.at.x, away), (placed.at.x, away + 1.6)]
    return _texts(("Reference", name, *spots[0]), ("Value", value, *spots[1]))


def _power(placed: Placed) -> dict[str, Text]:
    symbol, value = placed.part.symbol, placed.part.value
    reach = 1.5 if symbol.name in ("GND", "PWR_FLAG") else 1.0
    turned_to = {0: "down", 90: "right", 180: "up", 270: "left"}
    raised = {0: "up", 90: "left", 180: "down", 270: "right"}
    side = (turned_to if symbol.name == "GND" else raised)[placed.rotation]
    dx, dy = next(out for s, out in OUT.items() if s == side)
    away = reach + (0.4 + text_units(value) / 2 if dx else 0.8)
    # Beside a pin the text stands a little above its line, as labels do.
    return {"Value": Text(value, placed.at.x + dx * away, placed.at.y + dy * away - (0.6 if dx else 0))}


_STYLES = {"box": _box, "gate": _gate, "two": _two, "transistor": _transistor, "power": _power}
