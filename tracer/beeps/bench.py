"""What is known of a board half-way: its parts with all their legs, the nets so far, and which legs do not beep.

Every leg stands on a net, a net of its own until it has beeped with another. Legs that are ground or supply by the
part library are joined before anything is asked: nobody has to find those.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from tracer.beeps.nearness import Nearness
from tracer.circuit.beeped import all_legs
from tracer.circuit.graph import Circuit, build_circuit
from tracer.netlist.board import Netlist, PinRef, Touch
from tracer.netlist.net_names import name_of_alone
from tracer.netlist.notes import Told
from tracer.parts.connectors import connector_types
from tracer.parts.library import Library
from tracer.stage.gather import gather_stage
from tracer.tracing.colour_pins import find_colour_pins
from tracer.tracing.told_pins import told_places

__all__ = ["Bench", "set_up"]


#: Leads and contacts have this much themselves (common practice, no source); more than this is a part in the way.
LEAD_OHM = 2.0


@dataclass(frozen=True)
class Bench:
    """A board half-way.

    Attributes
    ----------
    circuit : Circuit
        Every leg of every part that is known stands on one of its nets.
    colours : dict of str to PinRef
        Colour -> the pin on which its lead is held.
    touches : tuple of Touch
        As noted, oldest first.
    known : Netlist
        The board as noted.
    """

    circuit: Circuit
    colours: dict[str, PinRef]
    touches: tuple[Touch, ...]
    known: Netlist

    @cached_property
    def _net_of(self) -> dict[PinRef, str]:
        return {pin: nets[0] for pin, nets in self.circuit.netlist.nets_of_pins.items() if nets}

    @cached_property
    def nearness(self) -> Nearness:
        """How near parts sit to one another."""
        return Nearness(self.known)

    def net(self, pin: PinRef) -> str:
        """The net of a leg."""
        return self._net_of.get(pin) or name_of_alone(pin)

    def ohm(self, leg: PinRef) -> float:
        """The value of the resistor, or the one in a pack, that a leg belongs to; 0 where it is not known."""
        part = self.circuit.identified[leg.part]
        if part.ohm is not None:
            return part.ohm
        return next((a.ohm for a in part.type.arcs if a.ohm and leg.pin in (a.source, a.target)), 0.0)

    @cached_property
    def _nones(self) -> dict[str, dict[str, int]]:
        found: dict[str, dict[str, int]] = {}
        pairs = [(t.pins[0], pin) for t in self.touches if not t.heard for pin in t.pins[1:]]
        # What beeps through some ohms is not on the same net.
        pairs += [
            (pin, other) for pin, others in self.through.items() for other, _ in others if pin.key < other.key
        ]
        for pin, other in pairs:
            here, there = self.net(pin), self.net(other)
            for a, b in {(here, there), (there, here)}:
                row = found.setdefault(a, {})
                row[b] = row.get(b, 0) + 1
        return found

    def quiet(self, pin: PinRef) -> dict[str, int]:
        """Nets that did not beep with the net of a leg -> how often they were tried."""
        return self._nones.get(self.net(pin), {})

    @cached_property
    def order(self) -> dict[PinRef, int]:
        """Leg -> number of the first touch that heard it."""
        found: dict[PinRef, int] = {}
        for number, touch in enumerate(self.touches):
            if touch.heard:
                for pin in touch.pins:
                    found.setdefault(pin, number)
        return found

    @cached_property
    def through(self) -> dict[PinRef, tuple[tuple[PinRef, float], ...]]:
        """Legs -> legs that were measured to lie behind some ohms of them."""
        found: dict[PinRef, tuple[tuple[PinRef, float], ...]] = {}
        for evidence in self.known.notes.evidence:
            if evidence.ohm_between is not None:
                a, b, ohm = evidence.ohm_between
                found[a] = (*found.get(a, ()), (b, ohm))
                found[b] = (*found.get(b, ()), (a, ohm))
        return found

    def touched(self, a: PinRef, b: PinRef) -> int:
        """How often no beep was heard between the nets of two legs."""
        return self.quiet(a).get(self.net(b), 0)

    def is_rail(self, pin: PinRef) -> bool:
        """Whether a leg is known to be on a supply or on ground."""
        return self.net(pin) in self.circuit.rails


def set_up(netlist: Netlist, library: Library, told: Mapping[str, str] | None = None) -> Bench:
    """Make the bench of a board from its notes.

    Raises
    ------
    ColourPinError, PinNotFoundError
        The colour pins are not told and no connector's standard tells them, or one does not exist.
    """
    circuit = build_circuit(all_legs(netlist, library), library)
    places = {**dict(netlist.notes.colour_pins), **told_places(circuit.netlist, told or {})}
    found = find_colour_pins(circuit, places or _by_standard(circuit), lambda net: _n_drivers(circuit, net))
    colours = {}
    for colour, pin in found.pins.items():
        held = PinRef(pin.part, pin.pin) if pin.part and pin.pin else None
        colours[colour] = held or circuit.pins_on(pin.net)[0]
    return Bench(circuit, colours, netlist.notes.touches, netlist)


def _by_standard(circuit: Circuit) -> dict[str, Told]:
    """Colour pins of a connector whose pin-out is published: known before anything is joined to them."""
    for reference, numbers in circuit.netlist.pins_of_parts.items():
        for connector in connector_types():
            if connector.fits(circuit.identified[reference].part, numbers):
                return {colour: PinRef(reference, pin) for colour, pin in connector.colours.items()}
    return {}


def _n_drivers(circuit: Circuit, net: str) -> int:
    return 0 if net in circuit.rails else len(gather_stage(circuit, net).drivers)
