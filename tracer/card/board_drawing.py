"""A board drawing on a card: its edge, all parts pale, those of the path dark and named; small ones again, larger."""

from __future__ import annotations

from dataclasses import dataclass, replace

from tracer.base.text import clean
from tracer.card.metrics import width
from tracer.card.shapes import Box, Line, Look, Shape, Strip, Text, moved
from tracer.place.values import PlacedPart, PlaceView

__all__ = ["board_strip"]

_PALE, _WHITE, _BLACK = "#999999", "#ffffff", "#000000"
#: No larger than this many times its size: a small board needs no poster. Small parts may be drawn larger.
_MOST_SCALE, _MOST_ZOOM = 1.5, 8.0
#: Between a label and what it belongs to; half the width of a dot on a leg; around what is drawn larger. Millimetres.
_AIR, _DOT, _AROUND = 0.5, 0.55, 2.0
#: What is drawn larger needs this much room beside the board, in millimetres.
_LEAST_ROOM = 35.0

_Frame = tuple[float, float, float, float]


def board_strip(view: PlaceView, room: float, high: float, look: Look) -> tuple[Strip, list[str]]:
    """The picture, and the parts of the path for whose names it has no room."""
    main = _Picture(view, room, high, look)
    shapes = list(main.shapes())
    rest = room - main.wide - look.gap
    if not main.unnamed or rest < _LEAST_ROOM:
        return Strip(main.high + 2.0 * look.scale, tuple(shapes)), main.unnamed
    boxes = [p.box for p in view.parts if p.part in main.unnamed]
    box = (
        min(b[0] for b in boxes) - _AROUND,
        min(b[1] for b in boxes) - _AROUND,
        max(b[2] for b in boxes) + _AROUND,
        max(b[3] for b in boxes) + _AROUND,
    )
    near = tuple(p for p in view.parts if _meet(p.box, box) and p.role == "stage")
    zoomed = _Picture(replace(view, box=box, outline=(), parts=near), rest, main.high, look, most=_MOST_ZOOM)
    # What is drawn larger has its name there.
    main = _Picture(view, room, high, look, silent=frozenset(p.part for p in near))
    shapes = list(main.shapes())
    x = room - zoomed.wide
    frame = (*main.point(*box[:2]), *main.point(*box[2:]))
    shapes.append(_outlined(frame, 0.2, _BLACK))
    drawn = (*zoomed.shapes(), _outlined((0.0, 0.0, zoomed.wide, zoomed.high), 0.2, _BLACK))
    shapes += moved(drawn, x, 0.0)
    unnamed = [*main.unnamed, *zoomed.unnamed]
    return Strip(max(main.high, zoomed.high) + 2.0 * look.scale, tuple(shapes)), unnamed


@dataclass(frozen=True, slots=True)
class _Label:
    lines: tuple[str, ...]
    bold: bool
    wide: float
    high: float


class _Picture:
    """A board drawing, scaled to its room; `unnamed` are the parts of the path for whose names there was none."""

    def __init__(
        self,
        view: PlaceView,
        room: float,
        high: float,
        look: Look,
        *,
        most: float = _MOST_SCALE,
        silent: frozenset[str] = frozenset(),
    ) -> None:
        self.view, self.look, self.silent = view, look, silent
        left, top, right, bottom = view.box
        self.scale = min(room / max(right - left, 1.0), high / max(bottom - top, 1.0), most * look.scale)
        self.wide, self.high = (right - left) * self.scale, (bottom - top) * self.scale
        self.unnamed: list[str] = []
        self._taken: list[_Frame] = []

    def shapes(self) -> list[Shape]:
        """All of it."""
        shapes: list[Shape] = []
        path = [p for p in self.view.parts if p.role != "beside"]
        for a, b in self.view.outline:
            shapes.append(Line((self.point(*a), self.point(*b)), 0.4))
        for part in self.view.parts:
            if part.role == "beside":
                shapes.append(_outlined(self._frame(part), 0.12, _PALE))
        bodies = {p.part: self._frame(p) for p in path}
        for part in path:
            shapes.append(_outlined(bodies[part.part], 0.5, _BLACK))
            shapes += self._pads(part)
            self._taken += [_about(self.point(pad.x, pad.y), _DOT) for pad in part.pads if pad.colours]
        order = ("chip", "connector", "stage")
        for part in sorted(path, key=lambda p: order.index(p.role)):
            shapes += self._named(part, bodies) if part.part not in self.silent else []
        return shapes

    def point(self, x: float, y: float) -> tuple[float, float]:
        """Where a point of the board lies in the picture."""
        return (x - self.view.box[0]) * self.scale, (y - self.view.box[1]) * self.scale

    def _frame(self, part: PlacedPart) -> _Frame:
        return (*self.point(*part.box[:2]), *self.point(*part.box[2:]))

    def _pads(self, part: PlacedPart) -> list[Shape]:
        shapes: list[Shape] = []
        half = min(_DOT, max(0.25, 0.35 * self.scale))
        for pad in part.pads:
            x, y = self.point(pad.x, pad.y)
            if pad.colours:
                shapes.append(_filled(_about((x, y), half), _BLACK))
            if pad.pin == "1" and part.role == "chip":
                shapes.append(_outlined(_about((x, y), half * 1.7), 0.25, _BLACK))
        return shapes

    def _label(self, part: PlacedPart, body: _Frame, *, with_type: bool) -> _Label:
        size = self.look.small
        bold = part.role != "stage"
        lines = [clean(part.part)]
        if with_type and part.role == "chip" and part.what:
            lines.append(clean(part.what))
        together = " ".join(lines)
        if width(together, size, bold) <= body[2] - body[0]:
            lines = [together]
        return _Label(
            tuple(lines), bold, max(width(t, size, bold) for t in lines) + 0.4, len(lines) * size * 1.1 + 0.3
        )

    def _named(self, part: PlacedPart, bodies: dict[str, _Frame]) -> list[Shape]:
        """The label where it hides nothing else: on the body, else beside it."""
        body = bodies[part.part]
        others = [frame for name, frame in bodies.items() if name != part.part]
        labels = [self._label(part, body, with_type=with_type) for with_type in (True, False)]
        spots = [(each, at) for each in labels for at in self._on(each, body)]
        spots += [(each, at) for each in labels for at in self._beside(each, body)]
        for label, (x, y) in spots:
            frame = (x, y, x + label.wide, y + label.high)
            inside = x >= 0.0 and frame[2] <= self.wide and y >= 0.0 and frame[3] <= self.high
            if inside and not any(_meet(frame, other) for other in (*self._taken, *others)):
                self._taken.append(frame)
                return self._drawn(label, x, y)
        self.unnamed.append(part.part)
        return []

    def _on(self, label: _Label, body: _Frame) -> list[tuple[float, float]]:
        left, top, right, bottom = body
        if label.wide > right - left or label.high > bottom - top:
            return []
        x = (left + right - label.wide) / 2
        return [(x, (top + bottom - label.high) / 2), (x, top + _AIR), (x, bottom - _AIR - label.high)]

    def _beside(self, label: _Label, body: _Frame) -> list[tuple[float, float]]:
        left, top, right, bottom = body
        x, y = (left + right - label.wide) / 2, (top + bottom - label.high) / 2
        return [
            (right + _AIR, y), (left - _AIR - label.wide, y), (x, top - _AIR - label.high), (x, bottom + _AIR), (x, y),
        ]  # fmt: skip

    def _drawn(self, label: _Label, x: float, y: float) -> list[Shape]:
        size = self.look.small
        shapes: list[Shape] = [Box(x, y, label.wide, label.high, 0.0, _WHITE)]
        for n, line in enumerate(label.lines):
            at = x + (label.wide - width(line, size, label.bold)) / 2
            shapes.append(Text(at, y + 0.15 + (n + 0.83) * size * 1.1, line, size, label.bold))
        return shapes


def _corners(frame: _Frame) -> tuple[tuple[float, float], ...]:
    a, b, c, d = frame
    return ((a, b), (c, b), (c, d), (a, d), (a, b))


def _outlined(frame: _Frame, thick: float, ink: str) -> Line:
    return Line(_corners(frame), thick, ink)


def _about(point: tuple[float, float], half: float) -> _Frame:
    return point[0] - half, point[1] - half, point[0] + half, point[1] + half


def _filled(frame: _Frame, ink: str) -> Line:
    return Line(_corners(frame), 0.1, ink, ink)


def _meet(a: _Frame, b: _Frame) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
