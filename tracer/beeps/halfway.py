"""The one door to this room: a board half-way, its map so far, and what to touch next."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from tracer.base.toml_numbers import NumberTables
from tracer.beeps.advice import advice_of
from tracer.beeps.bench import set_up
from tracer.beeps.choice import Search, look, open_ends
from tracer.beeps.values import TouchAdvice
from tracer.beeps.weights import load_wiring
from tracer.bitmap.model import BitMap
from tracer.netlist.board import Netlist, PinRef
from tracer.parts.library import Library, load_library
from tracer.tracing.pipeline import trace

__all__ = ["Halfway", "advise", "look_halfway"]


@dataclass(frozen=True)
class Halfway:
    """A board half-way: what is searched, the map that is known already, and what a person is told."""

    search: Search
    bit_map: BitMap
    advice: TouchAdvice

    @property
    def is_closed(self) -> bool:
        """Whether no touch is left, every bit ends at a memory pin, and nothing was given up."""
        is_whole = self.bit_map.is_complete and not open_ends(self.search, self.bit_map)
        return self.search.choice is None and is_whole


def advise(
    netlist: Netlist,
    library: Library | None = None,
    numbers: NumberTables | None = None,
    *,
    pins: Mapping[str, str] | None = None,
) -> TouchAdvice:
    """Say what to touch next on a board that is not fully known.

    Parameters
    ----------
    netlist : Netlist
        From bench notes: parts, and the beeps so far.
    library : Library, optional
        Part types; the program's own when left out.
    numbers : NumberTables, optional
        How boards are wired, from `tracer.beeps.weights.load_wiring`.
    pins : mapping of str to str, optional
        Colour -> ``REF.PIN``, where the notes do not tell.

    Raises
    ------
    ColourPinError, PinNotFoundError
        The colour pins are not told and no connector's standard tells them, or one does not exist.
    """
    return look_halfway(netlist, library or load_library(), numbers or load_wiring(), pins).advice


def look_halfway(
    netlist: Netlist,
    library: Library,
    numbers: NumberTables,
    told: Mapping[str, str] | None = None,
    skipped: Collection[tuple[PinRef, PinRef]] = (),
) -> Halfway:
    """See how far a board is known; `skipped` pairs of legs are not asked for. Errors as in `advise`."""
    search = look(set_up(netlist, library, told), numbers, skipped)
    pins = {colour: str(pin) for colour, pin in search.bench.colours.items()}
    bit_map = trace(netlist, library, pins=pins)
    return Halfway(search, bit_map, advice_of(search, bit_map, numbers))
