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
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from tracer.base.findings import Finding, note
from tracer.base.names import natural_key
from tracer.circuit.graph import Circuit
from tracer.netlist.board import PinRef
from tracer.parts.identify import Identified
from tracer.parts.kinds import Kind
from tracer.parts.model import Arc
from tracer.stage.model import Stage, StageDriver
from tracer.stage.nodal import Amplifier, Charged, Diode, Network, Resistor, Transistor

__all__ = ["biased_volts", "gather_stage"]

#: A capacitor of this much in a signal line couples it (a shorted one to the eye of a picture signal);
#: one of this much to a rail makes its net stand still. Common practice, no source.
COUPLING_FARAD = 0.9e-6
BYPASS_FARAD = 90e-9
#: Small capacitors couple only where there is no other way.
LEAST_COUPLING_FARAD = 0.9e-9
#: What stands in for a resistor whose value cannot be read.
UNREAD_OHM = 1000.0
#: In front of the name of a node inside a part.
_INSIDE = "\0inside "
#: A net with more pins than this and no driver is a supply, whatever it is called.
CROWDED_NET = 24


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
        self.beside = beside
        self.still, self.closed, self.selected = still, closed, selected
        self.choices: dict[str, tuple[Mapping[str, int], ...]] = {}
        self.circuit, self.start, self.coupling = circuit, start, coupling
        self.keep_capacitors = keep_capacitors
        self.capacitors: dict[str, tuple[str, str]] = {}
        self.pins = (start, *with_pins)
        self.seen: set[str] = set(self.pins)
        self.queue = deque(self.pins)
        self.resistors: dict[tuple[str, str, str], Resistor] = {}
        self.diodes: dict[tuple[str, str, str], Diode] = {}
        self.transistors: dict[str, Transistor] = {}
        self.amplifiers: dict[tuple[str, str], Amplifier] = {}
        self.joins: list[tuple[str, str]] = []
        self.drivers: dict[str, StageDriver] = {}
        self.maybe: dict[str, list[PinRef]] = {}
        self.typed_in: dict[str, list[PinRef]] = {}
        self.fixed: dict[str, float] = {}
        self.connectors: dict[PinRef, str] = {}
        self.inputs: list[PinRef] = []
        self.switches: set[str] = set()
        self.selectors: dict[str, list[PinRef]] = {}
        self.unread: set[str] = set()
        self.findings: list[Finding] = []

    def run(self) -> Stage:
        while self.queue:
            self._visit(self.queue.popleft())
        self._settle_doubtful()
        return self._stage()

    def _go(self, net: str) -> None:
        if net not in self.seen:
            self.seen.add(net)
            self.queue.append(net)

    def _visit(self, net: str) -> None:
        rail = self.circuit.rails.get(net)
        if rail is not None and net != self.start:
            self.fixed[net] = rail.volts
            return
        if net in self.still:
            self.fixed[net] = self.still[net]
            return
        if net != self.start and self._stands_still(net):
            return
        held = self._drivers_on(net)
        for pin, part in self.circuit.parts_on(net):
            if held is None or held.open_collector or part.kind == Kind.CONNECTOR:
                self._pass(net, pin, part)
        self._through_selectors(net, self.selectors.pop(net, []))

    def _stands_still(self, net: str) -> bool:
        """Whether a net without a driver is a supply by its shape."""
        if self.circuit.drivers_of(net):
            return False
        pins = self.circuit.pins_on(net)
        # A bypassed emitter stands still too, but where it does the transistor decides.
        if any(part.kind == Kind.TRANSISTOR for _, part in self.circuit.parts_on(net)):
            return False
        bypassed = any(
            part.kind == Kind.CAPACITOR
            and (part.farad or 0.0) >= BYPASS_FARAD
            and any(other in self.circuit.rails for other in self._others(pin, part))
            for pin, part in self.circuit.parts_on(net)
        )
        if not bypassed and len(pins) <= CROWDED_NET:
            return False
        why = "it is bypassed" if bypassed else f"it has {len(pins)} pins"
        self.findings.append(
            note("guessed-supply", f"net {net} was taken as a supply: {why} and no output drives it", net)
        )
        self.fixed[net] = 5.0
        return True

    def _others(self, pin: PinRef, part: Identified) -> list[str]:
        """Nets of the other pins of a part."""
        return [
            net
            for other in part.type.pins
            if other.number != pin.pin
            for net in self.circuit.nets_of(pin.part, other.number)
        ]

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
        self.drivers[net] = driver
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
            self.connectors[pin] = net
        elif kind.may_drive and not part.type.drives(pin.pin):
            leg = part.type.by_number.get(pin.pin)
            if leg is None or leg.direction == "passive":
                self.maybe.setdefault(net, []).append(pin)
            elif leg.direction == "in" and kind != Kind.AMPLIFIER:
                self.typed_in.setdefault(net, []).append(pin)
        elif kind not in (Kind.POWER, Kind.OTHER) and not part.type.drives(pin.pin):
            self.inputs.append(pin)

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
            self.switches.add(reference)
        ohm = arc.ohm
        if ohm is None:
            self.unread.add(reference)
            ohm = UNREAD_OHM
        if ohm == 0.0:
            self.joins.append((net, other))
            # What is odd about a part that joins: it is no resistor of the network, which says the others'.
            self.findings += [f for f in part.findings if f not in self.findings]
        else:
            a, b = sorted((net, other))
            legs = "-".join(sorted((arc.source, arc.target), key=natural_key))
            self.resistors[reference, legs, a] = Resistor(reference, a, b, ohm)
        self._go(other)

    def _capacitor(self, net: str, pin: PinRef, part: Identified) -> None:
        farad = part.farad
        polarised = "polar" in part.part.symbol.lower() or part.part.symbol.upper().startswith("CP")
        large = farad is not None and farad >= self.coupling
        if not large and not (farad is None and polarised):
            return
        for other in self._others(pin, part):
            if other not in self.circuit.rails and other != net:
                self.capacitors.setdefault(pin.part, (net, other))
                if not self.keep_capacitors:
                    self.joins.append((net, other))
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
                    self.diodes[pin.part, anode, cathode] = Diode(pin.part, anode, cathode)
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
        self.transistors[pin.part + number] = Transistor(
            pin.part, base, collector, emitter, part.polarity or "npn"
        )
        for other in (base, collector, emitter):
            self._go(other)

    def _through_selectors(self, net: str, pins: list[PinRef]) -> None:
        """Over analogue switches: of several ways one at a time, by the levels that choose it."""
        ways = [
            (other, pin.part, self.circuit.open_levels(pin.part, arc))
            for pin in pins
            for arc in self.circuit.identified[pin.part].type.arcs_into(pin.pin, "data")
            if not self.circuit.is_shut(pin.part, arc)
            for other in self.circuit.nets_of(pin.part, arc.source)
            if other != net and other not in self.seen
        ]
        fitting = [way for way in ways if _agree(way[2], self.selected)]
        if len(fitting) > 1:
            self.choices[net] = tuple(_alone(levels, [w[2] for w in fitting]) for _, _, levels in fitting)

        def driven(way: tuple[str, str, Mapping[str, int]]) -> bool:
            # The switch's own leg there passes what stands on the net; it puts nothing out by itself.
            return any(p.part != way[1] for p in self.circuit.drivers_of(way[0]))

        for other, part, levels in sorted(fitting, key=lambda way: not driven(way))[:1]:
            if not levels.keys() <= self.selected.keys():
                self.switches.add(part)
            self.joins.append((net, other))
            self._go(other)

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
        self.amplifiers[pin.part, net] = Amplifier(pin.part, plus[0], below, net)
        self._go(plus[0])
        self._go(below)

    def _settled(self, amplifier: Amplifier, node: Callable[[str], str]) -> Amplifier:
        """An amplifier whose output nothing leads back to its input holds no level: it is taken as a follower."""
        if amplifier.minus == amplifier.out:
            return amplifier
        reached, front = {amplifier.out}, [amplifier.out]
        ends = [(node(r.a), node(r.b)) for r in self.resistors.values()]
        while front:
            here = front.pop()
            new = {b if a == here else a for a, b in ends if here in (a, b)} - reached - set(self.fixed)
            reached |= new
            front += new
        if amplifier.minus in reached:
            return amplifier
        self.findings.append(
            note(
                "stage-approximate",
                f"nothing leads from the output of {amplifier.part} (net {amplifier.out}) back to its - input; it was "
                "taken as a follower",
                amplifier.part,
            )
        )
        return replace(amplifier, minus=amplifier.out)

    def _settle_doubtful(self) -> None:
        """Pins of parts without an entry that the drawing calls passive, or even inputs.

        A resistor leg must end at something that drives it; where nothing better stands there, such a
        pin does, and it is said.
        """
        drives = {pin.part for d in self.drivers.values() for pin in d.pins}
        for net, pins in self.maybe.items():
            if net not in self.drivers and net != self.start and not self._is_tied(net):
                self.drivers[net] = StageDriver(net, tuple(pins))
                drives |= {p.part for p in pins}
        nothing_drives = not self.drivers
        for net, pins in self.typed_in.items():
            alone = nothing_drives or any(p.part in drives for p in pins)
            if net in self.drivers or net == self.start or not alone or self._is_tied(net):
                continue
            self.drivers[net] = StageDriver(net, tuple(pins))
            self.findings.append(
                note(
                    "drawn-as-input",
                    f"{pins[0]} is drawn as an input but is all that a leg of the output stage ends at; it was "
                    "taken as its driver",
                    str(pins[0]),
                )
            )
        if not self.drivers and self.start in self.maybe:
            pins = self.maybe[self.start]
            self.drivers[self.start] = StageDriver(self.start, tuple(pins))
        feeding = self._feeding()
        if not feeding & set(self.drivers):
            self._drivers_behind_connectors(feeding)

    def _feeding(self) -> set[str]:
        """Nets that can lift the colour: what only a diode pulls down by (blanking, a brightness) is not among them."""
        ways: dict[str, list[str]] = {}
        ends = [(r.a, r.b) for r in self.resistors.values()] + self.joins
        for a, b in [*ends, *((b, a) for a, b in ends)]:
            ways.setdefault(a, []).append(b)
        for d in self.diodes.values():
            ways.setdefault(d.cathode, []).append(d.anode)
        for q in self.transistors.values():
            for reached in (q.emitter, q.collector):
                ways.setdefault(reached, []).append(q.base)
        for amplifier in self.amplifiers.values():
            ways.setdefault(amplifier.out, []).extend((amplifier.plus, amplifier.minus))
        found, front = set(self.pins), list(self.pins)
        while front:
            here = front.pop()
            if here in self.fixed or (here in self.drivers and here not in self.pins):
                continue
            new = set(ways.get(here, ())) - found
            found |= new
            front += new
        return found

    def _drivers_behind_connectors(self, feeding: set[str]) -> None:
        """With no output that feeds the colour, legs that end at another connector come from the board it leads to."""
        for pin, net in self.connectors.items():
            others = [p for p in self.circuit.pins_on(net) if p != pin]
            if (
                net in feeding - self.beside
                and net != self.start
                and len(others) == 1
                and not self._is_tied(net)
            ):
                self.drivers[net] = StageDriver(net, (pin,))

    def _is_tied(self, net: str) -> bool:
        return net in self.circuit.rails

    def _stage(self) -> Stage:
        node_of = _joined(self.joins, self.start, set(self.fixed), set(self.drivers))

        def node(net: str) -> str:
            return node_of.get(net, net)

        network = Network(
            tuple(Resistor(r.part, node(r.a), node(r.b), r.ohm) for _, r in sorted(self.resistors.items()) if node(r.a) != node(r.b)),
            tuple(Diode(d.part, node(d.anode), node(d.cathode)) for _, d in sorted(self.diodes.items())),
            tuple(Transistor(q.part, node(q.base), node(q.collector), node(q.emitter), q.polarity) for _, q in sorted(self.transistors.items())),
            tuple(self._settled(Amplifier(a.part, node(a.plus), node(a.minus), node(a.out)), node) for _, a in sorted(self.amplifiers.items())),
        )  # fmt: skip
        merged: dict[str, StageDriver] = {}
        for net, driver in sorted(self.drivers.items(), key=lambda item: natural_key(item[0])):
            first = merged.get(node(net))
            pins = driver.pins if first is None else (*first.pins, *driver.pins)
            only_low = driver.open_collector and (first is None or first.open_collector)
            merged[node(net)] = StageDriver(first.net if first else net, pins, only_low)
        return Stage(
            start=self.start,
            network=network,
            drivers=tuple(merged.values()),
            fixed={node(net): volts for net, volts in self.fixed.items()},
            nets=frozenset(self.seen),
            capacitors=tuple(
                Charged(c, node(a), node(b), 0.0) for c, (a, b) in sorted(self.capacitors.items())
            ),
            connectors=tuple((net, pin) for pin, net in self.connectors.items()),
            inputs=tuple(self.inputs),
            switches=tuple(sorted(self.switches, key=natural_key)),
            unread=tuple(sorted(self.unread, key=natural_key)),
            node_of=node_of,
            findings=tuple(self.findings),
            still=self.still,
            selected=self.selected,
            beside=self.beside,
            choices=tuple(self.choices.values()),
        )


def _agree(levels: Mapping[str, int], others: Mapping[str, int]) -> bool:
    """Whether two sets of levels can hold at once."""
    return all(others.get(net, level) == level for net, level in levels.items())


def _alone(levels: Mapping[str, int], ways: Sequence[Mapping[str, int]]) -> Mapping[str, int]:
    """The levels that open one way, with those that shut the others."""
    found = dict(levels)
    for other in ways:
        if other is not levels and _agree(other, found):
            free = next((net for net in other if net not in found), None)
            if free is not None:
                found[free] = 1 - other[free]
    return found


def _joined(joins: list[tuple[str, str]], start: str, rails: set[str], drivers: set[str]) -> dict[str, str]:
    """Net -> name of the node it is joined into by links and coils: a rail's name, else a driver's, else any."""
    groups: dict[str, set[str]] = {}
    for a, b in joins:
        whole = groups.get(a, {a}) | groups.get(b, {b})
        for net in whole:
            groups[net] = whole
    found: dict[str, str] = {}
    for net, whole in groups.items():
        ranked = sorted(whole, key=lambda n: (n not in rails, n not in drivers, n != start, natural_key(n)))
        found[net] = ranked[0]
    return found
