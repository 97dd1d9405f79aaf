"""Places on the grid that boards print: 7E is next to 8E and to 7F."""

from __future__ import annotations

import re

__all__ = ["grid_place"]

_PLACE = re.compile(
    r"(?:(?P<n1>\d{1,2})(?P<l1>[A-Z])|(?P<l2>[A-Z])(?P<n2>\d{1,2}))(?:\d|[A-Z])?", re.IGNORECASE
)


def grid_place(place: str) -> tuple[int, int] | None:
    """Column and row of a place such as ``7E`` or ``E7``, or None.

    >>> grid_place("7E"), grid_place("e12"), grid_place("by the fan")
    ((7, 4), (12, 4), None)
    """
    match = _PLACE.fullmatch(place.strip())
    if not match:
        return None
    letter, number = (match["l1"], match["n1"]) if match["l1"] else (match["l2"], match["n2"])
    return int(number), ord(letter.upper()) - ord("A")
