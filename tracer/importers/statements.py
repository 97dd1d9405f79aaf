"""Formats of lines and blocks: a grammar cuts the text into statements, a reader takes them up one by one.

The grammars of these formats are written to statements (a line, a block), not
to words: what stands inside a statement is split in Python, which is several
times faster than a token a word (measured on lists of 20,000 pins). A grammar
says which statement may follow which, and messages are made from that.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import cast

from lark import Token
from lark.exceptions import UnexpectedCharacters, UnexpectedInput, UnexpectedToken

from tracer.base.errors import NetlistError
from tracer.importers.grammar import load_grammar
from tracer.importers.text import Positions

__all__ = ["read_statements"]

#: Longest piece of a statement that a message repeats.
_SHOWN = 32


def read_statements(grammar: str, positions: Positions, wanted: Mapping[str, str]) -> list[Token]:
    """The statements of a text, in order; the type of each is its terminal in the grammar.

    Parameters
    ----------
    grammar : str
        Name of the grammar; its start rule is flat (statements only).
    positions : Positions
        The text and its file.
    wanted : mapping
        Terminal -> what it is called in messages.

    Raises
    ------
    NetlistError
        A statement where none of its kind may stand, or an end where more must follow.
    """
    try:
        tree = load_grammar(grammar).parse(positions.text)
    except UnexpectedInput as error:
        if isinstance(error, UnexpectedToken):
            at_end, expected = error.token.type == "$END", error.expected
        else:
            at_end, expected = False, cast(UnexpectedCharacters, error).allowed or set()
        names = [wanted[terminal] for terminal in wanted if terminal in expected]
        offset = len(positions.text.rstrip()) if at_end else error.pos_in_stream or 0
        raise _unexpected(positions, offset, at_end, list(dict.fromkeys(names))) from None
    return [child for child in tree.children if isinstance(child, Token)]


def _unexpected(positions: Positions, offset: int, at_end: bool, names: list[str]) -> NetlistError:
    may = " or ".join(names)
    if at_end:
        return positions.error(
            f"the file ends where {may} would have to stand",
            offset,
            "it may be cut short: export it again",
        )
    if positions.text.startswith("{", offset):
        return positions.error("the comment that begins here is never closed", offset, "close it with }")
    shown = positions.text[offset : offset + _SHOWN].split("\n")[0].strip()
    return positions.error(
        f"{shown!r} cannot stand here".replace("'", '"')
        if "'" not in shown
        else f"{shown} cannot stand here",
        offset,
        f"here may stand {may}; correct the line or export the file again"
        if names
        else "nothing may stand behind the end: take the line away or export the file again",
    )
