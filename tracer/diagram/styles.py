"""How a diagram tells bits apart: name of the colour and number, kind of line, colour.

Name, kind of line and shade differ together, so that a diagram reads in
black and white and for eyes that do not tell red from green.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tracer.base.text import bits_words
from tracer.bitmap.model import BitMap
from tracer.diagram.html import text
from tracer.diagram.network import BitId

__all__ = ["GREY_TEXT", "SHARED", "WRITE", "Style", "bits_text", "ink_of", "styles_of"]

#: Ink of what stands in the background: controls, write paths.
GREY_TEXT = "#5f5f5f"


@dataclass(frozen=True, slots=True)
class Style:
    """How the lines of a colour are drawn.

    Attributes
    ----------
    name : str
        Of the colour; stands before the bit's number.
    letters : str
        The same in short, where it cannot be taken for a resistor's reference.
    colour : str
        Of the line, ``#rrggbb``.
    ink : str
        Of the texts: darker where thin strokes need it.
    line : {'solid', 'dashed', 'dotted'}
        Graphviz style.
    width : float
        Points.
    """

    name: str
    letters: str
    colour: str
    ink: str
    line: str
    width: float


#: Colour and ink, line, width. As grey (luma of ITU-R BT.601: 0.299 R + 0.587 G + 0.114 B): 84, 125, 45 of 255.
_KNOWN = {
    "red": ("#c8202a", "#c8202a", "solid", 1.5),
    "green": ("#3aa655", "#277f3d", "dashed", 1.5),
    "blue": ("#0b2a90", "#0b2a90", "dotted", 2.2),
}
_FURTHER = (
    ("#7a3b8f", "#7a3b8f", "dashed", 2.4),
    ("#6b4a12", "#6b4a12", "solid", 0.9),
    ("#136b73", "#136b73", "dotted", 1.4),
)
#: Lines that bring a bit to several colours, and write paths.
SHARED = Style("", "", "#000000", "#000000", "solid", 2.4)
WRITE = Style("", "", "#8c8c8c", "#5f5f5f", "solid", 0.7)


def styles_of(bit_map: BitMap) -> tuple[Style, ...]:
    """The style of each colour, in the order of the map; no two have the same letters."""
    found: list[Style] = []
    for index, colour in enumerate(bit_map.colours):
        look = _KNOWN.get(colour.name, _FURTHER[index % len(_FURTHER)])
        taken = {style.letters for style in found}
        words = [w for w in "".join(c if c.isalnum() else " " for c in colour.name).upper().split() if w]
        choices = [
            "".join(w[0] for w in words),
            *("".join(words)[:n] for n in (2, 3)),
            colour.name.upper() + ".",
        ]
        choices += [f"C{index}."]
        letters = next(c for c in choices if c and c not in taken and not c[-1].isdigit())
        found.append(Style(colour.name, letters, *look))
    return tuple(found)


def bits_text(bits: Iterable[BitId], styles: Sequence[Style]) -> str:
    """``red 3``; ``red 3-0, green 0`` where one line brings several. Escaped for a label."""
    return text(bits_words((styles[bit.colour].name, bit.bit) for bit in sorted(bits)))


def ink_of(bits: Iterable[BitId], styles: Sequence[Style]) -> str:
    """Colour of a text: of the bits' colour, black when they are of several."""
    colours = {bit.colour for bit in bits}
    return styles[colours.pop()].ink if len(colours) == 1 else SHARED.ink
