"""A board seen from above: its parts where they sit, as values."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from tracer.netlist.spots import Segment

__all__ = ["PlacePad", "PlaceView", "PlacedPart", "Side"]

Side = Literal["component side", "solder side"]


@dataclass(frozen=True, slots=True)
class PlacePad:
    """A leg where it meets the board; `colours` are those whose bits pass it, empty for a leg that is not probed."""

    pin: str
    x: float
    y: float
    colours: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PlacedPart:
    """A part.

    Attributes
    ----------
    part, what : str
        ``U13``, ``74LS273``.
    place : str
        ``8D``; empty where it has none.
    box : (float, float, float, float)
        Left, top, right, bottom, from the component side.
    pads : tuple of PlacePad
        Empty in a grid of places.
    colours : tuple of str
        Those that it carries; empty for a part beside the path.
    is_below : bool
        It sits on the solder side.
    role : {'chip', 'connector', 'stage', 'beside'}
    """

    part: str
    what: str
    place: str
    box: tuple[float, float, float, float]
    pads: tuple[PlacePad, ...]
    colours: tuple[str, ...]
    is_below: bool
    role: Literal["chip", "connector", "stage", "beside"]


@dataclass(frozen=True, slots=True)
class PlaceView:
    """All that is known of where parts sit.

    Attributes
    ----------
    board : str
    is_grid : bool
        Only places such as 7E are known: a cell a place, no distances.
    box : (float, float, float, float)
        Of the whole.
    outline : tuple of Segment
    parts : tuple of PlacedPart
        Those beside the path first.
    columns, rows : tuple of (str, float)
        Of a grid: each one's name and its middle.
    unplaced : tuple of str
        Chips of the path of which nothing is known.
    boards : tuple of (str, float)
        Of joined boards in a grid: each one's name, and where it begins.
    """

    board: str
    is_grid: bool
    box: tuple[float, float, float, float]
    outline: tuple[Segment, ...]
    parts: tuple[PlacedPart, ...]
    columns: tuple[tuple[str, float], ...] = ()
    rows: tuple[tuple[str, float], ...] = ()
    unplaced: tuple[str, ...] = ()
    boards: tuple[tuple[str, float], ...] = ()
