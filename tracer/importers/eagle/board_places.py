"""Where an Eagle board has its pads and its edge.

``x``, ``y`` and ``rot`` of an element and, in its package, of a pad: millimetres, y up. ``rot`` is degrees counter-clockwise,
``R90``; ``S`` before it (text that may stand on its head) changes nothing; ``M`` before it puts the part on the solder side:
turned first, then mirrored left to right. The edge: what is drawn on layer 20, Dimension; a wire with a ``curve`` is an arc
of so many degrees, counter-clockwise.

Sources: ``eagle-9.2.2.dtd`` (as in `library.py`); the order of turning and mirroring as KiCad 6's importer has it
(``eagle_plugin.cpp``), from memory.
"""

from __future__ import annotations

import math
import re

from tracer.importers.xml_tree import Element
from tracer.netlist.spots import Pad, Point, Segment, Spot, arc_through, chain, coordinate, turned

__all__ = ["board_outline", "element_spot"]

_EDGE = "20"
_ROT = re.compile(r"S?(?P<mirrored>M?)S?R(?P<degrees>-?\d+(?:\.\d+)?)")


def element_spot(element: Element, pads: tuple[Element, ...]) -> Spot | None:
    """Where an element sits; None where the file does not say it."""
    home = _point(element, "x", "y")
    rot = _ROT.fullmatch(element.get("rot") or "R0")
    if home is None or rot is None:
        return None
    found: dict[str, Pad] = {}
    for pad in pads:
        if (own := _point(pad, "x", "y")) is not None:
            x, y = turned(*own, float(rot["degrees"]))
            x = -x if rot["mirrored"] else x
            place = round(home[0] + x, 4), round(home[1] + y, 4)
            found.setdefault(pad.get("name"), Pad(pad.get("name"), *place))
    return Spot(tuple(found.values()), is_below=bool(rot["mirrored"])) if found else None


def board_outline(board: Element) -> tuple[Segment, ...]:
    """The edge of the board."""
    found: list[Segment] = []
    for item in (child for plain in board.all("plain") for child in plain.children):
        if item.get("layer") != _EDGE:
            continue
        if item.tag == "circle":
            centre, radius = _point(item, "x", "y"), coordinate(item.get("radius"))
            found += _circle(centre, radius) if centre and radius else ()
            continue
        start, end = _point(item, "x1", "y1"), _point(item, "x2", "y2")
        if start is None or end is None:
            continue
        if item.tag == "rectangle":
            (a, b), (c, d) = start, end
            found += chain([(a, b), (c, b), (c, d), (a, d)], is_closed=True)
        elif item.tag == "wire":
            found += _wire(start, end, coordinate(item.get("curve")) or 0.0)
    return tuple(found)


def _wire(start: Point, end: Point, curve: float) -> tuple[Segment, ...]:
    """Counter-clockwise as a person sees it: the arc bulges to the right of its chord."""
    if not 0 < abs(curve) < 360:
        return ((start, end),)
    bulge = math.tan(math.radians(curve) / 4) / 2
    x, y = end[0] - start[0], end[1] - start[1]
    middle = (start[0] + x / 2 - y * bulge, start[1] + y / 2 + x * bulge)
    return arc_through(start, middle, end)


def _circle(centre: Point, radius: float) -> tuple[Segment, ...]:
    (x, y), r = centre, radius
    right, left = (x + r, y), (x - r, y)
    return (*arc_through(right, (x, y + r), left), *arc_through(left, (x, y - r), right))


def _point(item: Element, x: str, y: str) -> Point | None:
    """A point with y down."""
    across, up = coordinate(item.get(x)), coordinate(item.get(y))
    return None if across is None or up is None else (across, -up)
