"""How a rehearsed search went: a value for outputs."""

from __future__ import annotations

from dataclasses import dataclass, field

from tracer.bitmap.model import BitMap

__all__ = ["Rehearsed"]


@dataclass(frozen=True)
class Rehearsed:
    """One search played to its end.

    Attributes
    ----------
    touches, connections : int
        Touches used; connections that the map consists of.
    plain_touches, plain_knowing : int
        Touches of a plain sweep by someone who knows as much; and by someone who knows which chips are in the path.
    entropy_bits : float
        log2 of the number of maps that fit the part list.
    map_right : bool
        Whether the map that came out is the board's.
    misread : int
        Touches that were misread on purpose.
    located, parts : int
        Parts of which the search knew where they sit, of how many.
    stopped : tuple of str
        Open ends for which nothing was found.
    by_kind : dict of str to int
        Plain touches by kind of connection.
    map : BitMap or None
        What the beeps gave.
    """

    board: str
    touches: int
    connections: int
    plain_touches: int
    plain_knowing: int
    entropy_bits: float
    map_right: bool
    misread: int = 0
    located: int = 0
    parts: int = 0
    stopped: tuple[str, ...] = ()
    by_kind: dict[str, int] = field(default_factory=dict)
    map: BitMap | None = None
