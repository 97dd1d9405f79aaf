"""TOML of the user's files: what is wrong with it, and where."""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_left
from typing import Any

from tracer.base.visible import visible

__all__ = ["TABLE_HEAD", "BadToml", "TomlPlaces", "load_toml"]

#: The head of a table of TOML, with its name.
TABLE_HEAD = re.compile(r'^\[\s*"?(?P<table>[^"\[\]]+?)"?\s*\]', re.MULTILINE)
_HEAD_OR_KEY = re.compile(rf'{TABLE_HEAD.pattern}|^[ \t]*"?(?P<key>[\w-]+)"?[ \t]*=', re.MULTILINE)


class BadToml(Exception):
    """Why a text is no TOML, and its line and column where they are known."""

    def __init__(self, what: str, line: int | None = None, column: int | None = None) -> None:
        super().__init__(what)
        self.what, self.line, self.column = what, line, column


def load_toml(text: str) -> dict[str, Any]:
    """The tables of a text; characters that cannot be seen stand in them as escapes.

    Raises
    ------
    BadToml
        It is no TOML, is nested deeper than Python's stack, or has a number of more than 4,300 digits.
    """
    try:
        found: dict[str, Any] = _shown(tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        message = str(error)
        at = re.search(r"\(at line (\d+), column (\d+)\)", message)
        place = (int(at[1]), int(at[2])) if at else (None, None)
        raise BadToml(message.split(" (at ")[0], *place) from None
    except RecursionError:
        raise BadToml("its brackets are nested too deep") from None
    except ValueError:
        raise BadToml("a number in it has too many digits") from None
    return found


class TomlPlaces:
    """In which line a table, a key in it, or an item of its list of inline tables stands, for messages.

    >>> places = TomlPlaces('["74x00"]\\nwhat = "NAND"\\nsections = [\\n  { out = "Y" },\\n]\\n')
    >>> [places.line("74x00"), places.line("74x00", "what"), places.line("74x00", "sections", 0)]
    [1, 2, 4]
    """

    def __init__(self, text: str) -> None:
        self._lines = [match.start() for match in re.finditer("\n", text)]
        self._braces = [match.start() for match in re.finditer("{", text)]
        self._starts: dict[tuple[str, str], int] = {}
        table = ""
        for match in _HEAD_OR_KEY.finditer(text):
            table = match["table"] or table
            self._starts.setdefault((table, match["key"] or ""), match.start())

    def line(self, table: str, key: str = "", item: int = -1) -> int | None:
        """The line, from 1, of an item (from 0) of a key of a table, as near as it is known; None if it is not."""
        start = self._starts.get((table, key), self._starts.get((table, "")))
        if start is None:
            return None
        if item >= 0 and (brace := bisect_left(self._braces, start) + item) < len(self._braces):
            start = self._braces[brace]
        return bisect_left(self._lines, start) + 1


def _shown(value: Any) -> Any:
    if isinstance(value, str):
        return visible(value)
    if isinstance(value, list):
        return [_shown(item) for item in value]
    if isinstance(value, dict):
        return {visible(key): _shown(item) for key, item in value.items()}
    return value
