"""Short texts that several outputs share."""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Iterable

__all__ = [
    "WIDTH",
    "bits_words",
    "clean",
    "leg",
    "spans",
    "wrapped",
]


def clean(text: str) -> str:
    """Text from a file without control characters, so that no name can steer a terminal."""
    return "".join(c if unicodedata.category(c) not in ("Cc", "Cf", "Cs") else "?" for c in text)


def leg(part: str, pin: str, name: str = "") -> str:
    """``U4.11 D5``."""
    return f"{part}.{pin} {name}" if name and name != pin else f"{part}.{pin}"


def spans(bits: Iterable[int]) -> str:
    """``3-0`` for 3 2 1 0."""
    spans: list[list[int]] = []
    for bit in sorted(bits, reverse=True):
        if spans and spans[-1][-1] == bit + 1:
            spans[-1].append(bit)
        else:
            spans.append([bit])
    return " ".join(str(s[0]) if len(s) == 1 else f"{s[0]}-{s[-1]}" for s in spans)


def bits_words(bits: Iterable[tuple[str, int]]) -> str:
    """Colours and bits in words, ``R3`` being a resistor: colours as they come, each with its bits.

    >>> bits_words([("red", 3), ("red", 2), ("red", 1), ("green", 0)])
    'red 3-1, green 0'
    """
    by_colour: dict[str, list[int]] = {}
    for colour, bit in bits:
        by_colour.setdefault(colour, []).append(bit)
    return ", ".join(f"{colour} {spans(own)}" for colour, own in by_colour.items())


#: Columns of a terminal.
WIDTH = 80


def wrapped(text: str, first: str = "", rest: str | None = None) -> list[str]:
    """Lines of 80 columns; `rest` stands in front of all but the first, which `first` leads."""
    return textwrap.wrap(
        clean(text), WIDTH, initial_indent=first, subsequent_indent=first if rest is None else rest,
        break_on_hyphens=False,
    )  # fmt: skip
