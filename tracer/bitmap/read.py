"""A saved map (format ``rgbroots-map``, version 1) -> `BitMap`.

Everything that was saved comes back; what is wrong with a file is said with the place in it
(``map.colours.red.bits[0].weight``).
"""

from __future__ import annotations

import json
from typing import cast

from tracer.base.errors import MapError
from tracer.bitmap.json import MAP
from tracer.bitmap.model import BitMap
from tracer.bitmap.older import fill_in

__all__ = ["read_map"]


def read_map(text: str, file: str = "map.json") -> BitMap:
    """Read the text of a saved map; `file` is what it is called in messages.

    Raises
    ------
    MapError
        Not JSON, another format, another version, or a value missing or of the wrong type.
    """
    try:
        value = json.loads(text)
    except json.JSONDecodeError as error:
        raise MapError(
            f"this is no JSON file: {error.msg}",
            file=file,
            line=error.lineno,
            column=error.colno,
            fix="save the map again",
        ) from None
    except RecursionError:
        raise MapError("its brackets are nested too deep", file=file, fix="save the map again") from None
    except ValueError:
        raise MapError("a number in it has too many digits", file=file, fix="save the map again") from None
    if not isinstance(value, dict) or value.get("format") != MAP.format:
        raise MapError(
            f"this is no {MAP.format} file", file=file, fix="save a map with `rgbroots trace BOARD --json`"
        )
    if value.get("version") != MAP.version:
        raise MapError(
            f"this map is of version {value.get('version')!r}; version {MAP.version} is read",
            file=file,
            fix="trace the board again with this program",
        )
    fill_in(value)
    return cast(BitMap, MAP.read(value, file))
