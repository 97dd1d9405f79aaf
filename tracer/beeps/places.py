"""How far apart two parts sit by their places on the grid that boards print: 7E is next to 8E and to 7F."""

from __future__ import annotations

import math
import re

__all__ = ["grid_distance", "grid_place"]

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


def grid_distance(a: str, b: str, scale: float) -> float:
    """1 for the same place, falling to 1/e at `scale` steps of the grid; 1 where a place is not known."""
    here, there = grid_place(a), grid_place(b)
    if here is None or there is None:
        return 1.0
    return math.exp(-math.hypot(here[0] - there[0], here[1] - there[1]) / scale)
