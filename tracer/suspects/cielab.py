"""Colours by name or figures, and how far apart two of them look.

Names are those of CSS (W3C, CSS Color Module Level 4, 6.1 "Named Colors").
sRGB to CIE XYZ as in IEC 61966-2-1:1999, white D65; XYZ to L*a*b* as in ISO/CIE
11664-4 (CIE 1976 L*a*b*). The distance of two colours is their straight one
there, with which that standard begins: about 2.3 is just noticeable (M. Mahy,
L. Van Eycken, A. Oosterlinck, Color Research & Application 19, 1994).
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import NamedTuple

from webcolors import name_to_rgb
from webcolors import names as names_of

from tracer.base.errors import UsageError
from tracer.base.names import similar_names

__all__ = ["COLOUR_NAMES", "Lab", "Rgb", "colour_called", "distance", "lab_of"]

#: Red, green, blue, 0 to 255, as a screen is driven.
Rgb = tuple[float, float, float]


class Lab(NamedTuple):
    """L* from 0 to 100, a* from green to red, b* from blue to yellow."""

    lightness: float
    a: float
    b: float


#: The one name that Level 4 adds to those of Level 3, which webcolors has.
_ADDED: Mapping[str, Rgb] = {"rebeccapurple": (102, 51, 153)}
COLOUR_NAMES = frozenset(names_of("css3")) | frozenset(_ADDED)
_FIGURES = re.compile(r"#[0-9a-f]{6}")
#: IEC 61966-2-1: linear red, green, blue to X, Y, Z.
_TO_XYZ = ((0.4124, 0.3576, 0.1805), (0.2126, 0.7152, 0.0722), (0.0193, 0.1192, 0.9505))
#: Its white: what the rows add up to.
_WHITE = tuple(sum(row) for row in _TO_XYZ)
#: ISO/CIE 11664-4: below (6/29) cubed the cube root gives way to a straight line.
_BEND = 6 / 29


def colour_called(word: str) -> Rgb:
    """A colour by its name in CSS, in any case, blanks or none, or as ``#rrggbb``.

    >>> colour_called("light blue"), colour_called("#FF8000")
    ((173, 216, 230), (255, 128, 0))

    Raises
    ------
    UsageError
        It is neither.
    """
    plain = re.sub(r"[\s\"'-]+", "", word.lower())
    if plain in _ADDED:
        return _ADDED[plain]
    if plain in COLOUR_NAMES:
        named = name_to_rgb(plain)
        return named.red, named.green, named.blue
    if _FIGURES.fullmatch(plain):
        return int(plain[1:3], 16), int(plain[3:5], 16), int(plain[5:7], 16)
    near = similar_names(plain, sorted(COLOUR_NAMES))
    raise UsageError(
        f"{word!r} is no name of a colour",
        fix=f"write a name of CSS ({', '.join(near or ('white', 'orange', 'lightblue'))}) or #rrggbb",
    )


def lab_of(rgb: Rgb) -> Lab:
    """A colour of a screen in CIE L*a*b*."""
    linear = [_linear(value / 255) for value in rgb]
    x, y, z = (
        _root(sum(share * part for share, part in zip(row, linear, strict=True)) / white)
        for row, white in zip(_TO_XYZ, _WHITE, strict=True)
    )
    return Lab(116 * y - 16, 500 * (x - y), 200 * (y - z))


def _linear(value: float) -> float:
    return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4


def _root(t: float) -> float:
    return math.cbrt(t) if t > _BEND**3 else t / (3 * _BEND**2) + 4 / 29


def distance(a: Lab, b: Lab) -> float:
    """How far apart two colours look."""
    return math.dist(a, b)
