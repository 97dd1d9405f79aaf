"""Nets of an output stage that hold a voltage of their own: supplies that no name tells, and biased nets."""

from __future__ import annotations

from tracer.base.findings import Finding, note
from tracer.circuit.graph import Circuit
from tracer.parts.kinds import Kind

__all__ = ["GUESSED_VOLTS", "biased_volts", "supply_by_shape"]

#: A capacitor of this much to a rail makes its net stand still. Common practice, no source.
BYPASS_FARAD = 90e-9
#: A net with more pins than this and no driver is a supply, whatever it is called.
CROWDED_NET = 24
#: What a supply holds of which nothing but its shape is known: that of logic.
GUESSED_VOLTS = 5.0


def supply_by_shape(circuit: Circuit, net: str) -> Finding | None:
    """That a net without a driver was taken as a supply, and why; None where its shape does not tell so."""
    if circuit.drivers_of(net):
        return None
    pins = circuit.pins_on(net)
    # A bypassed emitter stands still too, but where it does the transistor decides.
    if any(part.kind == Kind.TRANSISTOR for _, part in circuit.parts_on(net)):
        return None
    bypassed = any(
        part.kind == Kind.CAPACITOR
        and (part.farad or 0.0) >= BYPASS_FARAD
        and any(other in circuit.rails for other in circuit.nets_beside(pin))
        for pin, part in circuit.parts_on(net)
    )
    if not bypassed and len(pins) <= CROWDED_NET:
        return None
    why = "it is bypassed" if bypassed else f"it has {len(pins)} pins"
    return note("guessed-supply", f"net {net} was taken as a supply: {why} and no output drives it", net)


def biased_volts(circuit: Circuit, net: str) -> float | None:
    """What a net without a driver holds that resistors pull towards both a supply and ground; None for any other.

    Where several colours meet at such a net it is the input of a mixer (composite or monochrome video), not a way back.
    """
    if net in circuit.rails or circuit.drivers_of(net):
        return None
    pulls = [
        (circuit.rails[other].volts, 1.0 / arc.ohm)
        for other, _, arc in circuit.series_neighbours(net)
        if other in circuit.rails and arc.ohm
    ]
    if len({volts > 0.0 for volts, _ in pulls}) < 2:
        return None
    return sum(volts * siemens for volts, siemens in pulls) / sum(siemens for _, siemens in pulls)
