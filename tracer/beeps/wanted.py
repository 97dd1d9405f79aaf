"""What the beeps have shown of the colour paths, and the open ends from which the search goes on.

A connection is a held leg and the leg that it beeped with, by what it means:

stage    a colour pin, or a net inside the output stage, and a resistor's leg
driver   the far leg of a colour resistor and the output that drives it
input    a data input of a chip on the way and the output that feeds it
bank     a memory's data leg and the same leg of a sibling chip on one bus

Each open end is a `Want`: a held leg whose partner of one of these kinds is not known yet.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from tracer.beeps.bench import Bench
from tracer.circuit.graph import DAMPING_OHM
from tracer.netlist.board import PinRef
from tracer.stage.gather import gather_stage

__all__ = ["Connection", "Kind", "NearEnd", "Want", "Wanted", "find_wanted"]

Kind = Literal["stage", "driver", "input", "bank"]
#: What stands at a resistor's near end: the colour pin, a transistor, or another net of the stage.
NearEnd = Literal["pin", "base", "emitter", "node"]

#: Kinds of parts that make up an output stage.

#: Chips in a row; a way back that is longer runs in a circle.
LONGEST_WAY = 20


@dataclass(frozen=True, slots=True)
class Want:
    """An open end.

    Attributes
    ----------
    kind : str
    held : PinRef
        Where the lead is held.
    colour : str
        The first colour that needs it.
    ohm : float
        Of the resistor of the first bit that needs it; 0 on a colour pin.
    like : PinRef or None
        For a bank: the leg of the memory that is known.
    node : str
        What the near end of the resistor stands on: ``pin`` (the colour pin's net), ``base``, ``emitter`` (or the
        collector), or ``node``, another net of the stage.
    """

    kind: Kind
    held: PinRef
    colour: str
    ohm: float = 0.0
    like: PinRef | None = None
    node: NearEnd = "pin"


@dataclass(frozen=True, slots=True)
class Connection:
    """A want that a beep has met."""

    want: Want
    end: PinRef


@dataclass
class Wanted:
    """All connections that were found, all open ends, and where ways end."""

    found: list[Connection] = field(default_factory=list)
    open: list[Want] = field(default_factory=list)
    memories: dict[PinRef, str] = field(default_factory=dict)
    stopped: dict[PinRef, str] = field(default_factory=dict)
    stage_nets: dict[str, str] = field(default_factory=dict)


def find_wanted(bench: Bench) -> Wanted:
    """Follow every colour back as far as the beeps go."""
    return _Finder(bench).run()


class _Finder:
    def __init__(self, bench: Bench) -> None:
        self.bench, self.circuit = bench, bench.circuit
        self.wanted = Wanted()
        self.walked: set[PinRef] = set()

    def run(self) -> Wanted:
        colour_nets = {self.bench.net(pin): colour for colour, pin in self.bench.colours.items()}
        drivers: list[tuple[PinRef, str, float]] = []
        for colour, pin in self.bench.colours.items():
            stage = gather_stage(self.circuit, self.bench.net(pin))
            held_by = {d.net: d for d in stage.drivers}
            for net in self._from_pin(self.bench.net(pin), stage.nets):
                if net in self.circuit.rails or (net in colour_nets and colour_nets[net] != colour):
                    continue
                legs = self._passive_legs(net)
                drives = self.circuit.drivers_of(net) or (held_by[net].pins if net in held_by else ())
                if drives and net not in colour_nets:
                    for leg in legs:
                        self._met(Connection(self._driver(leg, colour, colour_nets), drives[0]))
                    drivers += [(d, colour, self.bench.ohm(legs[0]) if legs else 0.0) for d in drives]
                elif net in colour_nets or self._transistor_leg(legs) == "B":
                    self._stage(net, colour, legs, net in colour_nets)
                elif self._transistor_leg(legs):
                    # What else stands on an emitter or a collector loads it, and brings no bit.
                    continue
                elif len(legs) > 1:
                    self._stage(net, colour, legs, False)
                elif legs:
                    self.wanted.open.append(self._driver(legs[0], colour, colour_nets))
        for driver, colour, ohm in drivers:
            self._walk(driver, colour, ohm, 0)
        self._banks()
        return self.wanted

    def _from_pin(self, start: str, nets: frozenset[str]) -> list[str]:
        """The nets of a stage, nearest first."""
        seen, queue = [start], [start]
        while queue:
            for other, _, _ in self.circuit.series_neighbours(queue.pop(0)):
                if other in nets and other not in seen:
                    seen.append(other)
                    queue.append(other)
        return seen + sorted(nets - set(seen))

    def _passive_legs(self, net: str) -> list[PinRef]:
        return [pin for pin, part in self.circuit.parts_on(net) if part.kind.is_discrete]

    def _transistor_leg(self, legs: list[PinRef]) -> str:
        """B, C or E where a transistor's leg is among these, the base first; else nothing."""
        names = [
            self.circuit.identified[p.part].type.by_number[p.pin].letter
            for p in legs
            if self.circuit.identified[p.part].kind == "transistor"
        ]
        return min(names, default="")

    def _driver(self, leg: PinRef, colour: str, colour_nets: dict[str, str]) -> Want:
        """The want behind a resistor, with what its near end stands on."""
        node: NearEnd = "node"
        for arc in self.circuit.identified[leg.part].type.arcs:
            if leg.pin in (arc.source, arc.target):
                near = self.bench.net(PinRef(leg.part, arc.target if arc.source == leg.pin else arc.source))
                letter = self._transistor_leg(self._passive_legs(near))
                if near in colour_nets:
                    node = "pin"
                elif letter:
                    node = "base" if letter == "B" else "emitter"
        return Want("driver", leg, colour, self.bench.ohm(leg), node=node)

    def _stage(self, net: str, colour: str, legs: list[PinRef], is_pin: bool) -> None:
        held = self.bench.colours[colour] if is_pin else legs[0]
        self.wanted.stage_nets.setdefault(net, colour)
        if any(w.kind == "stage" and w.held == held for w in self.wanted.open):
            return
        want = Want("stage", held, colour)
        for leg in legs:
            if leg != held:
                self._met(Connection(want, leg))
        self.wanted.open.append(want)

    def _met(self, connection: Connection) -> None:
        same = (connection.want.kind, connection.want.held, connection.end)
        if all((c.want.kind, c.want.held, c.end) != same for c in self.wanted.found):
            self.wanted.found.append(connection)

    # -- from a driver back -----------------------------------------------------------------------

    def _walk(self, pin: PinRef, colour: str, ohm: float, depth: int) -> bool:
        """Follow an output back; whether a memory was reached."""
        part = self.circuit.identified[pin.part]
        if part.kind.stores:
            self.wanted.memories.setdefault(pin, colour)
            return True
        if pin in self.walked or depth > LONGEST_WAY:
            return False
        self.walked.add(pin)
        arcs = part.type.arcs_into(pin.pin, "data") if part.kind.passes else ()
        if not arcs:
            self.wanted.stopped.setdefault(pin, colour)
            return False
        reached, open_inputs = False, []
        for source in dict.fromkeys(arc.source for arc in arcs):
            held = PinRef(pin.part, source)
            if self.bench.is_rail(held):
                continue
            want = Want("input", held, colour, ohm)
            outputs = self._outputs_behind(self.bench.net(held))
            if not outputs:
                open_inputs.append(want)
            for output in outputs:
                self._met(Connection(want, output))
                reached |= self._walk(output, colour, ohm, depth + 1)
        # Of a gate's inputs one carries the picture; behind that, the others only gate it.
        if not (part.kind == "gate" and reached):
            self.wanted.open += [w for w in open_inputs if w not in self.wanted.open]
        return reached

    def _outputs_behind(self, net: str) -> list[PinRef]:
        """Outputs on a net, or behind a damping resistor of it."""
        seen, queue = {net}, [net]
        while queue:
            here = queue.pop(0)
            outputs = [p for p in self.circuit.drivers_of(here) if self._may_feed(p)]
            if outputs:
                return outputs
            for other, _, arc in self.circuit.series_neighbours(here):
                small = arc.ohm is not None and arc.ohm <= DAMPING_OHM
                if small and other not in seen and other not in self.circuit.rails:
                    seen.add(other)
                    queue.append(other)
        return []

    def _may_feed(self, pin: PinRef) -> bool:
        # A transceiver on a memory's data leg is the processor's way in, not the picture's.
        return self.circuit.identified[pin.part].kind != "transceiver"

    # -- banks ------------------------------------------------------------------------------------

    def _banks(self) -> None:
        """One data leg of each memory is tried against its like on every other chip of that type."""
        identified = self.circuit.identified
        tried: set[frozenset[str]] = set()
        sources = list(self.wanted.memories)
        for pin in sources:
            siblings = [
                r
                for r, part in identified.items()
                if r != pin.part and part.type.name == identified[pin.part].type.name and part.part.fitted
            ]
            for reference in siblings:
                other = PinRef(reference, pin.pin)
                if self.bench.net(other) == self.bench.net(pin):
                    self._met(Connection(Want("bank", pin, self.wanted.memories[pin], like=other), other))
                    continue
                if frozenset((reference, pin.part)) in tried or other in self.wanted.memories:
                    continue
                if self._shares_bus(pin.part, reference):
                    if not self.bench.touched(pin, other):
                        self.wanted.open.append(Want("bank", pin, self.wanted.memories[pin], like=other))
                    continue
                tried.add(frozenset((reference, pin.part)))
                if not self._tried_apart(pin.part, reference):
                    self.wanted.open.append(Want("bank", pin, self.wanted.memories[pin], like=other))

    def _shares_bus(self, a: str, b: str) -> bool:
        return any(
            self.bench.net(PinRef(a, p.number)) == self.bench.net(PinRef(b, p.number))
            for p in self.circuit.identified[a].type.pins
            if p.role in ("data_io", "data_out")
        )

    def _tried_apart(self, a: str, b: str) -> bool:
        sources = {p.part for p in self.wanted.memories}
        if a in sources and b in sources:
            return True
        return any(
            self.bench.touched(PinRef(a, p.number), PinRef(b, p.number))
            for p in self.circuit.identified[a].type.pins
            if p.role in ("data_io", "data_out")
        )
