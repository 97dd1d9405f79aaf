"""Bridges of solder between two legs side by side: of the bits, or of the palette's address lines."""

from __future__ import annotations

from collections.abc import Iterator

from tracer.base.names import natural_key
from tracer.suspects.fault import AddressFault, Effect, Fault, Place
from tracer.suspects.hits import BitId, by_bit
from tracer.suspects.index_faults import IndexNet, index_nets
from tracer.suspects.path_legs import LegKey, PathLegs

__all__ = ["bridges", "joined_tracks"]


def bridges(legs: PathLegs) -> list[tuple[LegKey, LegKey, Effect]]:
    """Legs side by side on nets of their own, and what a bridge between them does; each pair of nets once."""
    circuit = legs.circuit
    bits: dict[str, BitId] = {}
    for (part, pin), uses in legs.uses.items():
        net = circuit.net_of(part, pin)
        if net is not None:
            bits.setdefault(net, (uses[0][0].colour, uses[0][0].bit))
    lines = {net.net: net for net in index_nets(legs)}
    found: dict[frozenset[str], tuple[LegKey, LegKey, Effect]] = {}
    for part in legs.chips:
        numbers = sorted(circuit.netlist.pins_of_parts.get(part, ()), key=natural_key)
        for pin in (n for n in numbers if n.isdecimal()):
            a, b = (part, pin), (part, str(int(pin) + 1))
            nets = circuit.net_of(*a), circuit.net_of(*b)
            if nets[0] is None or nets[1] is None or nets[0] == nets[1]:
                continue
            effect = _effect(legs, a, b, bits, lines)
            if effect is not None:
                found.setdefault(frozenset((nets[0], nets[1])), (a, b, effect))
    return list(found.values())


def _effect(
    legs: PathLegs, a: LegKey, b: LegKey, bits: dict[str, BitId], lines: dict[str, IndexNet]
) -> Effect | None:
    net, other = (legs.circuit.net_of(*key) or "" for key in (a, b))
    if net in bits and other in bits and bits[net] != bits[other]:
        return Effect(tied=(bits[net], bits[other]))
    inputs = [key for key in (a, b) if key in legs.uses and not legs.is_output(key)]
    if net in bits and other in bits and inputs:
        # An output joined to its own input: once low it keeps itself low, as a TTL low wins (common practice, no source).
        return Effect(by_bit(legs.shorted(inputs[:1], 0)))
    if net in lines and other in lines:
        first, second = lines[net], lines[other]
        memories = tuple(dict.fromkeys((*first.memories, *second.memories)))
        return Effect(memories=memories, address=AddressFault(joined=(first.line, second.line)))
    return None


def joined_tracks(legs: PathLegs, share: float) -> Iterator[Fault]:
    """The bridges as faults."""
    found = bridges(legs)
    for a, b, effect in found:
        ends = tuple(".".join(key) for key in (a, b))
        yield Fault("track", "joined", a[0], Place(ends), legs.legs((a, b)), effect, prior=share / len(found))
