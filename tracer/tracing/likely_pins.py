"""Which pins could carry the colours of a board on which none were found."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from tracer.base.names import natural_key
from tracer.circuit.graph import Circuit

__all__ = ["likely_pins"]

#: Candidates that a message names.
_MOST_NAMED = 6


def likely_pins(circuit: Circuit, n_drivers: Callable[[str], int]) -> str:
    """The likeliest pins and why, else the connectors: the end of a message, so that the user knows what to tell.

    `n_drivers` tells how many drivers the output stage of a net has.
    """
    ranked = sorted(_candidates(circuit, n_drivers), key=lambda c: (-c[0], -c[1]))
    if ranked:
        return ". The likeliest pins are: " + "; ".join(text for _, _, text in ranked[:_MOST_NAMED])
    names = [
        f"{r} ({circuit.identified[r].part.marking or circuit.identified[r].part.symbol})".replace(" ()", "")
        for r in circuit.connectors()
    ]
    return f". The connectors are: {', '.join(names[:12])}" if names else ". The drawing shows no connector"


def _candidates(circuit: Circuit, n_drivers: Callable[[str], int]) -> Iterator[tuple[int, int, str]]:
    """Connector pins at which outputs or resistors meet: how many outputs, how many resistors, in words."""
    for reference in circuit.connectors():
        for number in circuit.netlist.pins_of_parts[reference]:
            for net in circuit.nets_of(reference, number):
                if net in circuit.rails:
                    continue
                resistors = {
                    part
                    for other, part, _ in circuit.series_neighbours(net)
                    if other not in circuit.rails and circuit.identified[part].kind.startswith("resistor")
                }
                outputs = n_drivers(net)
                if len(resistors) >= 2 or (resistors and outputs):
                    met = f"{outputs} outputs" if outputs else f"{len(resistors)} resistors"
                    names = ", ".join(sorted(resistors, key=natural_key)[:5])
                    yield outputs, len(resistors), f"{reference}.{number}, where {met} meet ({names})"
