"""What stands on a net, as far as it has beeped: outputs, parts of a stage, and what they are to a meter."""

from __future__ import annotations

from tracer.beeps.bench import LEAD_OHM, Bench
from tracer.netlist.board import PinRef
from tracer.parts.identify import Identified
from tracer.parts.kinds import Kind

__all__ = [
    "base_behind", "is_resistor", "is_short", "outputs_on", "passive_legs", "rails_left", "transistor_letter",
]  # fmt: skip

_ANALOGUE = (Kind.AMPLIFIER, Kind.ANALOGUE_SWITCH, Kind.COLOUR_ENCODER)


def rails_left(bench: Bench, leg: PinRef) -> list[PinRef]:
    """Supplies that a leg was not tried against."""
    rails = (bench.circuit.pins_on(net)[0] for net in bench.circuit.rails)
    return [rail for rail in rails if not bench.touched(leg, rail)]


def is_short(bench: Bench, leg: PinRef) -> bool:
    """Whether a meter beeps over a part as over a wire."""
    part = bench.circuit.identified[leg.part]
    is_wire = part.kind in (Kind.INDUCTOR, Kind.LINK)
    return is_wire or (part.kind.is_resistor and part.ohm is not None and part.ohm < LEAD_OHM)


def transistor_letter(bench: Bench, leg: PinRef) -> str:
    """B, C or E of a transistor's leg; nothing of any other."""
    part = bench.circuit.identified[leg.part]
    known = part.type.by_number.get(leg.pin) if part.kind == Kind.TRANSISTOR else None
    return known.letter if known is not None else ""


def base_behind(bench: Bench, leg: PinRef) -> list[PinRef]:
    """The base of a transistor whose emitter is the leg: what follows it comes from there."""
    if transistor_letter(bench, leg) != "E":
        return []
    return [
        PinRef(leg.part, p.number) for p in bench.circuit.identified[leg.part].type.pins if p.letter == "B"
    ]


def is_resistor(bench: Bench, leg: PinRef) -> bool:
    """Whether a leg is a resistor's, or a pack's."""
    return bench.circuit.identified[leg.part].kind.is_resistor


def outputs_on(bench: Bench, net: str) -> tuple[PinRef, ...]:
    """Outputs that hold a net: an amplifier or an analogue switch hands on what comes to it.

    Where none is known, a leg of a chip of which nothing is known may be one, or that of a header to another board.
    """
    found = tuple(
        p for p in bench.circuit.drivers_of(net) if bench.circuit.identified[p.part].kind not in _ANALOGUE
    )
    if found:
        return found
    plugs = {pin.part for pin in bench.colours.values()}
    return tuple(
        pin
        for pin, part in bench.circuit.parts_on(net)
        if (part.kind == Kind.CONNECTOR and pin.part not in plugs)
        or (part.kind.may_drive and part.kind not in _ANALOGUE and _may_put_out(pin, part))
    )


def _may_put_out(pin: PinRef, part: Identified) -> bool:
    known = part.type.by_number.get(pin.pin)
    return known is None or known.direction not in ("in", "power", "nc")


def passive_legs(bench: Bench, net: str) -> list[PinRef]:
    """Legs of what makes up a stage: discrete parts, amplifiers and switches."""
    return [
        pin
        for pin, part in bench.circuit.parts_on(net)
        if part.kind.is_discrete or part.kind in (Kind.AMPLIFIER, Kind.ANALOGUE_SWITCH, Kind.SWITCH)
    ]
