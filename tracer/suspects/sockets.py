"""Which parts sit in sockets: as told, else as boards of the time were built; and what a swap costs there."""

from __future__ import annotations

from collections.abc import Mapping

from tracer.parts.kinds import Kind
from tracer.suspects.priors import Priors
from tracer.tracing.pipeline import Traced

__all__ = ["is_socketed", "swap_minutes"]

#: Memories that are programmed sit in sockets at any size, others from so many legs on: guess, see `faults.toml`.
_PROGRAMMED = frozenset({Kind.ROM, Kind.PROM, Kind.EPROM})
_LEGS_OF_SOCKETED_RAM = 24


def is_socketed(traced: Traced, part: str, told: Mapping[str, bool]) -> bool:
    """Whether a part sits in a socket."""
    noted = dict(traced.circuit.netlist.notes.sockets)
    known = {**noted, **told}.get(part)
    if known is not None:
        return known
    identified = traced.circuit.identified.get(part)
    if identified is None:
        return False
    return identified.kind in _PROGRAMMED or (
        identified.kind == Kind.RAM and len(identified.type.pins) >= _LEGS_OF_SOCKETED_RAM
    )


def swap_minutes(traced: Traced, part: str, told: Mapping[str, bool], priors: Priors) -> float:
    """Minutes that another chip in its place takes."""
    return priors("minutes", "swap" if is_socketed(traced, part, told) else "swap_soldered")
