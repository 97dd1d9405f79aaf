"""A netlist and the part library -> a graph of nets joined by what parts do.

The graph is a networkx `MultiDiGraph`: a node is the name of a net, an edge is
one arc of one part in the direction of signal flow (series arcs both ways),
with ``part`` (reference) and ``arc`` as attributes. Control and address arcs
are not edges: the walk looks them up where it passes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from tracer.base.names import natural_key
from tracer.circuit.rails import find_rails
from tracer.netlist.board import Netlist, Part, PinRef
from tracer.netlist.rail_names import Rail, named_rail
from tracer.parts.identify import Identified, identify
from tracer.parts.kinds import Kind
from tracer.parts.library import Library
from tracer.parts.model import Arc

if TYPE_CHECKING:
    import networkx as nx

__all__ = ["Circuit", "build_circuit"]

#: A resistor up to this passes a logic level on; above it is a pull-up or a weight. Damping resistors of
#: 22 to 100 ohm stand in clock and data lines (common practice, no source).
DAMPING_OHM = 330.0


@dataclass(frozen=True)
class Circuit:
    """A board with its parts understood.

    Attributes
    ----------
    netlist : Netlist
    identified : mapping of str to Identified
        Reference -> what the part is.
    rails : mapping of str to Rail
        Net name -> supply or ground.
    graph : networkx.MultiDiGraph
        See the head of this module.
    """

    netlist: Netlist
    identified: Mapping[str, Identified]
    rails: Mapping[str, Rail]
    graph: nx.MultiDiGraph[str]

    def nets_of(self, part: str, pin: str) -> tuple[str, ...]:
        """The nets that a pin stands on; none when it is not stated."""
        return self.netlist.nets_of_pins.get(PinRef(part, pin), ())

    def net_of(self, part: str, pin: str) -> str | None:
        """The first net that a pin stands on."""
        nets = self.nets_of(part, pin)
        return nets[0] if nets else None

    def given_name(self, net: str) -> str:
        """The name that a person gave a net, without its sheets; empty where a program made it."""
        found = self.netlist.by_net_name.get(net)
        return found.given_name if found else ""

    def pins_on(self, net: str) -> tuple[PinRef, ...]:
        """The pins on a net."""
        found = self.netlist.by_net_name.get(net)
        return found.pins if found else ()

    def nets_beside(self, pin: PinRef) -> list[str]:
        """Nets of the other pins of a pin's part."""
        return [
            net
            for other in self.identified[pin.part].type.pins
            if other.number != pin.pin
            for net in self.nets_of(pin.part, other.number)
        ]

    def connectors(self) -> Iterator[str]:
        """References of the connectors, in natural order."""
        for reference in sorted(self.identified, key=natural_key):
            if self.identified[reference].kind == Kind.CONNECTOR:
                yield reference

    def parts_on(self, net: str) -> Iterator[tuple[PinRef, Identified]]:
        """Pins on a net with the parts they belong to, fitted parts only."""
        for pin in self.pins_on(net):
            part = self.identified.get(pin.part)
            if part is not None and part.part.fitted:
                yield pin, part

    def drivers_of(self, net: str) -> tuple[PinRef, ...]:
        """Pins that can set the level of a net, by what is known of their parts."""
        return self._drivers.get(net, ())

    @cached_property
    def _drivers(self) -> dict[str, tuple[PinRef, ...]]:
        found: dict[str, tuple[PinRef, ...]] = {}
        for net in self.netlist.nets:
            drivers = tuple(
                pin
                for pin, part in self.parts_on(net.name)
                if part.kind != Kind.CONNECTOR and part.type.drives(pin.pin)
            )
            if drivers:
                found[net.name] = drivers
        return found

    def series_neighbours(self, net: str) -> Iterator[tuple[str, str, Arc]]:
        """Other net, part and arc of every series part on a net."""
        if net in self.graph:
            for _, other, data in self.graph.out_edges(net, data=True):
                if data["arc"].kind == "series":
                    yield other, data["part"], data["arc"]

    def weak_sources(self, net: str) -> Iterator[tuple[str, Arc, str]]:
        """Driven nets that hold a net over a resistor while the outputs on it are all off: other net, arc, part."""
        if all(self.can_be_off(pin) for pin in self.drivers_of(net)):
            for other, reference, arc in self.series_neighbours(net):
                if self.identified[reference].kind.is_resistor and self.drivers_of(other):
                    yield other, Arc("series", arc.target, arc.source, ohm=arc.ohm), reference

    def ways_past(self, net: str) -> Iterator[tuple[str, Arc, str]]:
        """Nets from which a net without an output gets its level: over series parts, or the base of a transistor.

        Gives the other net, the arc from it to `net`, and the part.
        """
        for other, reference, arc in self.series_neighbours(net):
            yield other, Arc("series", arc.target, arc.source, ohm=arc.ohm), reference
        for pin, part in self.parts_on(net):
            if part.kind != Kind.TRANSISTOR or pin.pin not in part.type.by_number:
                continue
            legs = {leg.name: leg.number for leg in part.type.pins}
            reached = part.type.by_number[pin.pin].name
            if reached in ("C", "E") and "B" in legs and (base := self.net_of(pin.part, legs["B"])):
                yield base, Arc("data", legs["B"], pin.pin, inverts=reached == "C"), pin.part

    def tied_level(self, net: str | None) -> int | None:
        """The level a net is held at by a rail, straight or over a resistor, when nothing else drives it."""
        if net is None:
            return None
        if net in self.rails:
            return 0 if self.rails[net].is_ground else 1
        if self.drivers_of(net):
            return None
        if any(
            part.kind in (Kind.CONNECTOR, Kind.UNKNOWN, Kind.TRANSISTOR, Kind.SWITCH)
            for _, part in self.parts_on(net)
        ):
            return None
        levels = set()
        for other, part, _ in self.series_neighbours(net):
            if self.identified[part].kind in (Kind.RESISTOR, Kind.RESISTOR_PACK, Kind.LINK):
                if other in self.rails:
                    levels.add(0 if self.rails[other].is_ground else 1)
                elif self.drivers_of(other):
                    return None
        return levels.pop() if len(levels) == 1 else None

    def can_be_off(self, pin: PinRef) -> bool:
        """Whether an output can let go of its net."""
        direction = self.identified[pin.part].type.by_number[pin.pin].direction
        return direction in ("three_state", "bidirectional")

    def is_input(self, pin: PinRef) -> bool:
        """Whether tied controls leave a two-way buffer's pin an input for good."""
        part = self.identified[pin.part]
        if not part.kind.is_two_way:
            return False
        arcs = part.type.arcs_into(pin.pin, "data")
        return bool(arcs) and all(self.is_shut(pin.part, arc) for arc in arcs)

    def open_arcs(self, pin: PinRef) -> tuple[Arc, ...]:
        """Data arcs into an output that no tied control shuts; all of them where a drawing shuts every one."""
        arcs = self.identified[pin.part].type.arcs_into(pin.pin, "data")
        return tuple(arc for arc in arcs if not self.is_shut(pin.part, arc)) or arcs

    def open_levels(self, part: str, arc: Arc) -> dict[str, int]:
        """Levels of control nets under which an arc is open; those that are tied are left out."""
        nets = ((self.net_of(part, pin), level) for pin, level in arc.when)
        return {net: level for net, level in nets if net is not None and self.tied_level(net) is None}

    def is_shut(self, part: str, arc: Arc) -> bool:
        """Whether a tied control pin shuts an arc of a part for good."""
        levels = ((self.tied_level(self.net_of(part, pin)), want) for pin, want in arc.when)
        return any(level is not None and level != want for level, want in levels)


def build_circuit(netlist: Netlist, library: Library) -> Circuit:
    """Understand every part of a netlist and build the graph.

    Parts that stand in nets but in no part list are parts without an entry.
    Parts that are not fitted have no arcs.
    """
    # 90 ms, which a saved map and the help of a command do not need.
    import networkx as nx

    named = {net.name for net in netlist.nets if named_rail(net)}
    identified: dict[str, Identified] = {}
    for reference, numbers in sorted(netlist.pins_of_parts.items(), key=lambda item: natural_key(item[0])):
        part = netlist.by_reference.get(reference) or Part(reference)
        supply = frozenset(
            n
            for n in numbers
            if any(net in named for net in netlist.nets_of_pins.get(PinRef(reference, n), ()))
        )
        identified[reference] = identify(part, numbers, library, supply)
    rails = find_rails(netlist, identified)
    graph: nx.MultiDiGraph[str] = nx.MultiDiGraph()
    for reference, known in identified.items():
        if not known.part.fitted:
            continue
        for arc in known.type.arcs:
            if arc.kind not in ("data", "series"):
                continue
            for source in netlist.nets_of_pins.get(PinRef(reference, arc.source), ()):
                for target in netlist.nets_of_pins.get(PinRef(reference, arc.target), ()):
                    graph.add_edge(source, target, part=reference, arc=arc)
                    if arc.kind == "series":
                        back = Arc("series", arc.target, arc.source, ohm=arc.ohm)
                        graph.add_edge(target, source, part=reference, arc=back)
    return Circuit(netlist, identified, rails, graph)
