"""Names of colours as people type them."""

from __future__ import annotations

from difflib import get_close_matches

__all__ = ["COLOURS", "COLOUR_WORDS", "meant_colour"]

COLOURS = ("red", "green", "blue")

#: What pins and nets are called by these colours.
COLOUR_WORDS = {
    "red": ("RED", "R"),
    "green": ("GREEN", "GRN", "G"),
    "blue": ("BLUE", "BLU", "B"),
}

#: A colour's name is a slip of another's when they are as alike as this (`difflib`, 1 = the same).
_NEAR = 0.7


def meant_colour(name: str) -> str | None:
    """Which of red, green and blue a name is a slip of, or short for; None where it is one of them, or none.

    >>> [meant_colour(name) for name in ("rad", "gren", "rde", "R", "grn", "red", "grey", "red_low")]
    ['red', 'green', 'red', 'red', 'green', None, None, None]
    """
    name = name.lower()
    if name in COLOURS:
        return None
    for colour, words in COLOUR_WORDS.items():
        # Short for it, its letters in another order, or one of them another.
        others = sum(a != b for a, b in zip(name, colour, strict=False)) + abs(len(name) - len(colour))
        if name.upper() in words or sorted(name) == sorted(colour) or others == 1:
            return colour
    near = get_close_matches(name, COLOURS, n=1, cutoff=_NEAR)
    return near[0] if near else None
