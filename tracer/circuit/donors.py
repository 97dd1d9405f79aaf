"""Which other places of a board hold a part that can take another's place: what a swap can be tried with."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass

from tracer.circuit.graph import Circuit
from tracer.parts.equivalents import can_replace

__all__ = ["Donor", "donors_of"]


@dataclass(frozen=True, slots=True)
class Donor:
    """A part that can take another's place.

    Attributes
    ----------
    part, what : str
        ``U21``, ``74LS374``.
    place : str
        Where it sits; empty where that is not known.
    is_same : bool
        Of the same type and family.
    in_socket : bool or None
        None where nobody told.
    is_on_path : bool
        Bits of the colours pass it too: after an exchange the fault shows where it went.
    """

    part: str
    what: str
    place: str
    is_same: bool
    in_socket: bool | None = None
    is_on_path: bool = False


def donors_of(circuit: Circuit, part: str, path: Container[str] = ()) -> tuple[Donor, ...]:
    """The parts that can take the place of one: those beside the path first, of these its own type, of these in a socket.

    Parameters
    ----------
    circuit : Circuit
    part : str
    path : container of str
        The parts that bits of the colours pass.
    """
    own = circuit.identified.get(part)
    if own is None:
        return ()
    sockets = dict(circuit.netlist.notes.sockets)
    found = [
        Donor(
            name,
            other.sold_as,
            other.part.place,
            other.sold_as == own.sold_as,
            sockets.get(name),
            name in path,
        )
        for name, other in circuit.identified.items()
        if name != part and can_replace(own, other)
    ]
    return tuple(sorted(found, key=lambda d: (d.is_on_path, not d.is_same, d.in_socket is not True)))
