"""Where a bit's name stands at a leg: by the wire that leaves it, where neither a label nor another name is.

Lengths are millimetres. KiCad's letters are about as wide as they are high, and a label stands above its wire.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import NamedTuple

from tracer.importers.kicad.sheet_file import STEPS_PER_MM, Point

__all__ = ["Box", "NamePlace", "NamePlaces", "label_box"]

#: Of a label (KiCad's default) and of its letters, by their height.
_LABEL_MM, _WIDTH = 1.27, 0.95
#: Heights of a name, and how far it may slide along the wire.
_HEIGHTS, _FARTHEST_MM = (1.0, 0.8), 20.0
#: Between a name and the leg's end or a label, and between it and the edge of the wire.
_GAP_ALONG, _GAP_ACROSS = 0.5, 0.2
#: What KiCad's markup adds to the letters that are seen: ``~{RD}``, ``D_{0}``.
_MARKUP = re.compile(r"[~^_]\{|\}")


class Box(NamedTuple):
    """A rectangle: from and to, x first."""

    x0: float
    y0: float
    x1: float
    y1: float


@dataclass(frozen=True, slots=True)
class NamePlace:
    """A text as KiCad places it: ``at``, ``justify`` and the size of its font."""

    x: float
    y: float
    angle: int
    justify: str
    height: float


def label_box(text: str, at: Point, angle: int, *, is_local: bool) -> Box:
    """What a label covers; one that is not local has a frame around its text, and stands on the end of its wire."""
    x, y = at[0] / STEPS_PER_MM, at[1] / STEPS_PER_MM
    letters = len(_MARKUP.sub("", text)) + (0 if is_local else 2)
    long, high, low = (
        letters * _LABEL_MM * _WIDTH,
        _LABEL_MM * (1.5 if is_local else 1),
        0.0 if is_local else 1.27,
    )
    if angle in (90, 270):
        top, bottom = (y - long, y) if angle == 90 else (y, y + long)
        return Box(x - high, top, x + low, bottom)
    left, right = (x, x + long) if angle == 0 else (x - long, x)
    return Box(left, y - high, right, y + low)


class NamePlaces:
    """The texts of a sheet, to which names are added one after another."""

    def __init__(self, boxes: list[Box]) -> None:
        self._boxes = boxes

    def place(self, at: Point, off: Point, words: str, wire_width: float) -> NamePlace:
        """The place of a leg's name: under the wire, else above it, else above it behind the label, and smaller."""
        x, y = at[0] / STEPS_PER_MM, at[1] / STEPS_PER_MM
        near = [_seen_from(box, x, y, off) for box in self._boxes]
        tries = [(1, _HEIGHTS[0], 0.0), (-1, _HEIGHTS[0], 0.0), (-1, _HEIGHTS[1], _FARTHEST_MM)]
        tries += [(1, _HEIGHTS[1], _FARTHEST_MM), (1, _HEIGHTS[1], 0.0)]
        start, gap = _GAP_ALONG, wire_width / 2 + _GAP_ACROSS
        for side, height, slide in tries:
            low, high = sorted((side * gap, side * (gap + height)))
            long = len(words) * height * _WIDTH
            found = _first_free(near, long, low, high, slide)
            if found is not None:
                start = found
                break
        else:
            side, height, long = 1, _HEIGHTS[1], len(words) * _HEIGHTS[1] * _WIDTH
        along = (x + off[0] * start, y + off[1] * start)
        px, py = (along[0] + side * gap, along[1]) if off[1] else (along[0], along[1] + side * gap)
        ends = (along[0] + off[0] * long, along[1] + off[1] * long)
        qx, qy = (px + side * height, ends[1]) if off[1] else (ends[0], py + side * height)
        self._boxes.append(Box(min(px, qx), min(py, qy), max(px, qx), max(py, qy)))
        # A text that is turned by 90 degrees runs upwards, and its lower side is the right one.
        runs_on = off[1] < 0 or off[0] > 0
        justify = f"{'left' if runs_on else 'right'} {'top' if side > 0 else 'bottom'}"
        return NamePlace(round(px, 4), round(py, 4), 90 if off[1] else 0, justify, height)


def _seen_from(box: Box, x: float, y: float, off: Point) -> Box:
    """A box along a leg's wire (x) and across it (y), from the leg's end."""
    if off[1]:
        low, high = sorted(((box.y0 - y) * off[1], (box.y1 - y) * off[1]))
        return Box(low, box.x0 - x, high, box.x1 - x)
    low, high = sorted(((box.x0 - x) * off[0], (box.x1 - x) * off[0]))
    return Box(low, box.y0 - y, high, box.y1 - y)


def _first_free(near: list[Box], long: float, low: float, high: float, slide: float) -> float | None:
    """The first place along the wire at which nothing is in the way, not farther than `slide` from the leg's end."""
    start = _GAP_ALONG
    while True:
        ends = [b.x1 for b in near if b.x0 < start + long and b.x1 > start and b.y0 < high and b.y1 > low]
        if not ends:
            return start
        start = max(ends) + _GAP_ALONG
        if start > slide:
            return None
