"""Which legs of a coil, filter, fuse or link are the two ends of one way.

A filter of three or four legs has its ground between: on the middle leg of three, on two legs side by side or across of
four (symbols Filter_EMI_C and Filter_EMI_LL of Debian kicad-symbols 6.0.10; the cases of makers from memory). What the
drawing says goes first: the names of the legs, then which of them stand on a supply or ground.
"""

from __future__ import annotations

import re

from tracer.base.names import bare_name
from tracer.parts.model import PinType

__all__ = ["leg_name", "through", "told_pairs", "two_by_two"]

_IN = re.compile(r"(?:IN|I|INPUT)_?(\d?)")
_OUT = re.compile(r"(?:OUT|O|OUTPUT)_?(\d?)")
_GROUND = re.compile(r"G|GND\d?|GROUND|COM\d?|E|EARTH|CASE|SHIELD")


def leg_name(pin: PinType) -> str:
    """The bare name of a leg; where it has none, its number, if that is a word: legs of a diode are called A and K."""
    return bare_name(pin.name or ("" if pin.number.isdecimal() else pin.number))


def two_by_two(numbers: list[str]) -> list[tuple[str, str]]:
    """Two legs are one way; four are two ways (a common-mode coil, a double fuse): 1-4 and 2-3 by package."""
    if len(numbers) == 4:
        return [(numbers[0], numbers[3]), (numbers[1], numbers[2])]
    return [(numbers[0], numbers[1])] if len(numbers) == 2 else []


def through(pins: tuple[PinType, ...], supply_pins: frozenset[str]) -> tuple[list[tuple[str, str]], bool]:
    """Pairs of legs with a way between them, and whether something says so.

    Parameters
    ----------
    pins : tuple of PinType
        Of the part, in leg order.
    supply_pins : frozenset of str
        Pins on nets that are named as supplies or ground.
    """
    numbers = [p.number for p in pins]
    ends = {p.number: leg_name(p) for p in pins}
    ins = {m[1]: n for n, name in ends.items() if (m := _IN.fullmatch(name))}
    outs = {m[1]: n for n, name in ends.items() if (m := _OUT.fullmatch(name))}
    if ins and ins.keys() == outs.keys():
        return [(ins[key], outs[key]) for key in ins], True
    live = [n for n in numbers if not _GROUND.fullmatch(ends[n])]
    if len(numbers) in (3, 4) and len(live) > 2:
        live = [n for n in live if n not in supply_pins]
    if len(live) == 2:
        return [(live[0], live[1])], True
    if len(numbers) == 3:
        return [(numbers[0], numbers[2])], False
    return two_by_two(numbers), True


def told_pairs(text: str) -> list[tuple[str, str]] | None:
    """The legs that a person says are joined, or None where nothing is said; an open one joins none.

    >>> [told_pairs(t) for t in ("jumper 1-2", "switch 1-8, 2-7", "jumper open", "switch", "JUMPER_NO")]
    [[('1', '2')], [('1', '8'), ('2', '7')], [], None, None]
    """
    match = re.fullmatch(r"(?:jumper|switch|link|bridge|wire)\s+(.+)", text.strip(), re.IGNORECASE)
    if match is None:
        return None
    if match[1].lower() == "open":
        return []
    words = re.split(r"[,;\s]+", match[1].strip())
    pairs = [re.fullmatch(r"(\w+)[-=](\w+)", word) for word in words]
    return [(pair[1], pair[2]) for pair in pairs if pair] if all(pairs) else None
