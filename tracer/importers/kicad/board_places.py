"""Where a KiCad board has its pads and its edge.

``(at X Y ANGLE)`` of a footprint and, relative to it, of a pad: millimetres, y down, degrees counter-clockwise; a footprint
of the solder side has its pads written as they lie. The edge: what is drawn on ``Edge.Cuts``; an arc by start, middle and
end, up to KiCad 5 by its middle point, one end and an angle (both forms: boards of the Debian package ``kicad-demos``).
"""

from __future__ import annotations

from tracer.importers.sexpr import Expr
from tracer.netlist.spots import Point, Segment, arc_through, chain, coordinate, turned

__all__ = ["board_outline", "pad_place"]

_EDGE = "Edge.Cuts"


def pad_place(footprint: Expr, pad: Expr) -> Point | None:
    """Where a pad lies; None where the file does not say it."""
    home, own = _numbers(footprint, "at"), _numbers(pad, "at")
    if len(home) < 2 or len(own) < 2:
        return None
    x, y = turned(own[0], own[1], home[2] if len(home) > 2 else 0.0)
    return round(home[0] + x, 4), round(home[1] + y, 4)


def board_outline(root: Expr) -> tuple[Segment, ...]:
    """The edge of the board."""
    found: list[Segment] = []
    for item in root:
        if isinstance(item, Expr) and item.head.startswith("gr_") and _EDGE in item.word("layer"):
            found += _drawn(item)
    return tuple(found)


def _drawn(item: Expr) -> tuple[Segment, ...]:
    start, end, middle = (_point(item, name) for name in ("start", "end", "mid"))
    if item.head == "gr_poly" and (points := item.first("pts")) is not None:
        return chain([p for xy in points.all("xy") if (p := _as_point(_words(xy)))], is_closed=True)
    if item.head == "gr_circle":
        centre = _point(item, "center")
        return _circle(centre, end) if centre and end else ()
    if start is None or end is None:
        return ()
    if item.head == "gr_rect":
        (a, b), (c, d) = start, end
        return chain([(a, b), (c, b), (c, d), (a, d)], is_closed=True)
    angle = _numbers(item, "angle")
    if item.head == "gr_arc" and middle is not None:
        return arc_through(start, middle, end)
    if item.head == "gr_arc" and angle:
        return _arc_of_old(start, end, angle[0])
    return ((start, end),)


def _circle(centre: Point, edge: Point) -> tuple[Segment, ...]:
    x, y = edge[0] - centre[0], edge[1] - centre[1]
    opposite, quarter = (centre[0] - x, centre[1] - y), (centre[0] - y, centre[1] + x)
    other = (centre[0] + y, centre[1] - x)
    return (*arc_through(edge, quarter, opposite), *arc_through(opposite, other, edge))


def _arc_of_old(centre: Point, edge: Point, degrees: float) -> tuple[Segment, ...]:
    """An angle that grows clockwise, as KiCad 5 writes it."""
    x, y = edge[0] - centre[0], edge[1] - centre[1]
    (mx, my), (ex, ey) = turned(x, y, -degrees / 2), turned(x, y, -degrees)
    return arc_through(edge, (centre[0] + mx, centre[1] + my), (centre[0] + ex, centre[1] + ey))


def _point(item: Expr, name: str) -> Point | None:
    return _as_point(_numbers(item, name))


def _as_point(numbers: list[float]) -> Point | None:
    return (numbers[0], numbers[1]) if len(numbers) > 1 else None


def _numbers(item: Expr, name: str) -> list[float]:
    clause = item.first(name)
    return [] if clause is None else _words(clause)


def _words(clause: Expr) -> list[float]:
    found = []
    for word in clause.words():
        if (number := coordinate(word)) is None:
            break
        found.append(number)
    return found
