"""Beeps through a part: a meter also beeps over a coil or a few ohms, and then two legs are not one net.

What was read with its ohms is looked into at once: which small part stands on the held net, and whether the leg that
beeped stands behind it.
"""

from __future__ import annotations

from tracer.beeps.bench import Bench
from tracer.netlist.board import PinRef

__all__ = ["legs_before", "legs_beyond", "other_ends"]

#: A small resistor reads so much of its value with leads and contacts, at least and at most (common practice, no source).
_LEAST, _MOST = 0.6, 1.6


def legs_before(bench: Bench, held: PinRef) -> list[PinRef]:
    """Legs of small parts that may stand on the net of a held leg, as it beeped through some ohms."""
    net = bench.net(held)
    found: list[PinRef] = []
    for pin in bench.circuit.pins_on(net) or (held,):
        for leg, ohm in bench.through.get(pin, ()):
            if bench.net(leg) == net:
                continue
            small = [r for r in bench.circuit.identified if _is_like(bench, r, ohm)]
            legs = [PinRef(r, p.number) for r in small for p in bench.circuit.identified[r].type.pins]
            if not any(bench.net(each) == net for each in legs):
                found += [each for each in legs if each not in found]
    return found


def legs_beyond(bench: Bench, held: PinRef) -> list[PinRef]:
    """Legs that beeped through the part of a held leg, from its other end."""
    found: list[PinRef] = []
    for near in other_ends(bench, held):
        for pin in bench.circuit.pins_on(bench.net(near)) or (near,):
            for leg, ohm in bench.through.get(pin, ()):
                if _is_like(bench, held.part, ohm) and bench.net(leg) not in (
                    bench.net(near),
                    bench.net(held),
                ):
                    found.append(leg)
    return found


def other_ends(bench: Bench, leg: PinRef) -> list[PinRef]:
    """The legs at the other ends of the ways through a part of two ends, or of one of a pack's."""
    arcs = bench.circuit.identified[leg.part].type.arcs
    return [
        PinRef(leg.part, a.target if a.source == leg.pin else a.source)
        for a in arcs
        if a.kind == "series" and leg.pin in (a.source, a.target)
    ]


def _is_like(bench: Bench, reference: str, ohm: float) -> bool:
    part = bench.circuit.identified[reference]
    if not part.part.fitted or part.kind not in ("resistor", "resistor pack", "inductor"):
        return False
    values = [part.ohm] if part.ohm is not None else [a.ohm for a in part.type.arcs]
    return any(value is not None and _LEAST * ohm <= value <= _MOST * ohm for value in values)
