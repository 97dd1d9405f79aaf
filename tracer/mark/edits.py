"""Changes of an s-expression's text at the places of its clauses; every other letter stays where it is.

kicad-skip can write schematics too, but lays the whole file out anew, and opens it before it has the text: what fails
then leaves an empty file. An edit knows what it takes out, so that it can be taken back.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple

from tracer.importers.sexpr import Expr

__all__ = ["Edit", "applied", "end_of", "set_clause", "undone"]

_BRACKET_OR_STRING = re.compile(r'[()]|"[^"\\]*+(?:\\.[^"\\]*+)*+"', re.DOTALL)


class Edit(NamedTuple):
    """At an offset of the text, `old` becomes `new`."""

    at: int
    old: str
    new: str


def applied(text: str, edits: Iterable[Edit]) -> str:
    """The text with all edits; no two of them overlap."""
    pieces, here = [], 0
    for edit in sorted(edits):
        pieces += [text[here : edit.at], edit.new]
        here = edit.at + len(edit.old)
    return "".join([*pieces, text[here:]])


def undone(text: str, edits: Iterable[Edit]) -> str:
    """The text that `applied` made this one of."""
    moved, back = 0, []
    for edit in sorted(edits):
        back.append(Edit(edit.at + moved, edit.new, edit.old))
        moved += len(edit.new) - len(edit.old)
    return applied(text, back)


def end_of(text: str, clause: Expr) -> int:
    """The offset behind the bracket that closes a clause."""
    depth = 0
    for match in _BRACKET_OR_STRING.finditer(text, clause.at):
        if match[0] == "(":
            depth += 1
        elif match[0] == ")":
            depth -= 1
            if depth == 0:
                return match.end()
    return len(text)


def set_clause(text: str, inside: Expr, head: str, new: str) -> Edit:
    """Make a clause's sub-clause of this head `new`; where it has none, `new` is put in at its end."""
    found = inside.first(head)
    if found is None:
        return Edit(_last_letter(text, inside), "", f" {new}")
    return Edit(found.at, text[found.at : end_of(text, found)], new)


def _last_letter(text: str, clause: Expr) -> int:
    """The offset behind the last word of a clause: before the blanks that lead to its bracket."""
    return len(text[: end_of(text, clause) - 1].rstrip())
