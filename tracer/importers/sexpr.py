"""One reader for all s-expression forms (KiCad netlists, boards and symbols; EDIF).

A hand-written token loop: on megabyte files it is an order of magnitude
faster than a grammar (measured; `DEVELOPERS.md`). Words may be bare or in
double quotes, where ``\\"`` and ``\\\\`` are escapes (not in EDIF); in a bare word a
backslash is a plain character.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from tracer.base.errors import NetlistError
from tracer.importers.text import Positions

__all__ = ["Expr", "parse_sexpr"]

#: Groups: 1 an opening bracket, 2 its head, 3 or 4 the one word behind that, in quotes or bare, where 5 closes the
#: bracket again; 6 a closing bracket; 7 a string; 8 a bare word; 9 what is none of these. Most lists of a netlist are
#: a head and a word: taken in one piece, they take half as long (measured).
_FORM = (
    r'\s*+(?:(\()(?:\s*+([^\s()"]++)(?:\s++(?:"(WORD)"|([^\s()"]++))\s*+(\)))?)?'
    r'|(\))|"(STRING)"|([^\s()"]++)|(\S))'
)
_TOKEN = re.compile(
    _FORM.replace("WORD", r'[^"\\\n]*+').replace("STRING", r'[^"\\]*+(?:\\.[^"\\]*+)*+'), re.DOTALL
)
_TOKEN_PLAIN = re.compile(_FORM.replace("WORD", r'[^"\n]*+').replace("STRING", r'[^"]*+'))
_ESCAPED = re.compile(r"\\(.)", re.DOTALL)
_ESCAPES = {"n": "\n", "t": "\t", "r": "\r"}

#: Deeper nesting than any CAD program writes (the deepest real file met had 14 levels).
DEEPEST = 400


class Expr(list["Expr | str"]):
    """A bracketed list; the first item is its head. `at` is its offset in the text."""

    __slots__ = ("at",)

    def __init__(self, at: int, items: Iterable[Expr | str] = ()) -> None:
        super().__init__(items)
        self.at = at

    @property
    def head(self) -> str:
        """The first word, or the empty string."""
        return self[0] if self and isinstance(self[0], str) else ""

    def all(self, head: str) -> Iterator[Expr]:
        """Every sub-list with this head."""
        for item in self:
            if type(item) is Expr and item and item[0] == head:
                yield item

    def first(self, head: str) -> Expr | None:
        """The first sub-list with this head."""
        for item in self:
            if type(item) is Expr and item and item[0] == head:
                return item
        return None

    def word(self, head: str, default: str = "") -> str:
        """The word after `head` in the first such sub-list: ``U4`` of ``(ref "U4")``."""
        found = self.first(head)
        return found[1] if found is not None and len(found) > 1 and isinstance(found[1], str) else default

    def facts(self) -> dict[str, str]:
        """Head -> word of every sub-list, each as `word` gives it; quicker where several are asked for."""
        found: dict[str, str] = {}
        for item in self:
            if type(item) is Expr and item:
                head = item[0]
                if type(head) is str and head not in found:
                    word = item[1] if len(item) > 1 else ""
                    found[head] = word if type(word) is str else ""
        return found

    def words(self) -> list[str]:
        """The bare words and strings after the head."""
        return [item for item in self[1:] if isinstance(item, str)]


def parse_sexpr(text: str, file: str, *, escapes: bool = True, any_case: bool = False) -> Expr:
    """Read one bracketed expression.

    Parameters
    ----------
    text, file : str
    escapes : bool
        Without, a backslash in a string is a plain character.
    any_case : bool
        Heads count in any case of letters, and are given in lower case.

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
    # One string for each word, however often it stands there: less memory, and quicker to look up later.
    once = dict[str, str]().setdefault
    heads: dict[str, str] = {}
    # Blanks behind the last token begin none: looked at from each of them, they would take quadratic time.
    end = len(text.rstrip())
    for match in (_TOKEN if escapes else _TOKEN_PLAIN).finditer(text, 0, end):
        kind = match.lastindex
        if kind == 5:
            head, quoted, bare = match.group(2, 3, 4)
            head = heads.get(head) or heads.setdefault(head, head.lower() if any_case else head)
            word = bare if quoted is None else quoted
            current.append(Expr(match.start(1), (head, once(word, word))))
        elif kind == 6:
            if not stack:
                if long_string is not None:
                    raise _open_string(positions, long_string)
                raise positions.error('this ")" closes nothing', match.start(6), "take it out")
            current = stack.pop()
        elif kind == 1 or kind == 2:
            opened = Expr(match.start(1))
            if kind == 2:
                head = match[2]
                opened.append(heads.get(head) or heads.setdefault(head, head.lower() if any_case else head))
            current.append(opened)
            stack.append(current)
            current = opened
            if len(stack) > DEEPEST:
                raise positions.error(
                    f"brackets are nested more than {DEEPEST} deep, which no board needs",
                    match.start(1),
                    "export the file again; this one is damaged",
                )
        elif kind == 7:
            word = match[7]
            if long_string is None and "\n" in word:
                long_string = match.start(7) - 1
            current.append(_ESCAPED.sub(_unescape, word) if escapes and "\\" in word else word)
        elif kind == 8:
            current.append(match[8])
        else:
            raise _open_string(positions, match.start(9) if long_string is None else long_string)
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
        raise positions.error(
            'a KiCad or EDIF file starts with "(", and there is none in this file',
            0,
            "leave --format out, so that the form is told by what the file holds",
        )
    if len(expressions) > 1:
        line, column = positions.line_column(expressions[0].at)
        raise positions.error(
            f"more follows here, though what begins at {line}:{column} is closed already",
            expressions[1].at,
            "take out a bracket too many above, or what follows; or export the file again",
        )
    return expressions[0]


def _open_string(positions: Positions, offset: int) -> NetlistError:
    return positions.error(
        "this string is never closed", offset, "close it with a double quote, or export again"
    )


def _unescape(match: re.Match[str]) -> str:
    return _ESCAPES.get(match[1], match[1])
