"""References on a card: of joined boards (``main:U16``) the board is said once, until it changes."""

from __future__ import annotations

from collections.abc import Iterable

__all__ = ["board_of", "said_once"]


def board_of(part: str) -> str:
    """The board's name with its colon; empty where boards are not joined.

    >>> board_of("main:U16"), board_of("U16")
    ('main:', '')
    """
    return part.rpartition(":")[0] + ":" if ":" in part else ""


def said_once(parts: Iterable[str]) -> list[str]:
    """References to be read one after the other.

    >>> said_once(["main:U16", "main:U17", "video:U1"])
    ['main:U16', 'U17', 'video:U1']
    """
    said, board = [], None
    for part in parts:
        own = board_of(part)
        said.append(part.removeprefix(own) if own == board else part)
        board = own
    return said
