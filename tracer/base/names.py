"""Names of parts, pins and nets: natural order, overbars, escapes.

Drawing programs write an active-low name in many ways: ``~{RD}`` (KiCad 6 and
later), ``~RD`` (KiCad 5), ``/RD``, ``RD#``, ``RD_N``, ``nRD``, ``!RD``, ``*RD``.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from difflib import get_close_matches
from functools import lru_cache

__all__ = [
    "bare_name",
    "is_active_low",
    "last_part",
    "natural_key",
    "nearest",
    "readable_name",
    "sheets_of",
    "similar_names",
]

_NUMBER = re.compile(r"(\d+)")
_ESCAPES = {
    "slash": "/",
    "backslash": "\\",
    "colon": ":",
    "dblquote": '"',
    "lt": "<",
    "gt": ">",
    "bar": "|",
    "space": " ",
    "brace": "{",
    # A name is one line.
    "tab": " ",
    "return": " ",
    "comma": ",",
    "quote": "'",
}
_ESCAPE = re.compile(r"(?<!~)\{(" + "|".join(_ESCAPES) + r")\}")
_OVERBAR = re.compile(r"~\{([^}]*)\}")
_LOW_START = re.compile(r"^[~/!*\\\-](?=[A-Za-z0-9])")
_LOW_END = re.compile(r"(?:[#*]|_[NnBL]|')$")
#: How alike a slip and what was meant are at least (`difflib`, 1 = the same): two letters of four exchanged are 0.75.
_SLIP = 0.65
_LOW_N = re.compile(r"^n(?=[A-Z])")


# A reference is sorted with each of its pins: kept, this takes a quarter off reading a large file.
@lru_cache(maxsize=1 << 17)
def natural_key(text: str) -> tuple[tuple[int, int, str], ...]:
    """Sort key by which ``R2`` comes before ``R10``; different texts have different keys.

    >>> sorted(["R10", "R2", "A", "R1", "R01"], key=natural_key)
    ['A', 'R01', 'R1', 'R2', 'R10']
    """
    key = [_piece_key(piece) for piece in _NUMBER.split(text) if piece]
    return (*key, (-1, 0, text))


def _piece_key(piece: str) -> tuple[int, int, str]:
    """Numbers before other pieces, by their length and then figure by figure: any number of figures will do."""
    if not piece.isdecimal():
        return 1, 0, piece
    figures = piece.lstrip("0")
    return 0, len(figures), figures


# The same few pin names come with every chip.
@lru_cache(maxsize=1 << 14)
def readable_name(name: str) -> str:
    """The name as a person would write it: escapes undone, an overbar as a leading slash.

    >>> [readable_name(n) for n in ("~{RD}", "/VPP{slash}MCLR", "R/~{W}", "~CE", "A0")]
    ['/RD', '/VPP/MCLR', 'R//W', '/CE', 'A0']
    """
    name = _ESCAPE.sub(lambda m: _ESCAPES[m[1]], name)
    name = _OVERBAR.sub(r"/\1", name)
    return "/" + name[1:] if name.startswith("~") and len(name) > 1 else name


@lru_cache(maxsize=1 << 14)
def is_active_low(name: str) -> bool:
    """Whether a pin name says that low is the active level.

    >>> [is_active_low(n) for n in ("~{OE}", "/CS", "WE#", "CE_N", "nOE", "CLK", "NC", "R/~{W}")]
    [True, True, True, True, True, False, False, False]
    """
    if _OVERBAR.fullmatch(name):
        return True
    return bool(_LOW_START.search(name) or _LOW_END.search(name) or _LOW_N.search(name)) and len(name) > 1


@lru_cache(maxsize=1 << 14)
def bare_name(name: str) -> str:
    """Upper case without overbars, escapes and blanks, for comparing.

    >>> [bare_name(n) for n in ("~{OE}", "/1CLR", "WE#", "CE_N", "nOE", "D0", "R/~{W}")]
    ['OE', '1CLR', 'WE', 'CE', 'OE', 'D0', 'R/W']
    """
    name = _ESCAPE.sub(lambda m: _ESCAPES[m[1]], name)
    name = _OVERBAR.sub(r"\1", name)
    name = _LOW_END.sub("", _LOW_START.sub("", _LOW_N.sub("", name)))
    return re.sub(r"\s+", "", name).upper()


def last_part(net: str) -> str:
    """The name of a net without the sheets it lies in.

    >>> [last_part(n) for n in ("/video/RED", "VCC", "/a{slash}b")]
    ['RED', 'VCC', 'a/b']
    """
    tail = net.rsplit("/", 1)[-1] if not net.endswith("/") else net
    return readable_name(tail)


def sheets_of(net: str) -> str:
    """The sheets in which a net lies: what its name has before the last slash.

    >>> [sheets_of(n) for n in ("/video/RED", "VCC", "/a{slash}b")]
    ['/video', '', '']
    """
    return net.rpartition("/")[0]


def nearest(name: str, known: Iterable[str]) -> str:
    """The known name that a slip of the keyboard most likely meant, as the start of what to do; nothing where none is near.

    >>> nearest("trase", ["trace", "part"]), nearest("cat", ["trace", "part"])
    ('nearest is trace; ', '')
    """
    folded = {k.upper(): k for k in known}
    near = get_close_matches(name.upper(), list(folded), n=1, cutoff=_SLIP)
    return f"nearest is {folded[near[0]]}; " if near else ""


def similar_names(name: str, known: list[str], count: int = 4) -> list[str]:
    """The `count` known names most like `name`, for messages."""
    folded = {k.upper(): k for k in reversed(known)}
    return [folded[m] for m in get_close_matches(name.upper(), list(folded), n=count, cutoff=0.5)]
