"""Headers and connectors in the way: what a jumper on two legs side by side would reach."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tracer.base.findings import Finding, warning
from tracer.base.names import natural_key
from tracer.bitmap.model import ColourPin
from tracer.circuit.graph import Circuit
from tracer.netlist.board import PinRef
from tracer.parts.kinds import Kind
from tracer.stage.gather import gather_stage
from tracer.stage.model import Stage

__all__ = ["Bridge", "bridge_words", "bridges", "open_headers"]

#: A header with more legs is a connector, on which nobody puts jumpers.
_MOST_JUMPER_LEGS = 8
#: Pins that a sentence names at most.
_MOST_NAMED = 3


@dataclass(frozen=True)
class Bridge:
    """A header, two legs of it side by side (``1-2``), and the outputs that a jumper between them would reach."""

    header: str
    legs: str
    drivers: tuple[str, ...]


def bridge_words(found: Sequence[Bridge]) -> str:
    """What the jumpers on a header would reach, and how to tell one.

    >>> bridge_words([Bridge("P2", "1-2", ("U1.5",)), Bridge("P2", "2-3", ("U1.7",))])
    "With 1-2 bridged it is U1.5, with 2-3 U1.7: tell it with --part P2='jumper 1-2'"
    """
    ways: list[str] = []
    for bridge in found:
        reached = ", ".join(bridge.drivers[:_MOST_NAMED]) + (
            " ..." if len(bridge.drivers) > _MOST_NAMED else ""
        )
        ways.append(f"with {bridge.legs} {'' if ways else 'bridged it is '}{reached}")
    listed = ", ".join(ways)
    return f"W{listed[1:]}: tell it with --part {found[0].header}='jumper {found[0].legs}'"


def bridges(circuit: Circuit, pin: PinRef, net: str) -> Iterator[Bridge]:
    """The bridges over the legs beside one leg of a header that stands on a net."""
    if circuit.identified[pin.part].kind != Kind.CONNECTOR:
        return
    legs = sorted(circuit.netlist.pins_of_parts[pin.part], key=natural_key)
    here = legs.index(pin.pin)
    for there in (here - 1, here + 1):
        if len(legs) > _MOST_JUMPER_LEGS or not 0 <= there < len(legs):
            continue
        for other in circuit.nets_of(pin.part, legs[there]):
            drivers = () if other in circuit.rails or other == net else gather_stage(circuit, other).drivers
            if drivers:
                names = tuple(str(p) for d in drivers for p in d.pins[:1])
                yield Bridge(pin.part, "-".join(sorted((pin.pin, legs[there]), key=natural_key)), names)


def open_headers(circuit: Circuit, name: str, pin: ColourPin, stage: Stage) -> Iterator[Finding]:
    """Headers at which a leg of the output stage ends: with a jumper there would be a bit more."""
    driven = {stage.node(d.net) for d in stage.drivers}
    for net, header in stage.connectors:
        if header.part == pin.part or stage.node(net) in (*driven, stage.node(pin.net)):
            continue
        if found := list(bridges(circuit, header, net)):
            text = (
                f"a leg of the output stage ends at {header}, where nothing drives it. {bridge_words(found)}"
            )
            yield warning("open-header", text, str(header), colour=name)
