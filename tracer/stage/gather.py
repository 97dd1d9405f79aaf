"""The output stage: from a colour pin to the digital drivers, solved as a circuit.

Method
------
1. *Gather*: collect nets over series parts from the colour pin until a supply,
   ground or a digital output (which holds its net, so nothing is walked through
   it). A transistor that is reached at its collector or emitter is passed to its
   base; one reached at its base is a way out, not a way back.
2. *Solve*: each driver is switched alone, by nodal analysis, with ideal levels
   of 5 V and 0 V; an open collector is a switch to ground. The mean of the
   change with all others low and all others high is its weight (exact in a
   linear network, where both are equal: superposition).
3. A driver that lets the others through or not is a clamp (blanking), not a bit.

Ideal levels make the weights those of the resistors alone; what real outputs
do to the volts is another question than which bit weighs more.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping, Sequence
from types import MappingProxyType

from tracer.base.names import natural_key
from tracer.circuit.graph import Circuit
from tracer.netlist.board import PinRef
from tracer.parts.identify import Identified
from tracer.parts.kinds import Kind
from tracer.parts.model import Arc
from tracer.stage.collected import Collected
from tracer.stage.doubtful import settle_doubtful
from tracer.stage.model import Stage, StageDriver
from tracer.stage.network import Amplifier, Diode, Resistor, Transistor
from tracer.stage.selectors import choices, open_ways, way_taken
from tracer.stage.supplies import GUESSED_VOLTS, supply_by_shape

__all__ = ["gather_stage"]

#: A capacitor of this much in a signal line couples it (a shorted one to the eye of a picture signal). Common practice,
#: no source.
COUPLING_FARAD = 0.9e-6
#: Small capacitors couple only where there is no other way.
LEAST_COUPLING_FARAD = 0.9e-9
#: What stands in for a resistor whose value cannot be read.
UNREAD_OHM = 1000.0
#: In front of the name of a node inside a part.
_INSIDE = "\0inside "


def gather_stage(
    circuit: Circuit,
    start: str,
    *,
    keep_capacitors: bool = False,
    with_pins: Sequence[str] = (),
    still: Mapping[str, float] = MappingProxyType({}),
    closed: bool = True,
    selected: Mapping[str, int] = MappingProxyType({}),
    beside: frozenset[str] = frozenset(),
) -> Stage:
    """Collect the output stage of the colour pin that stands on net `start`.

    Coupling capacitors are short circuits to a picture; with `keep_capacitors` their sides stay two nodes.
    `with_pins` are nets of other colour pins whose stages are taken in: they share a driver. `still` are nets at which
    the stage ends, with the volts that they hold (`biased_volts`). Switches and jumpers of which the drawing does not
    tell are taken as closed, or with `closed` False as open. `selected` are levels of the nets that choose among the ways
    of analogue selectors; where they are left open, the first way that is driven is taken. `beside` are the nets of the other colour pins: no bits come
    in there.
    """

    def gathered(coupling: float) -> Stage:
        return _Gatherer(
            circuit, start, coupling, keep_capacitors, with_pins, still, closed, selected, beside
        ).run()

    stage = gathered(COUPLING_FARAD)
    if not stage.drivers:
        # A stage whose only way in is a small capacitor.
        wider = gathered(LEAST_COUPLING_FARAD)
        if wider.drivers:
            return wider
    return stage


class _Gatherer:
    """Walks the series parts breadth first from one net."""

    def __init__(
        self,
        circuit: Circuit,
        start: str,
        coupling: float,
        keep_capacitors: bool,
        with_pins: Sequence[str],
        still: Mapping[str, float],
        closed: bool,
        selected: Mapping[str, int],
        beside: frozenset[str],
    ) -> None:
        self.circuit, self.start, self.coupling = circuit, start, coupling
        self.keep_capacitors, self.closed = keep_capacitors, closed
        self.still, self.selected, self.beside = still, selected, beside
        pins = (start, *with_pins)
        self.found = Collected(start, pins, set(pins))
        self.queue = deque(pins)
        self.selectors: dict[str, list[PinRef]] = {}

    def run(self) -> Stage:
        while self.queue:
            self._visit(self.queue.popleft())
        settle_doubtful(self.circuit, self.found, self.beside)
        return self.found.stage(self.still, self.selected, self.beside)

    def _go(self, net: str) -> None:
        if net not in self.found.seen:
            self.found.seen.add(net)
            self.queue.append(net)

    def _visit(self, net: str) -> None:
        rail = self.circuit.rails.get(net)
        if rail is not None and net != self.start:
            self.found.fixed[net] = rail.volts
            return
        if net in self.still:
            self.found.fixed[net] = self.still[net]
            return
        supply = supply_by_shape(self.circuit, net) if net != self.start else None
        if supply is not None:
            self.found.findings.append(supply)
            self.found.fixed[net] = GUESSED_VOLTS
            return
        held = self._drivers_on(net)
        for pin, part in self.circuit.parts_on(net):
            if held is None or held.open_collector or part.kind == Kind.CONNECTOR:
                self._pass(net, pin, part)
        self._through_selectors(net, self.selectors.pop(net, []))

    def _drivers_on(self, net: str) -> StageDriver | None:
        pins = []
        for pin in self.circuit.drivers_of(net):
            part = self.circuit.identified[pin.part]
            direction = part.type.by_number[pin.pin].direction
            if part.kind in (Kind.AMPLIFIER, Kind.ANALOGUE_SWITCH) or self._is_buffered(pin, part):
                continue
            pins.append((pin, direction))
        if not pins:
            return None
        # Of a bus of memories and transceivers every pin is a driver; the walk tells their roles.
        open_collector = all(direction == "open_collector" for _, direction in pins)
        driver = StageDriver(net, tuple(p for p, _ in pins), open_collector)
        self.found.drivers[net] = driver
        return driver

    def _pass(self, net: str, pin: PinRef, part: Identified) -> None:
        kind = part.kind
        if kind.conducts:
            self._series(net, pin, part)
        elif kind == Kind.CAPACITOR:
            self._capacitor(net, pin, part)
        elif kind == Kind.DIODE:
            self._diode(pin, part)
        elif kind == Kind.TRANSISTOR:
            self._transistor(pin, part)
        elif (kind == Kind.AMPLIFIER and part.type.arcs_into(pin.pin, "data")) or self._is_buffered(
            pin, part
        ):
            self._amplifier(net, pin, part)
        elif kind == Kind.ANALOGUE_SWITCH:
            self.selectors.setdefault(net, []).append(pin)
        elif kind == Kind.CONNECTOR:
            self.found.connectors[pin] = net
        elif kind.may_drive and not part.type.drives(pin.pin):
            leg = part.type.by_number.get(pin.pin)
            if leg is None or leg.direction == "passive":
                self.found.may_drive.setdefault(net, []).append(pin)
            elif leg.direction == "in" and kind != Kind.AMPLIFIER:
                self.found.drawn_as_inputs.setdefault(net, []).append(pin)
        elif kind not in (Kind.POWER, Kind.OTHER) and not part.type.drives(pin.pin):
            self.found.inputs.append(pin)

    def _series(self, net: str, pin: PinRef, part: Identified) -> None:
        for arc in part.type.arcs:
            if arc.kind != "series" or pin.pin not in (arc.source, arc.target):
                continue
            other_pin = arc.target if arc.source == pin.pin else arc.source
            others = self.circuit.nets_of(pin.part, other_pin)
            for other in others:
                self._add_series(net, other, pin.part, part, arc)
            if not others and part.kind in (Kind.RESISTOR_PACK, Kind.TRIMMER):
                self._pack_inside(net, pin.part, part, arc, other_pin)

    def _pack_inside(self, net: str, reference: str, part: Identified, arc: Arc, common: str) -> None:
        """A common leg that no net names still joins the resistors of its pack; so does a wiper left open."""
        inside = f"{_INSIDE}{reference}.{common}"
        self._add_series(net, inside, reference, part, arc)
        for other_arc in part.type.arcs:
            if other_arc.kind == "series" and common in (other_arc.source, other_arc.target):
                leg = other_arc.target if other_arc.source == common else other_arc.source
                for other in self.circuit.nets_of(reference, leg):
                    self._add_series(inside, other, reference, part, other_arc)

    def _add_series(self, net: str, other: str, reference: str, part: Identified, arc: Arc) -> None:
        if other == net:
            return
        if part.kind == Kind.SWITCH:
            if not self.closed:
                return
            self.found.switches.add(reference)
        ohm = arc.ohm
        if ohm is None:
            self.found.unread.add(reference)
            ohm = UNREAD_OHM
        if ohm == 0.0:
            self.found.joins.append((net, other))
            # What is odd about a part that joins: it is no resistor of the network, which says the others'.
            self.found.findings += [f for f in part.findings if f not in self.found.findings]
        else:
            a, b = sorted((net, other))
            legs = "-".join(sorted((arc.source, arc.target), key=natural_key))
            self.found.resistors[reference, legs, a] = Resistor(reference, a, b, ohm)
        self._go(other)

    def _capacitor(self, net: str, pin: PinRef, part: Identified) -> None:
        farad = part.farad
        polarised = "polar" in part.part.symbol.lower() or part.part.symbol.upper().startswith("CP")
        large = farad is not None and farad >= self.coupling
        if not large and not (farad is None and polarised):
            return
        for other in self.circuit.nets_beside(pin):
            if other not in self.circuit.rails and other != net:
                self.found.capacitors.setdefault(pin.part, (net, other))
                if not self.keep_capacitors:
                    self.found.joins.append((net, other))
                self._go(other)

    def _diode(self, pin: PinRef, part: Identified) -> None:
        for arc in part.type.arcs:
            if pin.pin not in (arc.source, arc.target):
                continue
            for anode in self.circuit.nets_of(pin.part, arc.source):
                for cathode in self.circuit.nets_of(pin.part, arc.target):
                    # Clamps to the rails never conduct at picture levels.
                    if anode in self.circuit.rails or cathode in self.circuit.rails:
                        continue
                    self.found.diodes[pin.part, anode, cathode] = Diode(pin.part, anode, cathode)
                    self._go(anode)
                    self._go(cathode)

    def _transistor(self, pin: PinRef, part: Identified) -> None:
        reached = part.type.by_number[pin.pin].name if pin.pin in part.type.by_number else ""
        # A case of several transistors numbers their legs: B1, C1, E1.
        number = reached[1:]
        legs = {
            p.name[0]: self.circuit.net_of(pin.part, p.number)
            for p in part.type.pins
            if p.name[1:] == number and p.name
        }
        if reached[:1] not in ("C", "E") or not all(legs.get(leg) for leg in "BCE"):
            return
        base, collector, emitter = (legs[leg] or "" for leg in "BCE")
        self.found.transistors[pin.part + number] = Transistor(
            pin.part, base, collector, emitter, part.polarity or "npn"
        )
        for other in (base, collector, emitter):
            self._go(other)

    def _through_selectors(self, net: str, pins: list[PinRef]) -> None:
        """Over analogue switches: of several ways one at a time, by the levels that choose it."""
        ways = [
            way for way in open_ways(self.circuit, net, pins, self.selected) if way.net not in self.found.seen
        ]
        if len(ways) > 1:
            self.found.choices[net] = choices(ways)
        way = way_taken(self.circuit, ways)
        if way is not None:
            if not way.levels.keys() <= self.selected.keys():
                self.found.switches.add(way.part)
            self.found.joins.append((net, way.net))
            self._go(way.net)

    @staticmethod
    def _is_buffered(pin: PinRef, part: Identified) -> bool:
        """Whether a colour encoder's leg puts out one colour as it came in."""
        return part.kind == Kind.COLOUR_ENCODER and len(part.type.arcs_into(pin.pin, "data")) == 1

    def _amplifier(self, net: str, pin: PinRef, part: Identified) -> None:
        """From an amplifier's output to its inputs; with one input alone it follows that."""
        arcs = part.type.arcs_into(pin.pin, "data")
        plus = [n for arc in arcs if not arc.inverts for n in self.circuit.nets_of(pin.part, arc.source)]
        minus = [n for arc in arcs if arc.inverts for n in self.circuit.nets_of(pin.part, arc.source)]
        if not plus or plus[0] == net or (plus[0] in self.circuit.rails and not minus):
            return
        below = minus[0] if minus else net
        self.found.amplifiers[pin.part, net] = Amplifier(pin.part, plus[0], below, net)
        self._go(plus[0])
        self._go(below)
