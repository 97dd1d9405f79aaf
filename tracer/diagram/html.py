"""Graphviz HTML-like labels: texts without mark-up of their own, cells and rows.

Every text from a file passes `text`: control characters are replaced and
mark-up is escaped, so that no name can close a cell or open a tag.
"""

from __future__ import annotations

import html
import re
import textwrap

from tracer.base.names import readable_name
from tracer.base.text import clean

__all__ = ["cell", "font", "levelled", "name_text", "row", "shorten", "table", "text", "wrapped"]


def text(words: str) -> str:
    """Text for a label, in which nothing is taken as mark-up.

    >>> text('<B>&"')
    '&lt;B&gt;&amp;&quot;'
    """
    # The last two of the basic plane are no characters, and XML takes them for errors.
    return html.escape(clean(words).translate({0xFFFE: "?", 0xFFFF: "?"}))


def name_text(name: str, width: int) -> str:
    """A leg's or net's name as a person would write it, shortened in the middle.

    >>> name_text("/~{BLANK}", 20), name_text("/{slash}BLANK", 20), name_text("/cpu/R{slash}~{W}", 20)
    ('/BLANK', '/BLANK', '/cpu/R//W')
    """
    # On the top sheet an active-low name would get two slashes, one of them for the sheet.
    return text(shorten(re.sub(r"^//", "/", readable_name(name)), width))


def shorten(words: str, width: int) -> str:
    """Text of at most `width` letters; what is left out stood where the three points are.

    >>> shorten("a_net_with_a_very_long_name_3", 15)
    'a_net_...name_3'
    """
    if len(words) <= width:
        return words
    head = (width - 3) // 2
    return f"{words[:head]}...{words[len(words) - (width - 3 - head) :]}"


def wrapped(sentence: str, width: int) -> str:
    """A sentence in lines of at most `width` letters, aligned left."""
    lines = textwrap.wrap(clean(sentence), width, break_on_hyphens=False) or [""]
    return "".join(f'{text(line)}<BR ALIGN="LEFT"/>' for line in lines)


def font(words: str, *, size: int | None = None, colour: str = "", bold: bool = False) -> str:
    """Escaped text in a size (points), colour or weight; nothing stays nothing, which Graphviz wants untagged."""
    if not words:
        return ""
    words = f"<B>{words}</B>" if bold else words
    size_word = f' POINT-SIZE="{size}"' if size else ""
    colour_word = f' COLOR="{colour}"' if colour else ""
    return f"<FONT{size_word}{colour_word}>{words}</FONT>" if size or colour else words


def levelled(words: str) -> str:
    """Plain text that stands level with bold text beside it.

    Graphviz places a cell of one plain text a little lower than a cell with fonts in it; a bold blank makes it one.
    """
    return f"<B> </B>{words}"


def cell(content: str, **attributes: str | int) -> str:
    """A table cell of escaped text; it may be empty."""
    words = "".join(f' {key.upper()}="{value}"' for key, value in attributes.items() if value != "")
    return f"<TD{words}>{content}</TD>"


def row(*cells: str) -> str:
    """A table row."""
    return f"<TR>{''.join(cells)}</TR>"


def table(*rows: str, **attributes: str | int) -> str:
    """A table; cells have no border of their own unless told."""
    own: dict[str, str | int] = {"border": 0, "cellborder": 0, "cellspacing": 0, **attributes}
    words = "".join(f' {key.upper()}="{value}"' for key, value in own.items())
    return f"<TABLE{words}>{''.join(rows)}</TABLE>"
