"""What a card says of the board beside the path: supplies, clocks, and which parts can take the place of others."""

from __future__ import annotations

import re

from tracer.base.names import last_part, natural_key, readable_name
from tracer.card.stage_legs import stage_transistors
from tracer.card.values import Clock, PartDonors, Supply
from tracer.circuit.donors import donors_of
from tracer.circuit.graph import Circuit
from tracer.netlist.pins import PinRef
from tracer.parts.drawn_rules import reference_letters
from tracer.parts.equivalents import is_programmed
from tracer.parts.identify import Identified
from tracer.parts.kinds import Kind
from tracer.tracing.pipeline import Traced

__all__ = ["clocks_of", "path_donors", "supplies_of"]

#: ``8.000MHz``, ``14.31818M``, ``32.768 kHz``: a marking that is a frequency.
_FREQUENCY = re.compile(r"\d+(?:[.,]\d+)?\s*(?:[MK]HZ|M)", re.IGNORECASE)
#: Symbols and land patterns of what makes a clock, and letters of references that stand for it (IEEE 315).
_OSCILLATES = re.compile(r"CRYSTAL|XTAL|OSCILLATOR|(?<![A-Z])X?OSC(?![A-Z])", re.IGNORECASE)
_LETTERS = frozenset({"Y", "XTAL", "OSC"})
#: What a part that the library knows better than that cannot be.
_MAY_OSCILLATE = frozenset({Kind.UNKNOWN, Kind.OTHER, Kind.CONNECTOR})


def supplies_of(circuit: Circuit) -> tuple[Supply, ...]:
    """The supplies, ground left out, each with a pin of a connector to measure it at, else a chip's supply leg."""
    found: dict[str, Supply] = {}
    for net, rail in sorted(circuit.rails.items(), key=lambda item: natural_key(item[0])):
        if rail.is_ground:
            continue
        name = readable_name(last_part(net.rsplit(":", 1)[-1]))
        pins = sorted(circuit.parts_on(net), key=_easy_to_reach)
        found.setdefault(name, Supply(name, rail.volts, str(pins[0][0]) if pins else ""))
    return tuple(found.values())


def _easy_to_reach(at: tuple[PinRef, Identified]) -> tuple[bool, bool, object]:
    """Connectors first, then supply legs of chips."""
    pin, known = at
    leg = known.type.by_number.get(pin.pin)
    return known.kind != Kind.CONNECTOR, leg is None or leg.direction != "power", natural_key(str(pin))


def clocks_of(circuit: Circuit) -> tuple[Clock, ...]:
    """Crystals and oscillators, by their marking, symbol, land pattern or the letters of their reference."""
    return tuple(
        Clock(name, known.part.marking, known.part.place)
        for name, known in sorted(circuit.identified.items(), key=lambda item: natural_key(item[0]))
        if known.part.marking and _is_clock(known)
    )


def _is_clock(known: Identified) -> bool:
    part = known.part
    if known.kind not in _MAY_OSCILLATE or not part.fitted:
        return False
    oscillates = any(_OSCILLATES.search(drawn) for drawn in (part.symbol, part.footprint))
    letters = reference_letters(part.reference.rsplit(":", 1)[-1]).upper()
    return bool(_FREQUENCY.fullmatch(part.marking.strip()) or oscillates or letters in _LETTERS)


def path_donors(traced: Traced) -> tuple[PartDonors, ...]:
    """What can take the place of each chip of the path and of each transistor of its stages."""
    chips = [c.part for c in traced.bit_map.chips if c.is_on_path]
    parts = [*chips, *stage_transistors(traced)]
    circuit, found = traced.circuit, []
    for part in parts:
        known = circuit.identified.get(part)
        if known is not None and known.kind != Kind.CONNECTOR:
            donors = donors_of(circuit, part, set(parts))
            found.append(PartDonors(part, known.sold_as, known.part.place, donors, is_programmed(known.kind)))
    return tuple(found)
