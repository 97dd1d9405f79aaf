"""What a drawing is marked with: which bits a thing on it carries, and how that looks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from tracer.base.text import bits_words
from tracer.diagram.styles import SHARED, Style
from tracer.export.values import WHOLE
from tracer.netlist.board import PinRef

__all__ = ["NOTHING", "BoardMarks", "Carried", "MarkedFile", "common", "style_of", "words_of"]

#: Bits that a thing carries: index of the colour in the map and number of the bit, `WHOLE` for all of the colour.
Carried = frozenset[tuple[int, int]]
NOTHING: Carried = frozenset()


@dataclass(frozen=True)
class BoardMarks:
    """What the pins of a board carry.

    Attributes
    ----------
    styles : tuple of Style
        Of the colours, in the order of the map.
    nets : mapping of PinRef to Carried
        Pin -> what its net carries.
    legs : mapping of PinRef to Carried
        Leg of the path -> the bits that pass it.
    parts : mapping of str to Carried
        Part of an output stage -> its colours.
    """

    styles: tuple[Style, ...]
    nets: Mapping[PinRef, Carried]
    legs: Mapping[PinRef, Carried]
    parts: Mapping[str, Carried]


@dataclass(frozen=True)
class MarkedFile:
    """The copy of one file.

    Attributes
    ----------
    data : bytes
    counts : mapping of str to int
        What was marked, and how many of it.
    said : tuple of str
        Where the sheets that a file stands for differ.
    """

    data: bytes
    counts: Mapping[str, int]
    said: tuple[str, ...] = ()


def style_of(carried: Carried, styles: Sequence[Style]) -> Style:
    """That of the one colour, or of what several share."""
    colours = {colour for colour, _ in carried}
    return styles[colours.pop()] if len(colours) == 1 else SHARED


def words_of(carried: Carried, styles: Sequence[Style]) -> str:
    """``red 3``, ``red 3-1, green 0``; ``red`` where the whole colour passes."""
    ordered = sorted(carried, key=lambda each: (each[0], -each[1]))
    whole = [styles[colour].name for colour, bit in ordered if bit == WHOLE]
    bits = bits_words((styles[colour].name, bit) for colour, bit in ordered if bit != WHOLE)
    return ", ".join([*([bits] if bits else []), *whole])


def common(instances: Iterable[Carried], styles: Sequence[Style]) -> tuple[Carried, str]:
    """What one thing carries on all sheets that its file stands for, and the words for it; nothing if on one it does not.

    Where the colours differ but the bit's number does not, the words are ``bit 3``.
    """
    each = list(instances)
    first = each[0] if each else NOTHING
    if all(other == first for other in each):
        return first, words_of(first, styles)
    if not all(each):
        return NOTHING, ""
    together = frozenset[tuple[int, int]]().union(*each)
    numbers = {frozenset(bit for _, bit in own) for own in each}
    bits = next(iter(numbers)) - {WHOLE} if len(numbers) == 1 else frozenset[int]()
    if len({colour for colour, _ in together}) == 1:
        return together, words_of(together, styles)
    return together, bits_words(("bit", bit) for bit in sorted(bits, reverse=True))
