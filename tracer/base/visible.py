r"""Characters that no reader sees but a terminal obeys: shown as escapes, such as ``\x1b``.

Control characters (C0, DEL and C1: ECMA-48), the marks that turn the direction of writing (Unicode Standard Annex #9,
section 2; they can make a name read as another), separators of lines and paragraphs, halves of characters, and the two
code points that XML 1.0 (section 2.2) forbids besides. Blanks of any width and letters of any script stay.
"""

from __future__ import annotations

import re

__all__ = ["UNSEEN", "shortened", "visible"]

#: One character of that kind.
UNSEEN = re.compile(
    "[\x00-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff\ufffe\uffff]"
)


def visible(text: str, keep: str = "") -> str:
    r"""The text with escapes for what is unseen; characters of `keep` stay.

    >>> visible("\x1b[2JRED\n")
    '\\x1b[2JRED\\n'
    >>> visible("a\tb\n", keep="\n")
    'a\\tb\n'
    """
    if text.isprintable() or not UNSEEN.search(text):
        return text
    return UNSEEN.sub(lambda m: m[0] if m[0] in keep else _escape(m[0]), text)


def _escape(character: str) -> str:
    return character.encode("unicode_escape").decode("ascii")


def shortened(text: str, longest: int) -> str:
    """The text, with its middle left out where it is longer.

    >>> shortened("0123456789", 7)
    '012 ... 789'
    """
    half = longest // 2
    return text if len(text) <= longest else f"{text[:half]} ... {text[-half:]}"
