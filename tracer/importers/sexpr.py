"""One reader for all s-expression forms (KiCad netlists, boards and symbols; EDIF).

A hand-written token loop: on megabyte files it is an order of magnitude
faster than a grammar (measured; `DEVELOPERS.md`). Words may be bare or in
double quotes, where ``\\"`` and ``\\\\`` are escapes (not in EDIF); in a bare word a
backslash is a plain character.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from tracer.errors import NetlistError
from tracer.importers.text import Positions

__all__ = ["Expr", "parse_sexpr"]

_TOKEN = re.compile(r'\s*(?:(\()|(\))|"((?:[^"\\]|\\.)*)"|([^\s()"]+)|(\S))', re.DOTALL)
_TOKEN_PLAIN = re.compile(r'\s*(?:(\()|(\))|"([^"]*)"|([^\s()"]+)|(\S))')
_ESCAPED = re.compile(r"\\(.)", re.DOTALL)
_ESCAPES = {"n": "\n", "t": "\t", "r": "\r"}

#: Deeper nesting than any CAD program writes (the deepest real file met had 14 levels).
DEEPEST = 400


class Expr(list["Expr | str"]):
    """A bracketed list; the first item is its head. `at` is its offset in the text."""

    __slots__ = ("at",)

    def __init__(self, at: int) -> None:
        super().__init__()
        self.at = at

    @property
    def head(self) -> str:
        """The first word, or the empty string."""
        return self[0] if self and isinstance(self[0], str) else ""

    def all(self, head: str) -> Iterator[Expr]:
        """Every sub-list with this head."""
        for item in self:
            if isinstance(item, Expr) and item and item[0] == head:
                yield item

    def first(self, head: str) -> Expr | None:
        """The first sub-list with this head."""
        for item in self:
            if isinstance(item, Expr) and item and item[0] == head:
                return item
        return None

    def word(self, head: str, default: str = "") -> str:
        """The word after `head` in the first such sub-list: ``U4`` of ``(ref "U4")``."""
        found = self.first(head)
        return found[1] if found is not None and len(found) > 1 and isinstance(found[1], str) else default

    def words(self) -> list[str]:
        """The bare words and strings after the head."""
        return [item for item in self[1:] if isinstance(item, str)]


def parse_sexpr(text: str, file: str, *, escapes: bool = True) -> Expr:
    """Read one bracketed expression. Without `escapes`, a backslash in a string is a plain character.

    Raises
    ------
    NetlistError
        A bracket or a string is not closed, something follows the last bracket, or the nesting
        is deeper than `DEEPEST`; points at the place.
    """
    positions = Positions(text, file)
    root = Expr(0)
    current = root
    stack: list[Expr] = []
    # The first string with a line end in it: programs write none, so its closing quote is likely missing.
    long_string: int | None = None
    for match in (_TOKEN if escapes else _TOKEN_PLAIN).finditer(text):
        kind = match.lastindex
        if kind == 4:
            current.append(match[4])
        elif kind == 3:
            word = match[3]
            if long_string is None and "\n" in word:
                long_string = match.start(3) - 1
            current.append(_ESCAPED.sub(_unescape, word) if escapes and "\\" in word else word)
        elif kind == 1:
            opened = Expr(match.start(1))
            current.append(opened)
            stack.append(current)
            current = opened
            if len(stack) > DEEPEST:
                raise positions.error(
                    f"brackets are nested more than {DEEPEST} deep",
                    match.start(1),
                    "this is no netlist of a board",
                )
        elif kind == 2:
            if not stack:
                if long_string is not None:
                    raise _open_string(positions, long_string)
                raise positions.error('this ")" closes nothing', match.start(2), "take it out")
            current = stack.pop()
        else:
            raise _open_string(positions, match.start(5) if long_string is None else long_string)
    if stack and long_string is not None:
        raise _open_string(positions, long_string)
    if stack:
        line, column = positions.line_column(len(text.rstrip()))
        opened = current
        names = f"{opened.head} {opened.words()[0]}" if opened.words() else opened.head
        raise positions.error(
            f'the "(" that opens {names!r} is never closed (the file ends at {line}:{column})',
            opened.at,
            "close it, or export the file again; nothing was read from it",
        )
    expressions = [item for item in root if isinstance(item, Expr)]
    if not expressions:
        raise positions.error('there is no "(" in it', 0, "this is no s-expression file")
    if len(expressions) > 1:
        line, column = positions.line_column(expressions[0].at)
        raise positions.error(
            "a second expression follows the first",
            expressions[1].at,
            f"keep one of the two; the first begins at {line}:{column}",
        )
    return expressions[0]


def _open_string(positions: Positions, offset: int) -> NetlistError:
    return positions.error(
        "this string is never closed", offset, "close it with a double quote, or export again"
    )


def _unescape(match: re.Match[str]) -> str:
    return _ESCAPES.get(match[1], match[1])
