"""Ohms, farads and volts as people write them.

Letter code for values: IEC 60062:2016 ("RKM code": the letter stands where the
decimal point would, ``4k7`` = 4.7 kilohm, ``R47`` = 0.47 ohm). The three- and
four-digit code of packs and trimmers is of the same standard; its use on packs
is common practice, no source.
"""

from __future__ import annotations

import re

__all__ = [
    "format_ohm",
    "is_typed_value",
    "parse_farad",
    "parse_ohm",
    "parse_pack_ohm",
    "parse_volts",
    "plain_value",
]

_OHM_LETTERS = {"R": 1.0, "E": 1.0, "": 1.0, "K": 1e3, "M": 1e6, "G": 1e9}
_FARAD_LETTERS = {"p": 1e-12, "n": 1e-9, "u": 1e-6, "m": 1e-3, "": 1.0}

#: Letters of a value that are looked at: more is a text.
LONGEST_VALUE = 120

_OHM_WORD = re.compile(r"\s*(?:ohms?|[\u2126\u03a9])\s*", re.IGNORECASE)
#: A letter for the tolerance may follow (IEC 60062). A small m is milli, a small e a power of ten: not read.
_LETTER_INSIDE = re.compile(r"([0-9]*)([RrKkMGE])([0-9]+)[BCDFGJKM]?")
_LETTER_AFTER = re.compile(r"([0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)\s*([KkMGRrE]?)[FJ]?")
#: "1,000" is one ohm here and a thousand there.
_THOUSANDS = re.compile(r"[0-9]+,[0-9]{3}(?![0-9])")
_COUNT = re.compile(r"(?:^\s*\d+\s*[x×*]\s*(?=[\dR]))|(?:\s*[x×*]\s*\d+\s*$)", re.IGNORECASE)
_TWO_NUMBERS = re.compile(r"([0-9]+)\s*[x×*]\s*([0-9]+)", re.IGNORECASE)
_DIGIT_CODE = re.compile(r"(?<![0-9])([0-9]{2,3})([0-9])\s*$")
_FARAD = re.compile(r"(\d*)[.,]?(\d*)\s*([pnuµμm]?)(\d*)F?", re.IGNORECASE)
_VOLTS = re.compile(r"([+-]?)(\d+)(?:[.,](\d+))?\s*V(\d*)", re.IGNORECASE)


#: What follows a value: tolerance, watts, a size or anything else behind a blank, slash, bracket or underscore.
_AFTER_VALUE = re.compile(
    r"\s*(?:[/;_(±]|\d+(?:[.,]\d+)?\s*%|(?<=\s)(?:\d+/\d+|\d+(?:[.,]\d+)?)\s*W\b).*$", re.IGNORECASE
)
_WATTS_BEFORE = re.compile(r"^(?:[0-9]+/[0-9]+|[0-9]+(?:[.,][0-9]+)?)\s*W\s+", re.IGNORECASE)


def plain_value(text: str) -> str:
    """The value alone: no unit word, no tolerance, no watts, no size, no count of a pack."""
    text = _AFTER_VALUE.sub("", _WATTS_BEFORE.sub("", text.strip()[:LONGEST_VALUE]))
    text = _OHM_WORD.sub("", text).strip()
    if both := _TWO_NUMBERS.fullmatch(text):
        # "8x470" and "470x8": a pack has fewer resistors than ohms.
        return max(both[1], both[2], key=int)
    return _COUNT.sub("", text).strip()


def parse_ohm(text: str) -> float | None:
    """Read a resistance; None when the text is not one.

    >>> [parse_ohm(t) for t in ("4k7", "470R", "R47", "1.5K", "220Ω", "2,2k", "0R", "1 kohm")]
    [4700.0, 470.0, 0.47, 1500.0, 220.0, 2200.0, 0.0, 1000.0]
    >>> [parse_ohm(t) for t in ("470R 1%", "8x470", "4K7x8", "1M", "75 ohm", "~", "BOURNS")]
    [470.0, 470.0, 4700.0, 1000000.0, 75.0, None, None]
    >>> [parse_ohm(t) for t in ("390R_0603", "2k2 1/4W", "560Ω/5%", "1k (0.1%)", "330 0.25W", "1/4W 1k")]
    [390.0, 2200.0, 560.0, 1000.0, 330.0, 1000.0]
    >>> [parse_ohm(t) for t in ("4R7J", "100E", "1,000", "1e3", "1m")]
    [4.7, 100.0, None, None, None]
    """
    text = plain_value(text)
    if _THOUSANDS.search(text):
        return None
    if inside := _LETTER_INSIDE.fullmatch(text):
        whole, letter, fraction = inside.groups()
        return round(float(f"{whole or 0}.{fraction}") * _OHM_LETTERS[letter.upper()], 9)
    if after := _LETTER_AFTER.fullmatch(text):
        number, letter = after.groups()
        return round(float(number.replace(",", ".")) * _OHM_LETTERS[letter.upper()], 9)
    return None


def parse_pack_ohm(text: str) -> float | None:
    """Read the value of a resistor pack or trimmer, where ``471`` means 470 ohm.

    A number whose last figure is 0 is taken as typed: drawn packs say "470" for 470 ohm. So is one that no series has
    as a code (`is_typed_value`).

    >>> [parse_pack_ohm(t) for t in ("471", "102", "470", "4k7", "8x220", "3296W-103", "604")]
    [470.0, 1000.0, 470.0, 4700.0, 220.0, 10000.0, 604.0]
    """
    plain = plain_value(text)
    code = _DIGIT_CODE.search(plain)
    if code and code[2] != "0" and (code[0].strip() == plain or "-" in plain) and not is_typed_value(plain):
        return float(code[1]) * 10.0 ** int(code[2])
    return parse_ohm(text)


#: First two figures of the series E24, of which codes of three figures are made, and the values of E96 (IEC 60063).
_E24 = frozenset(
    [
        "10",
        "11",
        "12",
        "13",
        "15",
        "16",
        "18",
        "20",
        "22",
        "24",
        "27",
        "30",
        "33",
        "36",
        "39",
        "43",
        "47",
        "51",
        "56",
        "62",
        "68",
        "75",
        "82",
        "91",
    ]
)
_E96 = frozenset(str(round(100 * 10 ** (i / 96))) for i in range(96))


def is_typed_value(text: str) -> bool:
    """Whether three figures are a value of the series E96, and as a code one that E24 does not have.

    >>> [is_typed_value(t) for t in ("604", "471", "301", "60k4")]
    [True, False, False, False]
    """
    plain = plain_value(text)
    return plain in _E96 and plain[:2] not in _E24


def parse_farad(text: str) -> float | None:
    """Read a capacitance; a bare number is not one, as its unit is not known.

    >>> [parse_farad(t) for t in ("100n", "4u7", "22pF", "0.1uF", "220µF", "10uF/16V", "104")]
    [1e-07, 4.7e-06, 2.2e-11, 1e-07, 0.00022, 1e-05, None]
    """
    match = _FARAD.match(text.strip()[:LONGEST_VALUE])
    if not match or not match[3]:
        return None
    whole, fraction, letter, after = match.groups()
    if not (whole or fraction):
        return None
    scale = _FARAD_LETTERS[letter.lower().replace("µ", "u").replace("μ", "u")]
    return float(f"{float(f'{whole or 0}.{fraction or after or 0}') * scale:.6g}")


def parse_volts(text: str) -> float | None:
    """Read a supply's voltage out of its name.

    >>> [parse_volts(t) for t in ("+5V", "-5V", "3V3", "+3.3V", "12V", "VCC")]
    [5.0, -5.0, 3.3, 3.3, 12.0, None]
    """
    match = _VOLTS.search(text[:LONGEST_VALUE])
    if not match:
        return None
    sign, whole, fraction, after = match.groups()
    return float(f"{sign}{whole}.{fraction or after or 0}")


def format_ohm(ohm: float) -> str:
    """Write a resistance in the letter code.

    >>> [format_ohm(x) for x in (220.0, 4700.0, 1000.0, 0.47, 68000.0, 2200000.0, 0.0)]
    ['220R', '4k7', '1k', '0R47', '68k', '2M2', '0R']
    """
    for limit, letter in ((1e9, "G"), (1e6, "M"), (1e3, "k"), (0.0, "R")):
        if ohm >= limit:
            text = f"{ohm / (limit or 1.0):.4g}"
            whole, _, fraction = text.partition(".")
            return f"{whole}{letter}{fraction}"
    raise ValueError(f"a resistance cannot be negative: {ohm}")
