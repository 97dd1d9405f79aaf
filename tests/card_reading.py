"""What stands on a drawn card: overlaps of its shapes, and chips read back from its SVG.

The SVG is read as a picture: a chip is the box below its title, a leg's number is
the text next to the box's edge, its name the next one, what stands outside on the
same line belongs to it. Nothing of the program's own values is asked.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from xml.etree import ElementTree as ET

from tracer.card.shapes import Box, Page, Text

__all__ = ["ReadChip", "faults_of_page", "read_chips"]

#: Capitals and descenders of the face, as shares of its size.
_ABOVE, _BELOW = 0.74, 0.2
_SLACK = 0.06
_PLACED = re.compile(r"translate\(([-\d.]+) ([-\d.]+)\)")
_SVG = "{http://www.w3.org/2000/svg}"


@dataclass
class ReadChip:
    """A chip as it is drawn: legs of each side from the top down, as (number, name), and the texts beside legs."""

    title: str
    sides: tuple[list[tuple[str, str]], list[tuple[str, str]]] = field(default_factory=lambda: ([], []))
    beside: dict[str, list[str]] = field(default_factory=dict)

    @property
    def names(self) -> dict[str, str]:
        """Leg number -> name."""
        return dict((*self.sides[0], *self.sides[1]))


def _frame(text: Text) -> tuple[float, float, float, float]:
    return text.x, text.y - _ABOVE * text.size, text.x + text.width, text.y + _BELOW * text.size


def _meet(a: tuple[float, float, float, float], b: tuple[float, float, float, float]) -> bool:
    return a[0] + _SLACK < b[2] and b[0] + _SLACK < a[2] and a[1] + _SLACK < b[3] and b[1] + _SLACK < a[3]


def faults_of_page(page: Page, margin: float = 5.0) -> list[str]:
    """Texts that meet one another, cross the edge of a box, or leave the page."""
    # A text's width is a sum over its letters: taken once. From the top down, so that only neighbours are compared.
    framed = sorted(((_frame(s), s) for s in page.shapes if isinstance(s, Text)), key=lambda f: f[0][1])
    boxes = [s for s in page.shapes if isinstance(s, Box)]
    found = []
    for i, (frame, text) in enumerate(framed):
        for near, other in framed[i + 1 :]:
            if near[1] >= frame[3]:
                break
            if _meet(frame, near):
                found.append(f"{text.text!r} meets {other.text!r}")
    for (x1, y1, x2, y2), text in framed:
        if min(x1, y1) < margin or x2 > page.width - margin or y2 > page.height - margin:
            found.append(f"{text.text!r} leaves the page")
        for box in boxes:
            edge = (box.x, box.y, box.x + box.w, box.y + box.h)
            inside = (
                x1 >= edge[0] - _SLACK
                and x2 <= edge[2] + _SLACK
                and y1 >= edge[1] - 3 * _SLACK
                and y2 <= edge[3] + 3 * _SLACK
            )
            if _meet((x1, y1, x2, y2), edge) and not inside:
                found.append(f"{text.text!r} crosses a box")
    return found


@dataclass(frozen=True)
class _Word:
    x: float
    y: float
    width: float
    text: str
    bold: bool


def _words(root: ET.Element) -> Iterable[_Word]:
    for element in root.iter(f"{_SVG}text"):
        placed = _PLACED.match(element.get("transform", ""))
        assert placed
        wide = float(element.get("textLength", "0")) * 0.9
        bold = element.get("font-weight") == "bold"
        yield _Word(float(placed[1]), float(placed[2]), wide, element.text or "", bold)


def _beside(words: list[_Word], left: float, right: float, side: int) -> list[str]:
    """Texts outside a box, each close to the one before, the first close to the box."""
    found = []
    edge = right if side else left
    for word in sorted(words, key=lambda t: t.x if side else -t.x - t.width):
        gap = word.x - edge if side else edge - word.x - word.width
        if -0.1 < gap < 3.2:
            found.append(word.text)
            edge = word.x + word.width if side else word.x
    return found


def read_chips(svg: str) -> list[ReadChip]:
    """The chips of a card, page by page."""
    return [chip for page in ET.fromstring(svg).iter(f"{_SVG}g") for chip in _chips_of_page(page)]


def _chips_of_page(root: ET.Element) -> list[ReadChip]:
    words = list(_words(root))
    bodies = [
        tuple(float(r.get(k, "0")) for k in ("x", "y", "width", "height"))
        for r in root.iter(f"{_SVG}rect")
        if r.get("stroke-width") == "0.45"
    ]
    chips = []
    for x, y, w, h in bodies:
        inside = [t for t in words if x < t.x < x + w and y < t.y < y + h]
        above = [t for t in words if t.bold and y - 12 < t.y < y and x - 25 < t.x < x + w]
        chip = ReadChip(min(above, key=lambda t: (y - t.y, abs(t.x - x))).text)
        for base in sorted({round(t.y, 2) for t in inside}):
            row = sorted((t for t in inside if abs(t.y - base) < 0.02), key=lambda t: t.x)
            outside = [t for t in words if abs(t.y - base) < 0.6 and t not in inside]
            halves = (
                [t for t in row if t.x + t.width / 2 < x + w / 2],
                [t for t in row if t.x + t.width / 2 >= x + w / 2][::-1],
            )
            for side, half in enumerate(halves):
                if not half:
                    continue
                number = half[0].text
                chip.sides[side].append((number, half[1].text if len(half) > 1 else ""))
                chip.beside[number] = _beside(outside, x, x + w, side)
        chips.append(chip)
    return chips
