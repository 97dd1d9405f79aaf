"""Names in EDIF 2 0 0: where something is defined, where it is referred to, and texts.

A name is an identifier, or ``(rename id "text")``, or ``(array name n)``. References
use the identifier, people are shown the text. Identifiers are compared to the
letter first, and in any case only where the letter finds nothing: by the
standard they fold, yet yosys writes ``n4139`` and ``N4139`` as two nets.

Sources: files that yosys 0.23 wrote; the meaning of ``member`` (an index from 0
in the order of the array), ``designator`` and ``%..%`` codes from memory of
EIA-548.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Generic, TypeVar

from tracer.importers.sexpr import Expr
from tracer.importers.text import Positions

__all__ = ["Name", "Names", "decoded", "defined", "designator", "properties", "referred"]

T = TypeVar("T")

_CODES = re.compile(r"%\s*(\d{1,3}(?:\s+\d{1,3})*)\s*%")
_RANGE = re.compile(r"(.*)([\[(<])(-?\d{1,7}):(-?\d{1,7})([\])>])", re.DOTALL)

#: Wires in one bus: more than any chip has legs.
WIDEST = 1 << 14


@dataclass(frozen=True, slots=True)
class Name:
    """What something is called: identifier, text for people, and of an array the text of each member."""

    id: str
    text: str
    bits: tuple[str, ...] | None = None
    sizes: tuple[int, ...] = ()

    def place(self, indices: tuple[int, ...]) -> int | None:
        """Which of `bits` a member is; None outside the array."""
        if len(indices) != len(self.sizes) or any(i >= n for i, n in zip(indices, self.sizes, strict=True)):
            return None
        place = 0
        for index, size in zip(indices, self.sizes, strict=True):
            place = place * size + index
        return place


class Names(Generic[T]):
    """Things by identifier: to the letter, else in any case where that is clear."""

    def __init__(self) -> None:
        self.exact: dict[str, T] = {}
        self._folded: dict[str, list[str]] = {}

    def add(self, key: str, thing: T) -> bool:
        """Keep a thing; False when the identifier is taken, and the first stays."""
        if key in self.exact:
            return False
        self.exact[key] = thing
        self._folded.setdefault(key.lower(), []).append(key)
        return True

    def get(self, key: str) -> T | None:
        """The thing of this identifier."""
        if key in self.exact:
            return self.exact[key]
        same = self._folded.get(key.lower(), [])
        return self.exact[same[0]] if len(same) == 1 else None


def defined(item: Expr | str | None, positions: Positions, at: int) -> Name:
    """A name where something is defined: ``id``, ``(rename id "text")``, ``(array name n ..)``.

    Raises
    ------
    NetlistError
        There is none, or an array has no sensible size.
    """
    if isinstance(item, str):
        return Name(item, item[1:] if item.startswith("&") else item)
    if item is not None and item.head == "name" and item.words():
        return defined(item.words()[0], positions, item.at)
    if item is not None and item.head == "rename" and len(item) > 2:
        shown = item[2] if isinstance(item[2], str) else _first_word(item[2])
        return Name(defined(item[1], positions, item.at).id, decoded(shown))
    if item is not None and item.head == "array" and len(item) > 2:
        name = defined(item[1], positions, item.at)
        words = item.words()[isinstance(item[1], str) :]
        sizes = [int(word) if word.isdecimal() and len(word) < 8 else 0 for word in words]
        count = 1
        for size in sizes:
            count = min(count * size, WIDEST + 1)
        if not sizes or not 0 < count <= WIDEST:
            raise positions.error(
                f"the size of array {name.text} is no number from 1 to {WIDEST}",
                item.at,
                "export the netlist again",
            )
        return Name(name.id, name.text, _bit_names(name.text, sizes, count), tuple(sizes))
    raise positions.error(
        "a name is missing here", item.at if item is not None else at, "export the netlist again"
    )


def _bit_names(text: str, sizes: list[int], count: int) -> tuple[str, ...]:
    """``A[7:0]`` of 8 is A[7] A[6] ..; without a range the index counts from 0."""
    found = _RANGE.fullmatch(text)
    if found and len(sizes) == 1:
        first, last = int(found[3]), int(found[4])
        if abs(first - last) + 1 == count:
            step = 1 if last >= first else -1
            return tuple(f"{found[1]}{found[2]}{first + step * i}{found[5]}" for i in range(count))
    names = [text]
    for size in sizes:
        names = [f"{name}[{i}]" for name in names for i in range(size)]
    return tuple(names)


def referred(item: Expr | str | None, positions: Positions, at: int) -> tuple[str, tuple[int, ...] | None]:
    """A name where something is referred to: its identifier, and of ``(member name i ..)`` the indices.

    Raises
    ------
    NetlistError
        There is none, or an index is no number.
    """
    if isinstance(item, str):
        return item, None
    if item is not None and item.head == "name" and item.words():
        return item.words()[0], None
    if item is not None and item.head == "member" and len(item) > 2:
        name, _ = referred(item[1], positions, item.at)
        indices = item.words() if not isinstance(item[1], str) else item.words()[1:]
        if indices and all(word.isdecimal() and len(word) < 8 for word in indices):
            return name, tuple(int(word) for word in indices)
    raise positions.error(
        "this is no name that can be followed",
        item.at if item is not None else at,
        "export the netlist again",
    )


def properties(item: Expr) -> dict[str, str]:
    """Properties of a cell or an instance: name in lower case -> value as text."""
    found: dict[str, str] = {}
    for entry in item.all("property"):
        if len(entry) > 2 and isinstance(entry[2], Expr):
            names = [entry[1]] if isinstance(entry[1], str) else entry[1].words()
            for name in names[:2]:
                found.setdefault(decoded(name).lower(), _value(entry[2]))
    return found


def _value(item: Expr) -> str:
    """``(string "4k7")``, ``(integer 470)``, ``(number (e 47 2))``, ``(boolean (true))``; where it is drawn stands around it."""
    inner = item[1] if len(item) > 1 else ""
    if isinstance(inner, str):
        return decoded(inner)
    if inner.head.endswith("display"):
        return _value(inner)
    if inner.head == "e" and len(inner) == 3:
        mantissa, exponent = inner[1], inner[2]
        whole = all(isinstance(w, str) and re.fullmatch(r"[+-]?\d{1,9}", w) for w in (mantissa, exponent))
        if whole and 0 <= int(str(exponent)) < 16:
            return str(int(str(mantissa)) * 10 ** int(str(exponent)))
        return f"{mantissa}e{exponent}"
    return inner.head


def designator(item: Expr) -> str:
    """The text of its ``(designator ..)``, or nothing."""
    found = item.first("designator")
    return decoded(_first_word(found)) if found is not None else ""


def _first_word(item: Expr | str) -> str:
    """``"U1"`` of ``(stringDisplay "U1" ..)``."""
    words: Expr | str = item
    while not isinstance(words, str):
        if len(words) < 2:
            return ""
        words = words[1]
    return words


def decoded(text: str) -> str:
    """Character codes between per cent signs undone; a text with other per cent signs is left as it is.

    >>> decoded("A%34%B"), decoded("10%"), decoded("%49 50%")
    ('A"B', '10%', '12')
    """
    if "%" not in text or "%" in _CODES.sub("", text):
        return text
    return _CODES.sub(lambda m: "".join(chr(int(code)) for code in m[1].split()), text)
