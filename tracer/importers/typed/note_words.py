"""Words of bench notes: quotes, comments, lists. `grammars/bench_notes.lark` has seen to it that they are well formed."""

from __future__ import annotations

import re

__all__ = ["part_and_leg", "plain", "without_comment", "words_of"]

_QUOTED = re.compile(r'"((?:[^"\\]|\\.)*)"')
#: What stands in quotes, also those that are never closed, or a sign that may start a comment.
_QUOTED_OR_HASH = re.compile(r'"(?:[^"\\]|\\.)*"?|#')
#: Where the screen is told of, six figures are a colour: ``seen white as #0000ff``.
_SEEN, _COLOUR = (
    re.compile(r"\s*seen\s", re.IGNORECASE),
    re.compile(r"#[0-9a-f]{6}(?![0-9a-z])", re.IGNORECASE),
)
_PART_AND_LEG = re.compile(r'("(?:[^"\\]|\\.)*"|[^".]+)\.(.+)$')
_LISTED = re.compile(r'"(?:[^"\\]|\\.)*"|[^\s,]+')


def without_comment(line: str) -> str:
    """The line up to a ``#`` that stands outside quotes, at the start or behind a blank."""
    for mark in _QUOTED_OR_HASH.finditer(line):
        at = mark.start()
        is_colour = _COLOUR.match(line, at) is not None and _SEEN.match(line) is not None
        if mark[0] == "#" and not is_colour and (at == 0 or line[at - 1].isspace()):
            return line[:at]
    return line


def plain(word: str) -> str:
    """A word without its quotes."""
    match = _QUOTED.fullmatch(word)
    return re.sub(r"\\(.)", r"\1", match[1]) if match else word


def words_of(text: str) -> list[str]:
    """Words of a list, quotes and all."""
    return [m[0] for m in _LISTED.finditer(text)]


def part_and_leg(word: str) -> tuple[str, str]:
    """The two words of ``U9.11``, quotes and all.

    >>> part_and_leg('"U 9".11')
    ('"U 9"', '11')
    """
    match = _PART_AND_LEG.match(word)
    assert match is not None
    return match[1], match[2]
