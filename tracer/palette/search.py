"""From a colour to the codes that come nearest to it, the words that store them and the entries that show it.

Nearest: least sum of the squared distances in red, green and blue. A bit that several colours share has one
level for all: every assignment of the shared bits is tried with the best code of each colour under it, so the
result is the nearest that the board can show. Of equal ones the lowest codes count.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import product

from tracer.base.errors import UsageError
from tracer.palette.make import PaletteMaker
from tracer.palette.values import RGB, Entry, Sought
from tracer.palette.word_bits import PaletteBit

__all__ = ["find_colour", "parse_colour"]

_PRIMARIES = ("red", "green", "blue")
#: At most so many entries are named as the nearest.
_MOST_NEAREST = 8

#: What decides a bit: memory and bit of its word.
_Choice = tuple[str, int]


def parse_colour(text: str) -> RGB:
    """``#ff8000``, ``ff8000`` or ``#f80`` as in CSS (CSS Color Module Level 4, section 5.2; from memory).

    >>> parse_colour("#f80"), parse_colour("FF8000")
    ((255, 136, 0), (255, 128, 0))
    """
    figures = text.strip().removeprefix("#")
    if len(figures) == 3:
        figures = "".join(2 * f for f in figures)
    if len(figures) != 6 or any(f not in "0123456789abcdefABCDEF" for f in figures):
        raise UsageError(f"--colour {text} is no colour", fix="write --colour '#ff8000', with the quotes")
    red, green, blue = bytes.fromhex(figures)
    return red, green, blue


def find_colour(maker: PaletteMaker, asked: RGB, entries: Iterable[Entry]) -> Sought:
    """The nearest colour that the board can show, and the entries that show it."""
    entries = tuple(entries)
    codes = _nearest_codes(maker, asked)
    shown = maker.rgb(codes)
    showing = tuple(e.entry for e in entries if e.rgb == shown)
    nearest: tuple[int, ...] = ()
    nearest_shown = None
    if not showing and entries:
        nearest_shown = min((e.rgb for e in entries), key=lambda rgb: (_far(rgb, asked), rgb))
        nearest = tuple(e.entry for e in entries if e.rgb == nearest_shown)[:_MOST_NEAREST]
    return Sought(
        asked,
        shown,
        tuple(codes[c.name] for c in maker.colours),
        _words(maker, codes),
        showing,
        nearest,
        nearest_shown,
    )


def _nearest_codes(maker: PaletteMaker, asked: RGB) -> dict[str, int]:
    target = dict(zip(_PRIMARIES, asked, strict=True))
    users: dict[_Choice, set[str]] = {}
    for bit in maker.bits:
        users.setdefault((bit.part, bit.at), set()).add(bit.colour)
    shared = sorted(choice for choice, colours in users.items() if len(colours) > 1)
    # For each colour: levels of its shared choices -> its best code and how far that is.
    best: dict[str, dict[tuple[int | None, ...], tuple[float, int]]] = {}
    for colour in maker.colours:
        bits = maker.bits_of[colour.name]
        mine = best.setdefault(colour.name, {})
        for code, shade in enumerate(maker.shades[colour.name]):
            stored = _stored(bits, code)
            if stored is None:
                continue
            # A colour that is none of the three has no part in the distance.
            far = (shade.value - target[colour.name]) ** 2 if colour.name in target else 0.0
            key = tuple(stored.get(choice) for choice in shared)
            if key not in mine or far < mine[key][0] - 1e-9:
                mine[key] = (far, code)
    found: tuple[float, dict[str, int]] | None = None
    for levels in product((0, 1), repeat=len(shared)):
        picked = {}
        far = 0.0
        for name, mine in best.items():
            own = {(b.part, b.at) for b in maker.bits_of[name]}
            key = tuple(level if c in own else None for c, level in zip(shared, levels, strict=True))
            distance, picked[name] = mine[key]
            far += distance
        if found is None or far < found[0] - 1e-9:
            found = (far, picked)
    assert found is not None
    return found[1]


def _stored(bits: Iterable[PaletteBit], code: int) -> dict[_Choice, int] | None:
    """What the memories hold for a code; None where one stored bit would have to be both."""
    stored: dict[_Choice, int] = {}
    for bit in bits:
        level = (code >> bit.bit & 1) ^ bit.inverts
        if stored.setdefault((bit.part, bit.at), level) != level:
            return None
    return stored


def _words(maker: PaletteMaker, codes: Mapping[str, int]) -> tuple[tuple[str, str], ...]:
    stored: dict[_Choice, int] = {}
    for name, bits in maker.bits_of.items():
        stored |= _stored(bits, codes[name]) or {}
    return tuple(
        (s.part, "".join(str(stored.get((s.part, at), "-")) for at in reversed(range(s.width))))
        for s in maker.shapes
    )


def _far(a: RGB, b: RGB) -> int:
    return sum((x - y) ** 2 for x, y in zip(a, b, strict=True))
