r"""Plain forms of letters and signs that a stream cannot hold.

A pipe or file on Windows has a code page (cp1252, cp850, cp437), an old terminal ASCII: what such a stream lacks is
written in the letters that every one has, never as a question mark, which would read as doubt. JSON and XML have escapes of
their own, so that their data is the same on every stream.
"""

from __future__ import annotations

import codecs
import io
import re
import sys
import unicodedata
from contextlib import suppress
from typing import Literal

__all__ = ["PLAIN", "plain", "write_what_streams_hold"]

#: Names of the ways to write what a stream lacks: as `codecs` knows them.
PLAIN, _ESCAPED = "rgbroots-plain", "rgbroots-escaped"
#: Form of an output -> the way to write in it what a stream lacks.
_ERRORS = {"text": PLAIN, "json": _ESCAPED, "xml": "xmlcharrefreplace"}
#: Signs -> how they are typed where a keyboard lacks them. Bars keep their length: a full block, most of one, a part.
_SIGNS = str.maketrans(
    {
        "\u2588": "#", **dict.fromkeys("\u2589\u258a\u258b\u258c\u2593", "="), **dict.fromkeys("\u258d\u258e\u258f\u2591\u2592", "-"),
        **dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2015\u2212\u2500\u2501\u2550", "-"), **dict.fromkeys("\u2502\u2503\u2551", "|"),
        **dict.fromkeys("\u2018\u2019\u201a\u2032", "'"), **dict.fromkeys("\u201c\u201d\u201e\u00ab\u00bb\u2033", '"'),
        "\u2026": "...", "\u2022": "*", "\u00b7": ".", "\u00d7": "x", "\u00f7": "/", "\u00b1": "+-", "\u2264": "<=", "\u2265": ">=",
        "\u2260": "!=", "\u2248": "~", "\u2190": "<-", "\u2192": "->", "\u00b5": "u", "\u03bc": "u", "\u2126": "ohm", "\u03a9": "ohm",
        "\u00b0": " deg", "\u20ac": "EUR", "\u00df": "ss", "\u00d8": "O", "\u00f8": "o", "\u00c6": "AE", "\u00e6": "ae",
        "\u0152": "OE", "\u0153": "oe", "\u0141": "L", "\u0142": "l", "\u0110": "D", "\u0111": "d",
    }
)  # fmt: skip
#: Cyrillic letters as Soviet chips are written in Latin ones: K155LA3.
_LATIN = str.maketrans(
    "АБВГДЕЗИКЛМНОПРСТУФЫЭабвгдезиклмнопрстуфыэ", "ABVGDEZIKLMNOPRSTUFYEabvgdeziklmnoprstufye"
)
#: Corners and crossings of lines.
_BOXES = re.compile("[\u2500-\u257f]")


def plain(text: str) -> str:
    r"""The text in ASCII: signs and bars in a plain form, letters without their marks, what has none as its code.

    >>> plain("4,7 µF ±5 %, 220 Ω … \u2588\u2588\u258d"), plain("К155ЛА3 Grün"), plain("\u9ed2")
    ('4,7 uF +-5 %, 220 ohm ... ##-', 'K155LA3 Grun', '\\u9ed2')
    """
    return "".join(c if c.isascii() else _plain_one(c) for c in text)


def _plain_one(character: str) -> str:
    if 0xD800 <= ord(character) < 0xE000:
        # Half a character: from the name of a file in another encoding.
        return f"\\u{ord(character):04x}"
    found = character.translate(_SIGNS)
    if found == character and _BOXES.match(character):
        return "+"
    if found == character:
        # What an accent stands on, the letters of a ligature, the figure of a power.
        found = "".join(c for c in unicodedata.normalize("NFKD", character) if not unicodedata.combining(c))
    found = found.translate(_LATIN)
    return found if found.isascii() and found else character.encode("unicode_escape").decode("ascii")


def _json_escapes(text: str) -> str:
    """As RFC 8259, section 7, escapes a character: by the code units that UTF-16 has for it."""
    units = text.encode("utf-16-be", "surrogatepass").hex()
    return "".join(f"\\u{units[i : i + 4]}" for i in range(0, len(units), 4))


def _in_plain(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return plain(error.object[error.start : error.end]), error.end


def _in_escapes(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return _json_escapes(error.object[error.start : error.end]), error.end


codecs.register_error(PLAIN, _in_plain)
codecs.register_error(_ESCAPED, _in_escapes)


def write_what_streams_hold(form: Literal["text", "json", "xml"] = "text") -> None:
    """From now on standard output and error take any text, and an answer that is typed in any bytes can be read.

    Parameters
    ----------
    form : {'text', 'json', 'xml'}
        Of what comes. JSON and XML go out as ASCII with their own escapes where the stream is not of Unicode: whatever
        reads them would else have to know the code page.
    """
    if isinstance(sys.stderr, io.TextIOWrapper):
        sys.stderr.reconfigure(errors=PLAIN)
    if isinstance(sys.stdout, io.TextIOWrapper):
        is_unicode = codecs.lookup(sys.stdout.encoding).name.startswith("utf")
        if form == "text" or is_unicode:
            sys.stdout.reconfigure(errors=_ERRORS[form])
        else:
            sys.stdout.reconfigure(encoding="ascii", errors=_ERRORS[form])
    if isinstance(sys.stdin, io.TextIOWrapper):
        # One that was read from cannot be changed any more.
        with suppress(io.UnsupportedOperation):
            sys.stdin.reconfigure(errors="backslashreplace")
