"""The board from above as SVG: all parts pale, those of the path named, with what they carry and the legs to probe.

Colours are told apart by their names and by the kind of line around a part (as in the diagram), not by hue alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from xml.sax.saxutils import escape, quoteattr

from tracer.base.text import clean
from tracer.bitmap.model import BitMap
from tracer.diagram.styles import Style, styles_of
from tracer.place.values import PlacedPart, PlaceView, Side

__all__ = ["SIDES", "emit", "side_as_svg"]

SIDES: tuple[Side, ...] = ("component side", "solder side")
#: Width of the drawing, room around it, lines of text: CSS pixels.
WIDE, ROOM, LINE = 760.0, 26.0, 13.0
_MOST_HIGH = 560.0
_DASHES = {"solid": "", "dashed": "6 3", "dotted": "1.5 3"}
_PALE, _PALE_LINE, _INK, _SOFT, _PAPER = "#f1f1ee", "#c4c4bf", "#16161a", "#5f5f66", "#ffffff"
#: Parts smaller than this, in pixels, beside the path have no name: it could not be read.
_LEAST_NAMED = 26.0
_LEAST_LETTERS = 3.5
#: About how wide a letter is, as a share of its size.
_LETTER = 0.6
#: A cell lower than this, in pixels, has its words on one line.
_LEAST_CELL = 34.0
_FONT = "Arial, Helvetica, sans-serif"


def emit(view: PlaceView, bit_map: BitMap) -> str:
    """Both sides, one below the other; a grid of places has but the component side.

    Returns
    -------
    str
        SVG; the same view gives the same text.
    """
    sides = SIDES[:1] if view.is_grid else SIDES
    drawn = [_Side(view, side, bit_map) for side in sides]
    high = sum(d.high for d in drawn) + 20
    lines: list[str] = []
    y = 18.0
    for each in drawn:
        lines += each.lines(y)
        y += each.high
    names = f"{clean(view.board)}: where the parts of the colour path sit"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDE:.0f}" height="{high:.0f}" viewBox="0 0 {WIDE:.0f} {high:.0f}" '
        f'role="img" aria-label={quoteattr(names)} font-family={quoteattr(_FONT)}>\n'
        f'<rect width="{WIDE:.0f}" height="{high:.0f}" fill="{_PAPER}"/>\n' + "\n".join(lines) + "\n</svg>\n"
    )


def side_as_svg(view: PlaceView, bit_map: BitMap, side: Side) -> tuple[str, float, float]:
    """One side for other outputs: its elements, its width and its height."""
    drawn = _Side(view, side, bit_map)
    return "\n".join(drawn.lines(0.0)), WIDE, drawn.high


class _Side:
    """One side, scaled to the width of the drawing."""

    def __init__(self, view: PlaceView, side: Side, bit_map: BitMap) -> None:
        self.view, self.side = view, side
        self.is_mirrored = side == "solder side"
        self.styles: Mapping[str, Style] = {s.name: s for s in styles_of(bit_map)}
        left, top, right, bottom = view.box
        self.scale = min((WIDE - 2 * ROOM) / max(right - left, 1.0), _MOST_HIGH / max(bottom - top, 1.0))
        self.head = ROOM + (2 + bool(view.boards)) * LINE
        self.high = (bottom - top) * self.scale + ROOM + self.head + LINE
        self.left = (WIDE - (right - left) * self.scale) / 2

    def x(self, x: float) -> float:
        left, _, right, _ = self.view.box
        return self.left + ((right - x) if self.is_mirrored else (x - left)) * self.scale

    def y(self, y: float, top: float) -> float:
        return top + self.head + (y - self.view.box[1]) * self.scale

    def lines(self, top: float) -> Iterator[str]:
        """All elements."""
        words = "from the component side" if not self.is_mirrored else "from the solder side, mirrored"
        if self.view.is_grid:
            words = "by the places of the board's print: a cell a place, not to scale"
        yield _text(self.left, top + LINE, f"{clean(self.view.board)} {words}", bold=True)
        yield from self._legend(top + 2.2 * LINE)
        for (ax, ay), (bx, by) in self.view.outline:
            yield (
                f'<line x1="{self.x(ax):.1f}" y1="{self.y(ay, top):.1f}" x2="{self.x(bx):.1f}" y2="{self.y(by, top):.1f}" '
                f'stroke="{_INK}" stroke-width="1.5"/>'
            )
        for board, at in self.view.boards:
            yield _text(self.x(at), self.y(self.view.box[1], top) - 5 - LINE, board, bold=True)
        for name, at in self.view.columns:
            yield _text(self.x(at), self.y(self.view.box[1], top) - 5, name, anchor="middle", bold=True)
        for name, at in self.view.rows:
            yield _text(self.left - 14, self.y(at, top) + 4, name, anchor="middle", bold=True)
        for part in self.view.parts:
            yield f"<g data-place-of={quoteattr(clean(part.part))}>"
            yield from self._part(part, top)
            yield "</g>"

    def _legend(self, y: float) -> Iterator[str]:
        """Which line is which colour, and what the marks are."""
        x = self.left
        for name, style in self.styles.items():
            yield (
                f'<line x1="{x:.1f}" y1="{y - 3:.1f}" x2="{x + 26:.1f}" y2="{y - 3:.1f}" stroke="{style.colour}" '
                f'stroke-width="2"{_dashed(_DASHES[style.line])}/>'
            )
            yield _text(x + 30, y, name, size=9)
            x += 44 + 5.2 * len(name)
        if not self.view.is_grid:
            yield _text(x, y, "dots: legs that the bits pass; square: leg 1", size=9, ink=_SOFT)

    def _part(self, part: PlacedPart, top: float) -> Iterator[str]:
        a, b = sorted((self.x(part.box[0]), self.x(part.box[2])))
        c, d = self.y(part.box[1], top), self.y(part.box[3], top)
        # What sits on the other side is seen through the board.
        is_through = part.is_below != self.is_mirrored
        if part.role == "beside":
            yield _box(a, c, b, d, _PALE, _PALE_LINE, 0.8, "3 2" if is_through else "")
            if b - a > _LEAST_NAMED and d - c > LINE * 0.8:
                name = part.part.rpartition(":")[2]
                size = min(8.0, (b - a - 2) / (_LETTER * len(name)))
                yield _text((a + b) / 2, (c + d) / 2 + 3, name, anchor="middle", size=size, ink=_SOFT)
            return
        styles = [self.styles[colour] for colour in part.colours if colour in self.styles]
        yield _box(a, c, b, d, _PAPER, _INK, 1.0, "")
        for i, style in enumerate(styles):
            inset = 1.8 + 2.6 * i
            if min(b - a, d - c) > 2 * inset + 4:
                yield _box(
                    a + inset, c + inset, b - inset, d - inset, "none", style.colour, 1.8, _DASHES[style.line]
                )
        yield from self._pads(part, top)
        yield from self._name(part, (a, c, b, d))

    def _pads(self, part: PlacedPart, top: float) -> Iterator[str]:
        radius = max(1.1, min(2.6, 0.55 * self.scale))
        for pad in part.pads:
            x, y = self.x(pad.x), self.y(pad.y, top)
            if pad.pin == "1" and part.role == "chip":
                yield (
                    f'<rect x="{x - radius * 1.4:.1f}" y="{y - radius * 1.4:.1f}" width="{radius * 2.8:.1f}" '
                    f'height="{radius * 2.8:.1f}" fill="{_PAPER}" stroke="{_INK}" stroke-width="1.2"/>'
                )
            if pad.colours and pad.colours[0] in self.styles:
                style = self.styles[pad.colours[0]]
                yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}" fill="{style.ink}" stroke="{_INK}" stroke-width="0.5"/>'

    def _name(self, part: PlacedPart, box: tuple[float, float, float, float]) -> Iterator[str]:
        a, c, b, d = box
        # Resistors stand close: their names stay within them, and can be read when the picture is enlarged.
        size = 11.0 if part.role != "stage" else min(8.0, max(_LEAST_LETTERS, min(b - a, d - c) * 0.9))
        # Joined boards are told apart by where they lie.
        words = [part.part.rpartition(":")[2]]
        if part.role == "chip":
            words.append(part.what)
        if self.view.is_grid and part.colours:
            words.append(", ".join(part.colours))
        x, y = (a + b) / 2, (c + d) / 2
        is_tall = d - c > 1.6 * (b - a) and not self.view.is_grid
        if is_tall:
            yield _text(
                x, y, " ".join(words[:2]), anchor="middle", bold=True, size=size, turn=True, halo=True
            )
            return
        is_wide = b - a > 7.4 * len(" ".join(words[:2]))
        lines = [" ".join(words[:2])] if is_wide and not self.view.is_grid else words
        if self.view.is_grid:
            # Two parts of one place share its cell.
            lines = lines if d - c > _LEAST_CELL else [" ".join(words)]
            size = min(size, (d - c) / (len(lines) * 1.35))
        longest = max(map(len, lines))
        size = (
            min(size, max((b - a - 3) / (_LETTER * longest), _LEAST_LETTERS)) if self.view.is_grid else size
        )
        for i, each in enumerate(lines):
            at = y + size * (0.35 + i - (len(lines) - 1) / 2)
            yield _text(x, at, each, anchor="middle", bold=i == 0, size=size, halo=True)


def _box(a: float, c: float, b: float, d: float, fill: str, line: str, width: float, dash: str) -> str:
    return (
        f'<rect x="{a:.1f}" y="{c:.1f}" width="{b - a:.1f}" height="{d - c:.1f}" rx="1.5" fill="{fill}" stroke="{line}" '
        f'stroke-width="{width}"{_dashed(dash)}/>'
    )


def _dashed(dash: str) -> str:
    return f' stroke-dasharray="{dash}"' if dash else ""


def _text(
    x: float,
    y: float,
    words: str,
    *,
    anchor: str = "start",
    bold: bool = False,
    size: float = 11.0,
    ink: str = _INK,
    turn: bool = False,
    halo: bool = False,
) -> str:
    weight = ' font-weight="bold"' if bold else ""
    turned = f' transform="rotate(-90 {x:.1f} {y:.1f}) translate(0 {size * 0.35:.1f})"' if turn else ""
    # Letters stay readable over the lines of other parts.
    paint = f' paint-order="stroke" stroke="{_PAPER}" stroke-width="2.4"' if halo else ""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size:.1f}" text-anchor="{anchor}" fill="{ink}"{weight}{turned}{paint}>'
        f"{escape(clean(words))}</text>"
    )
