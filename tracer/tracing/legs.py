"""Which inputs of a part a walk follows: of a multiplexer those that lead somewhere, of a shift register the word."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from tracer.base.findings import Finding, note
from tracer.bitmap.model import When
from tracer.circuit.graph import Circuit
from tracer.parts.identify import Identified
from tracer.parts.kinds import Kind
from tracer.parts.model import Arc
from tracer.tracing.cone import Cones

__all__ = ["Leg", "legs_followed"]


@dataclass(frozen=True, slots=True)
class Leg:
    """An input that is followed: its net, its arc, and what holds of the ways behind it.

    Attributes
    ----------
    net : str
    arc : Arc
    when : tuple of When
        The levels that choose it.
    is_choice : bool
        Others are chosen at other levels.
    only_stored : bool
        Ways that end at no memory are left out.
    """

    net: str
    arc: Arc
    when: tuple[When, ...] = ()
    is_choice: bool = False
    only_stored: bool = False


def legs_followed(
    circuit: Circuit, cones: Cones, part: Identified, live: Mapping[str, Arc]
) -> tuple[list[Leg], list[Finding]]:
    """The inputs to follow of those on the nets `live`, none of them tied, and which were left out."""
    selects = part.kind.selects or any(arc.when for arc in live.values())
    if part.kind == Kind.SHIFT_REGISTER:
        return _word(cones, part, live), []
    if selects and len(live) > 1:
        return _choices(circuit, cones, part, live)
    return [Leg(net, arc) for net, arc in live.items()], []


def _word(cones: Cones, part: Identified, live: Mapping[str, Arc]) -> list[Leg]:
    """A shift register: every parallel input shows in turn; a serial input only if it brings a stored bit."""
    legs = [
        Leg(net, arc, only_stored=part.type.by_number[arc.source].role == "serial_in")
        for net, arc in live.items()
    ]
    kept = [leg for leg in legs if not leg.only_stored or cones.behind(leg.net).stores]
    return kept or [replace(leg, only_stored=False) for leg in legs]


def _choices(
    circuit: Circuit, cones: Cones, part: Identified, live: Mapping[str, Arc]
) -> tuple[list[Leg], list[Finding]]:
    """Legs of a multiplexer: alternatives, each with the levels that choose it."""
    reference = part.part.reference
    driven = {net: arc for net, arc in live.items() if not cones.behind(net).is_open}
    unused = [f"{reference}.{arc.source}" for net, arc in live.items() if net not in driven]
    findings = [note("unused-leg", f"{where} leads to nothing and was left out", where) for where in unused]
    if len(driven) < 2:
        return [Leg(net, arc) for net, arc in (driven or live).items()], findings
    found = [
        Leg(
            net,
            arc,
            is_choice=True,
            when=tuple(
                When(reference, p, part.type.by_number[p].name, level)
                for p, level in arc.when
                if circuit.tied_level(circuit.net_of(reference, p)) is None
            ),
        )
        for net, arc in driven.items()
    ]
    # Legs with a stored bit first: they are what a repairer looks for.
    return sorted(found, key=lambda leg: not cones.behind(leg.net).stores), findings
