"""How an input becomes another: the damage of `tests/property/mutations.py`, and what finds limits.

Bracketed pieces are doubled, nested and exchanged; numbers go to their ends; words are repeated until a reader that
is slow in them shows it; pieces of two inputs are put together. JSON is changed value by value, as a byte that turns
mostly ends in the same refusal.
"""

from __future__ import annotations

import json
import random
import re
from collections.abc import Callable, Sequence
from typing import Any

from tests.property.mutations import damage

__all__ = ["change", "change_json"]

#: Longest input that is made, unless a stretch is repeated to find what is slow.
LONGEST = 60_000
LONGEST_REPEATED = 400_000

_NUMBERS = (
    b"0", b"-1", b"1", b"2", b"65536", b"2147483648", b"99999999999", b"-99999999999999999999", b"9" * 400,
    b"9" * 5000, b"1e400", b"-1e400", b"1e-400", b"nan", b"inf", b"0.5", b"1.5", b"0x10", b"007", "\u0661".encode(),
    "²".encode(), b"1_000", b"+1", b"",
)  # fmt: skip
_MARKS = (
    b"(", b")", b"((", b"))", b"[", b"]", b"{", b"}", b"<", b">", b"</", b"/>", b'"', b"'", b"\\", b"\\\\", b"|", b"*",
    b"$", b"!", b"#", b"//", b"/*", b"*/", b"<!--", b"-->", b"&lt;", b"&#0;", b"&#x10ffff;", b"&x;", b"<![CDATA[",
    b"[0:99999999]", b"[99999999..0]", b"[0..99999999]", b"1-99999999", b"A-Z", b"\x1b[2J", b"\x00", b"\xef\xbb\xbf",
    b"\xff\xfe", "\u2028".encode(), "\u202e".encode(), "\x85".encode(), b"\x0c", b"\x1a", b"\x7f", b"\xed\xa0\x80", b"..",
    b"../", b".", b"=", b":", b";", b",", b"\n", b"\r", b"\t", b" ", b"-", b"+", b"~", b"~{", b"{slash}", b"?", b"%", b"@",
)  # fmt: skip
_PAIRS = {ord("("): ord(")"), ord("["): ord("]"), ord("{"): ord("}")}


def change(data: bytes, others: Sequence[bytes], words: Sequence[bytes], rng: random.Random) -> bytes:
    """One to five changes; `others` are inputs to take pieces from, `words` what stands in such files."""
    for _ in range(rng.choice((1, 1, 1, 2, 3, 5))):
        way = rng.choice(_WAYS)
        data = way(data, others, words, rng)
    return data[:LONGEST_REPEATED] if len(data) > LONGEST_REPEATED else data


def _damaged(data: bytes, _others: Sequence[bytes], _words: Sequence[bytes], rng: random.Random) -> bytes:
    return damage(data, rng)


def _number(data: bytes, _others: Sequence[bytes], _words: Sequence[bytes], rng: random.Random) -> bytes:
    found = list(re.finditer(rb"-?\d+(?:\.\d+)?", data))
    if not found:
        return data
    at = rng.choice(found)
    return data[: at.start()] + rng.choice(_NUMBERS) + data[at.end() :]


def _marked(data: bytes, _others: Sequence[bytes], _words: Sequence[bytes], rng: random.Random) -> bytes:
    at = rng.randrange(len(data) + 1)
    end = at + rng.choice((0, 0, 0, 1, 3))
    return data[:at] + rng.choice(_MARKS) + data[end:]


def _word(data: bytes, _others: Sequence[bytes], words: Sequence[bytes], rng: random.Random) -> bytes:
    found = list(re.finditer(rb"[^\s()<>\[\]{}\",;=]+", data))
    if not found or not words:
        return data
    at = rng.choice(found)
    return data[: at.start()] + rng.choice(words) + data[at.end() :]


def _spliced(data: bytes, others: Sequence[bytes], _words: Sequence[bytes], rng: random.Random) -> bytes:
    other = rng.choice(others) if others else data
    if rng.random() < 0.5:
        a, b = data.split(b"\n"), other.split(b"\n")
        at, start = rng.randrange(len(a) + 1), rng.randrange(len(b))
        return b"\n".join(a[:at] + b[start : start + rng.choice((1, 1, 2, 5, 20))] + a[at:])
    at, start = rng.randrange(len(data) + 1), rng.randrange(len(other) + 1)
    return (data[:at] + other[start : start + rng.choice((3, 20, 200))] + data[at:])[:LONGEST]


def _piece(data: bytes, rng: random.Random) -> tuple[int, int] | None:
    """A balanced stretch: in brackets, or an element of XML."""
    opening = [m.start() for m in re.finditer(rb"[(\[{]|<\w", data)]
    if not opening:
        return None
    at = rng.choice(opening)
    if data[at : at + 1] == b"<":
        tag = re.match(rb"<(\w+)[^>]*>", data[at:])
        if not tag:
            return None
        end = at + tag.end() if tag[0].endswith(b"/>") else data.find(b"</" + tag[1] + b">", at)
        return (at, end if tag[0].endswith(b"/>") else end + len(tag[1]) + 3) if end > 0 else None
    depth, other = 0, _PAIRS[data[at]]
    for i in range(at, min(len(data), at + 20_000)):
        depth += (data[i] == data[at]) - (data[i] == other)
        if not depth:
            return at, i + 1
    return None


def _pieces(data: bytes, others: Sequence[bytes], _words: Sequence[bytes], rng: random.Random) -> bytes:
    here = _piece(data, rng)
    if here is None:
        return data
    at, end = here
    how = rng.randrange(5)
    if how == 0:
        return data[:at] + data[end:]
    if how == 1:
        return data[:end] + data[at:end] * rng.choice((1, 1, 2, 30)) + data[end:]
    if how == 2:
        there = _piece(data, rng)
        piece = data[there[0] : there[1]] if there else b"()"
        return (data[:at] + piece + data[end:])[:LONGEST]
    if how == 3:
        # A piece inside itself, many times.
        inner = data[at:end]
        cut = rng.randrange(1, len(inner))
        times = rng.choice((1, 3, 30, 500, 3000))
        return (data[:at] + inner[:cut] * times + inner + inner[cut:] * times + data[end:])[:LONGEST_REPEATED]
    other = rng.choice(others) if others else data
    there = _piece(other, rng)
    return (data[:at] + (other[there[0] : there[1]] if there else b"") + data[end:])[:LONGEST]


def _repeated(data: bytes, _others: Sequence[bytes], _words: Sequence[bytes], rng: random.Random) -> bytes:
    if rng.random() < 0.7:
        return data
    at = rng.randrange(len(data) + 1)
    piece = data[at : at + rng.choice((1, 1, 2, 5, 20, 60))]
    times = rng.choice((20, 300, 5000, 50_000))
    return (data[:at] + piece * times + data[at:])[:LONGEST_REPEATED]


_WAYS: tuple[Callable[[bytes, Sequence[bytes], Sequence[bytes], random.Random], bytes], ...] = (
    _damaged, _damaged, _damaged, _number, _marked, _marked, _word, _word, _spliced, _pieces, _pieces, _repeated,
)  # fmt: skip


# -- JSON ----------------------------------------------------------------------------------------------

_VALUES: tuple[Any, ...] = (
    None, True, False, 0, -1, 1, 2, 10**9, -(10**9), 10**30, 0.5, -0.5, 1e308, -1e308, 5e-324, float("nan"),
    float("inf"), "", "x", "red", "U1", "1", "\x1b[31m", "a\nb", "<script>", "=1+1", "\u202e", "\ud800", "\0", "x" * 4000,
    [], {}, [1], {"x": 1}, [[]], [None], "picture", "write path", "prom", "rail", "unknown part",
)  # fmt: skip


def change_json(data: bytes, rng: random.Random) -> bytes:
    """The same tree with one to four values changed, taken out, doubled or exchanged; bytes alone when it is no JSON."""
    try:
        tree = json.loads(data)
    except (ValueError, RecursionError):
        return damage(data, rng)
    for _ in range(rng.choice((1, 1, 2, 4))):
        places = list(_places(tree))
        if not places:
            return data
        holder, key = rng.choice(places)
        how = rng.randrange(8)
        if how < 4:
            holder[key] = rng.choice(_VALUES)
        elif how == 4:
            del holder[key]
        elif how == 5:
            other, there = rng.choice(places)
            if isinstance(other, dict) and there not in other:
                continue
            if isinstance(other, list) and there >= len(other):
                continue
            holder[key] = json.loads(json.dumps(other[there]))
        elif how == 6 and isinstance(holder, list):
            holder[key:key] = [json.loads(json.dumps(holder[key]))] * rng.choice((1, 1, 3, 40))
        elif how == 7 and isinstance(holder, dict):
            holder[rng.choice(("x", "", "red", "\x1b[31m", "U1"))] = holder.pop(key)
        if sum(1 for _ in _places(tree)) > 20_000:
            return data
    return json.dumps(tree, ensure_ascii=rng.random() < 0.5, indent=1).encode("utf-8", "surrogatepass")


def _places(tree: Any) -> Any:
    """Every value below, as what holds it and its key."""
    waiting = [tree]
    while waiting:
        holder = waiting.pop()
        for key in list(holder) if isinstance(holder, dict) else range(len(holder)):
            yield holder, key
            if isinstance(holder[key], dict | list):
                waiting.append(holder[key])
