"""What the beeps have shown of the colour paths, and the open ends from which the search goes on.

A connection is a held leg and the leg that it beeped with, by what it means:

stage    a net of the output stage (a colour pin first) and a leg that stands on it
driver   the far leg of a colour resistor and the output that drives it
input    a data input of a chip on the way and the output that feeds it
bank     an output that can let go, a memory's first of all, and a data leg of another memory on one bus
tied     a control of a chip whose outputs can let go, and the supply that it is tied to

Each open end is a `Want`: a held leg whose partner of one of these kinds is not known yet.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Literal

from tracer.base.names import natural_key
from tracer.beeps.bench import LEAD_OHM, Bench
from tracer.beeps.through import other_ends
from tracer.circuit.graph import DAMPING_OHM
from tracer.netlist.board import PinRef
from tracer.parts.identify import Identified
from tracer.parts.kinds import Kind as PartKind
from tracer.stage.gather import gather_stage

__all__ = [
    "SERIES_OHM",
    "Connection",
    "Gate",
    "Kind",
    "NearEnd",
    "Want",
    "Wanted",
    "data_legs",
    "find_wanted",
    "is_rung",
]

Kind = Literal["stage", "driver", "input", "bank", "tied"]
#: What a leg stands on. Of a resistor, its near end: the net where the bits meet, a transistor, or another net of the
#: stage. Of a net of the stage: where the bits meet, a net on the way there, a node of a ladder, or any other.
NearEnd = Literal["pin", "base", "emitter", "node", "through", "ladder"]

#: Chips in a row; a way back that is longer runs in a circle.
LONGEST_WAY = 20
#: A smaller resistor at a colour pin carries the whole stage, or ends its line (common practice, no source).
SERIES_OHM = 150.0
#: Resistors of a ladder are of one make: they match better than the steps of a row of values.
_LADDER_MATCH = 0.03
#: Controls by which an output lets go of its net.
_LETS_GO = frozenset({"enable", "direction"})
#: Legs on a node of a ladder: two rails and a rung.
_LEGS_ON_NODE = 3


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
        Of the resistor of the first bit that needs it; 0 on a net of the stage.
    like : str
        For a bank: the other memory; ``gates`` where an input is only compared with those of other gates.
    node : NearEnd
    """

    kind: Kind
    held: PinRef
    colour: str
    ohm: float = 0.0
    like: str = ""
    node: NearEnd = "pin"


@dataclass(frozen=True, slots=True)
class Connection:
    """A want that a beep has met."""

    want: Want
    end: PinRef


@dataclass(frozen=True, slots=True)
class Gate:
    """A gate that a bit passes: its output, and the inputs that are no supply."""

    output: PinRef
    inputs: tuple[PinRef, ...]


@dataclass
class Wanted:
    """All connections that were found, all open ends, and where ways end.

    Attributes
    ----------
    stage_nets : dict of str to str
        Net of the stage on which resistors' legs are sought -> colour.
    heads : dict of str to list of str
        Colour -> the nets from its pin to where its bits meet.
    gates : list of Gate
    shared : set of str
        Nets that gate several bits.
    joints : list of str
        Nets behind resistors on which several stand and no output was found yet.
    """

    found: list[Connection] = field(default_factory=list)
    open: list[Want] = field(default_factory=list)
    memories: dict[PinRef, str] = field(default_factory=dict)
    stopped: dict[PinRef, str] = field(default_factory=dict)
    stage_nets: dict[str, str] = field(default_factory=dict)
    heads: dict[str, list[str]] = field(default_factory=dict)
    gates: list[Gate] = field(default_factory=list)
    shared: set[str] = field(default_factory=set)
    joints: list[str] = field(default_factory=list)


def find_wanted(bench: Bench) -> Wanted:
    """Follow every colour back as far as the beeps go."""
    return _Finder(bench).run()


def is_rung(ohm: float, other: float) -> bool:
    """Whether two resistors are alike, or one twice the other: R and 2R of a ladder."""
    low, high = sorted((ohm, other))
    return low > 0 and any(abs(high - low * times) <= _LADDER_MATCH * low * times for times in (1, 2))


def data_legs(bench: Bench, part: str) -> list[PinRef]:
    """The data legs of a memory that can let go of their net, in the order of their names."""
    pins = [
        p
        for p in bench.circuit.identified[part].type.pins
        if p.role in ("data_io", "data_out")
        and p.direction in ("three_state", "bidirectional", "open_collector")
    ]
    return [PinRef(part, p.number) for p in sorted(pins, key=lambda p: natural_key(p.name or p.number))]


_ANALOGUE = (PartKind.AMPLIFIER, PartKind.ANALOGUE_SWITCH, PartKind.COLOUR_ENCODER)


class _Finder:
    def __init__(self, bench: Bench) -> None:
        self.bench, self.circuit = bench, bench.circuit
        self.wanted = Wanted()
        self.walked: set[PinRef] = set()
        self.reached: dict[PinRef, bool] = {}
        #: Outputs on the way that can let go of their nets -> colour.
        self.may_share: dict[PinRef, str] = {}
        self.colour_nets = {bench.net(pin): colour for colour, pin in bench.colours.items()}

    def run(self) -> Wanted:
        drivers: list[tuple[PinRef, str, float]] = []
        heads = {colour: self._heads(self.bench.net(pin)) for colour, pin in self.bench.colours.items()}
        # Where small resistors of two colours meet, one output drives both.
        times = Counter(net for own in heads.values() for net in own)
        self.wanted.heads = {
            colour: [net for net in own if times[net] == 1 or net in self.colour_nets]
            for colour, own in heads.items()
        }
        for colour, pin in self.bench.colours.items():
            drivers += self._stage_of(colour, self.bench.net(pin))
        for driver, colour, ohm in drivers:
            self._walk(driver, colour, ohm, 0)
        self._gates()
        self._banks()
        return self.wanted

    # -- the output stage -------------------------------------------------------------------------

    def _stage_of(self, colour: str, start: str) -> list[tuple[PinRef, str, float]]:
        """Open what is open in the stage of a colour; gives its drivers with the ohms behind which they stand."""
        stage = gather_stage(self.circuit, start)
        held_by = {d.net: d for d in stage.drivers}
        heads = self.wanted.heads[colour]
        drivers: list[tuple[PinRef, str, float]] = []
        has_bit = False
        for net in self._from_pin(start, stage.nets):
            if net in self.circuit.rails or self.colour_nets.get(net, colour) != colour:
                continue
            legs = self._passive_legs(net)
            drives = held_by[net].pins if net in held_by else self._outputs_on(net)
            if drives:
                for leg in legs or ((self.bench.colours[colour],) if net == start else ()):
                    self._met(Connection(self._driver(leg, colour), drives[0]))
                drivers += [(d, colour, self.bench.ohm(legs[0]) if legs else 0.0) for d in drives]
            elif net not in self.colour_nets and len(legs) > 1 and self._rails_left(legs[0]):
                # Far ends meet on supplies more than anywhere else: where several do, that is asked first.
                self._ask_rails(legs[0], colour)
            elif net in heads:
                has_bit |= self._head(net, colour, legs, heads)
                continue
            elif self._transistor_leg(legs) and not any(self._is_resistor(leg) for leg in legs):
                bases = [leg for leg in legs if self._letter(leg) == "B"]
                if not bases:
                    continue
                self.wanted.open.append(Want("driver", bases[0], colour, node="base"))
            elif len(legs) > 1:
                self._node(net, colour, legs)
            elif legs and self._is_short(legs[0]):
                # Whatever stands behind it beeps with what stands before it.
                continue
            elif legs:
                self.wanted.open.append(self._driver(legs[0], colour))
            has_bit = True
        if not has_bit and self._is_tried(heads[-1]):
            # None of the resistors stands here: an output may drive it straight.
            held = self.bench.colours[colour] if len(heads) == 1 else self.circuit.pins_on(heads[-1])[0]
            self.wanted.open.append(Want("driver", held, colour))
        return drivers

    def _ask_rails(self, leg: PinRef, colour: str) -> None:
        if all(w.held != leg or w.kind != "tied" for w in self.wanted.open):
            self.wanted.open.append(Want("tied", leg, colour))

    def _rails_left(self, leg: PinRef) -> list[PinRef]:
        """Supplies that a leg was not tried against."""
        rails = (self.circuit.pins_on(net)[0] for net in self.circuit.rails)
        return [rail for rail in rails if not self.bench.touched(leg, rail)]

    def _is_short(self, leg: PinRef) -> bool:
        """Whether a meter beeps over a part as over a wire."""
        part = self.circuit.identified[leg.part]
        is_wire = part.kind in (PartKind.INDUCTOR, PartKind.LINK)
        return is_wire or (part.kind.is_resistor and part.ohm is not None and part.ohm < LEAD_OHM)

    def _letter(self, leg: PinRef) -> str:
        """B, C or E of a transistor's leg; nothing of any other."""
        part = self.circuit.identified[leg.part]
        known = part.type.by_number.get(leg.pin) if part.kind == PartKind.TRANSISTOR else None
        return known.letter if known is not None else ""

    def _base_behind(self, leg: PinRef) -> list[PinRef]:
        """The base of a transistor whose emitter is the leg: what follows it comes from there."""
        if self._letter(leg) != "E":
            return []
        return [
            PinRef(leg.part, p.number) for p in self.circuit.identified[leg.part].type.pins if p.letter == "B"
        ]

    def _is_resistor(self, leg: PinRef) -> bool:
        return self.circuit.identified[leg.part].kind.is_resistor

    def _is_tried(self, net: str) -> bool:
        """Whether there are resistors in the notes, and each was tried on a net, or stands elsewhere."""
        held = self.circuit.pins_on(net)[0]
        legs = [
            leg
            for r, part in self.circuit.identified.items()
            if part.kind.is_resistor and part.part.fitted
            for p in part.type.pins
            if len(self.circuit.pins_on(self.bench.net(leg := PinRef(r, p.number)))) == 1
        ]
        known = any(part.kind.is_resistor for part in self.circuit.identified.values())
        return known and all(self.bench.touched(held, leg) for leg in legs)

    def _outputs_on(self, net: str) -> tuple[PinRef, ...]:
        """Outputs that hold a net: an amplifier or an analogue switch hands on what comes to it.

        Where none is known, a leg of a chip of which nothing is known may be one, or that of a header to another board.
        """
        found = tuple(
            p for p in self.circuit.drivers_of(net) if self.circuit.identified[p.part].kind not in _ANALOGUE
        )
        if found:
            return found
        plugs = {pin.part for pin in self.bench.colours.values()}
        return tuple(
            pin
            for pin, part in self.circuit.parts_on(net)
            if (part.kind == PartKind.CONNECTOR and pin.part not in plugs)
            or (part.kind.may_drive and part.kind not in _ANALOGUE and self._may_put_out(pin, part))
        )

    def _may_put_out(self, pin: PinRef, part: Identified) -> bool:
        known = part.type.by_number.get(pin.pin)
        return known is None or known.direction not in ("in", "power", "nc")

    def _heads(self, start: str) -> list[str]:
        """The nets from a colour pin to where its bits meet: over small resistors, coils, links and followers."""
        found = [start]
        for net in found:
            for pin, part in self.circuit.parts_on(net):
                for other in self._on_from(pin, part):
                    if (
                        other not in found
                        and other not in self.circuit.rails
                        and other not in self.colour_nets
                    ):
                        found.append(other)
        return found

    def _on_from(self, pin: PinRef, part: Identified) -> Iterator[str]:
        """Nets that carry the whole colour to a net by way of one part."""
        if part.kind in (
            PartKind.INDUCTOR,
            PartKind.LINK,
            PartKind.RESISTOR,
            PartKind.RESISTOR_PACK,
            PartKind.SWITCH,
        ):
            is_small = (
                part.kind not in (PartKind.RESISTOR, PartKind.RESISTOR_PACK)
                or 0 <= self.bench.ohm(pin) < SERIES_OHM
            )
            for end in other_ends(self.bench, pin) if is_small else ():
                there = self.bench.net(end)
                if len(self.circuit.pins_on(there)) > 1 and not self._outputs_on(there):
                    yield there
        elif part.kind == PartKind.TRANSISTOR:
            letter = part.type.by_number[pin.pin].letter
            legs = {p.letter: self.bench.net(PinRef(pin.part, p.number)) for p in part.type.pins}
            emitter = legs.get("E", "")
            follows = letter == "E" or (
                letter == "C" and emitter not in self.circuit.rails and len(self.circuit.pins_on(emitter)) > 1
            )
            if follows and "B" in legs:
                yield legs["B"]
        elif part.kind == PartKind.ANALOGUE_SWITCH:
            ways = [
                a for a in part.type.arcs if a.kind in ("data", "series") and pin.pin in (a.source, a.target)
            ]
            legs_behind = dict.fromkeys(a.target if a.source == pin.pin else a.source for a in ways)
            yield from (self.bench.net(PinRef(pin.part, leg)) for leg in legs_behind)
        elif part.kind == PartKind.AMPLIFIER:
            for arc in part.type.arcs_into(pin.pin, "data"):
                yield self.bench.net(PinRef(pin.part, arc.source))

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
        return [
            pin
            for pin, part in self.circuit.parts_on(net)
            if part.kind.is_discrete
            or part.kind in (PartKind.AMPLIFIER, PartKind.ANALOGUE_SWITCH, PartKind.SWITCH)
        ]

    def _transistor_leg(self, legs: list[PinRef]) -> str:
        """B, C or E where a transistor's leg is among these, the base first; else nothing."""
        names = [
            self.circuit.identified[p.part].type.by_number[p.pin].letter
            for p in legs
            if self.circuit.identified[p.part].kind == PartKind.TRANSISTOR
        ]
        return min(names, default="")

    def _driver(self, leg: PinRef, colour: str) -> Want:
        """The want behind a resistor, with what its near end stands on."""
        node: NearEnd = "node"
        heads = self.wanted.heads[colour]
        for end in other_ends(self.bench, leg):
            near = self.bench.net(end)
            letter = self._transistor_leg(self._passive_legs(near))
            if near in self.colour_nets:
                node = "pin"
            elif letter:
                node = "base" if letter == "B" else "emitter"
            elif near in heads:
                node = "pin"
        return Want("driver", leg, colour, self.bench.ohm(leg), node=node)

    def _head(self, net: str, colour: str, legs: list[PinRef], heads: list[str]) -> bool:
        """Look for legs on a net that carries the colour; whether a resistor stands on it that may make a bit."""
        carries_on = [leg for leg in legs if self._leads_to_head(net, leg, heads)]
        self._stage(net, colour, legs, "through" if carries_on else "pin")
        return any(
            self.circuit.identified[leg.part].kind.is_resistor
            and leg not in carries_on
            and not any(self.bench.is_rail(end) for end in other_ends(self.bench, leg))
            for leg in legs
        )

    def _leads_to_head(self, net: str, leg: PinRef, heads: list[str]) -> bool:
        """Whether a part leads on from a head to one that is farther from the pin."""
        later = heads[heads.index(net) + 1 :]
        part = self.circuit.identified[leg.part]
        return any(other in later for other in self._on_from(leg, part))

    def _node(self, net: str, colour: str, legs: list[PinRef]) -> None:
        """A net behind a resistor on which more resistors stand: of a ladder, or of resistors in a row."""
        ohms = [self.bench.ohm(leg) for leg in legs if self._is_resistor(leg)]
        known = {*self.wanted.stage_nets, *self.colour_nets}
        near = [leg for leg in legs if any(self.bench.net(e) in known for e in other_ends(self.bench, leg))]
        ways = [
            e
            for leg in legs
            if leg not in near
            for e in (*other_ends(self.bench, leg), *self._base_behind(leg))
        ]
        is_ladder = len(near) == 1 and len(ohms) > 1 and all(is_rung(ohms[0], ohm) for ohm in ohms[1:])
        if is_ladder and len(legs) < _LEGS_ON_NODE:
            self._stage(net, colour, legs, "ladder")
            return
        self.wanted.stage_nets.setdefault(net, colour)
        if all(self.bench.is_rail(end) for end in ways) and not (is_ladder and ways):
            # What else stands here only pulls, or leads to a colour as well: an output drives it.
            self.wanted.joints.append(net)
            self.wanted.open.append(self._driver((near or legs)[0], colour))

    def _stage(self, net: str, colour: str, legs: list[PinRef], node: NearEnd) -> None:
        is_pin = net in self.colour_nets
        self.wanted.stage_nets.setdefault(net, colour)
        held = self.bench.colours[colour] if is_pin else min(legs, key=lambda p: self.bench.order.get(p, 0))
        if any(w.kind == "stage" and w.held == held for w in self.wanted.open):
            return
        want = Want("stage", held, colour, node=node)
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
            return self.reached.get(pin, False)
        self.walked.add(pin)
        if self.circuit.can_be_off(pin):
            self.may_share[pin] = colour
            if part.kind == PartKind.TRANSCEIVER and not self._is_one_way(pin):
                # The processor's way into a memory, or a buffer? That its controls and its net tell.
                return False
        arcs = self.circuit.open_arcs(pin) if part.kind.passes else ()
        if not arcs:
            if part.kind != PartKind.CONNECTOR:
                self.wanted.stopped.setdefault(pin, colour)
            return False
        reached, open_inputs = False, []
        inputs = [
            leg
            for source in dict.fromkeys(arc.source for arc in arcs)
            if not self.bench.is_rail(leg := PinRef(pin.part, source))
        ]
        for leg in inputs:
            held, outputs = self._feeding(leg)
            want = Want("input", held, colour, ohm)
            if not outputs:
                open_inputs.append(want)
            for output in outputs:
                self._met(Connection(want, output))
                reached |= self._walk(output, colour, ohm, depth + 1)
        self.reached[pin] = reached
        if part.kind == PartKind.GATE:
            self.wanted.gates.append(Gate(pin, tuple(inputs)))
        self.wanted.open += [w for w in open_inputs if w not in self.wanted.open]
        return reached

    def _gates(self) -> None:
        """Of a gate's inputs one carries the picture; behind that, the others only gate it.

        A net that stands at several gates gates them all: what carries a bit stands at one.
        """
        at: dict[str, set[PinRef]] = {}
        for gate in self.wanted.gates:
            for leg in gate.inputs:
                at.setdefault(self.bench.net(leg), set()).add(gate.output)
        self.wanted.shared = {net for net, outputs in at.items() if len(outputs) > 1}
        closed: dict[PinRef, bool] = {}
        for gate in self.wanted.gates:
            is_reached = self.reached.get(gate.output, False)
            apart = [leg for leg in gate.inputs if self.bench.net(leg) not in self.wanted.shared]
            for leg in gate.inputs if is_reached or apart else ():
                is_shared = leg not in apart
                if is_reached or is_shared:
                    # It is only asked whether it is the net that gates the others, too.
                    closed[leg] = is_shared or len(apart) < len(gate.inputs) or self._is_told_apart(leg)
        self.wanted.open = [
            replace(w, like="gates") if w.held in closed else w
            for w in self.wanted.open
            if w.kind != "input" or not closed.get(w.held)
        ]

    def _is_told_apart(self, leg: PinRef) -> bool:
        """Whether an input is known not to stand on a net that gates others; of the first gates all are tried."""
        nets = [self.circuit.pins_on(net)[0] for net in self.wanted.shared]
        others = nets or [other for g in self.wanted.gates for other in g.inputs if leg not in g.inputs]
        return all(self.bench.touched(leg, other) for other in others)

    def _feeding(self, leg: PinRef) -> tuple[PinRef, list[PinRef]]:
        """Where the lead is held to find what feeds an input, and the outputs that are known to.

        Behind a damping resistor on its net it is that one's far end.
        """
        seen, queue, held = {self.bench.net(leg)}, [leg], leg
        while queue:
            here = queue.pop(0)
            net = self.bench.net(here)
            every = [p for p in self._outputs_on(net) if p != leg and not self.circuit.is_input(p)]
            outputs = [p for p in every if self._may_feed(p)] or every
            if outputs:
                return held, outputs
            for pin, part in self.circuit.parts_on(net):
                if not part.kind.conducts:
                    continue
                for end in other_ends(self.bench, pin):
                    there = self.bench.net(end)
                    if (
                        self.bench.ohm(end) <= DAMPING_OHM
                        and there not in seen
                        and there not in self.circuit.rails
                    ):
                        seen.add(there)
                        queue.append(end)
                        held = end
        return held, []

    def _may_feed(self, pin: PinRef) -> bool:
        # A transceiver on a memory's data leg is the processor's way in, not the picture's.
        return self.circuit.identified[pin.part].kind != PartKind.TRANSCEIVER

    # -- banks ------------------------------------------------------------------------------------

    def _banks(self) -> None:
        """Outputs that can let go may share a net with a memory: one of each chip is tried against every other memory.

        Where one leg shares its net, so may all others of that chip.
        """
        identified = self.circuit.identified
        memories = [r for r, part in identified.items() if part.kind.stores and part.part.fitted]
        pins = {**self.wanted.memories, **self.may_share}
        pins = {pin: colour for pin, colour in pins.items() if self._may_let_go(pin, colour)}
        first: dict[str, PinRef] = {}
        for pin in pins:
            first.setdefault(pin.part, pin)
        partners = {pin: [r for r in memories if r != pin.part and self._met_on_bus(pin, r)] for pin in pins}
        sharing = {pin.part for pin, others in partners.items() if others}
        for pin, colour in pins.items():
            for other in memories:
                legs = data_legs(self.bench, other)
                if other == pin.part or not legs:
                    continue
                if other in partners[pin]:
                    for leg in legs:
                        if self.bench.net(leg) == self.bench.net(pin):
                            self._met(Connection(Want("bank", pin, colour, like=other), leg))
                    continue
                is_due = pin == first[pin.part] or (
                    pin.part in sharing and (not partners[pin] or self._shares_bus(pin.part, other))
                )
                if is_due and not all(self.bench.touched(pin, leg) for leg in legs):
                    self.wanted.open.append(Want("bank", pin, colour, like=other))

    def _controls(self, pin: PinRef) -> list[PinRef]:
        """The legs that let an output go, or turn it round."""
        part = self.circuit.identified[pin.part].type
        legs = {
            a.source for a in part.arcs if a.kind == "control" and a.target == pin.pin and a.role in _LETS_GO
        }
        return [PinRef(pin.part, leg) for leg in sorted(legs, key=natural_key)]

    def _untried(self, pin: PinRef) -> list[PinRef]:
        """Its controls that may still be tied to a supply."""
        return [leg for leg in self._controls(pin) if not self.bench.is_rail(leg) and self._rails_left(leg)]

    def _may_let_go(self, pin: PinRef, colour: str) -> bool:
        """Whether an output may share its net: a memory's, and one whose controls are not all tied."""
        if pin in self.wanted.memories:
            return True
        untried = self._untried(pin)
        for leg in untried:
            self._ask_rails(leg, colour)
        controls = self._controls(pin)
        return not untried and not (controls and all(self.bench.is_rail(leg) for leg in controls))

    def _is_one_way(self, pin: PinRef) -> bool:
        """Whether a two-way buffer always hands on to a leg: its controls are tied, or its net has no memory."""
        controls = self._controls(pin)
        if controls and all(self.bench.is_rail(leg) for leg in controls):
            return True
        memories = [r for r, part in self.circuit.identified.items() if part.kind.stores and part.part.fitted]
        legs = [leg for r in memories for leg in data_legs(self.bench, r)]
        return not self._untried(pin) and all(self.bench.touched(pin, leg) for leg in legs)

    def _met_on_bus(self, pin: PinRef, memory: str) -> bool:
        return any(self.bench.net(leg) == self.bench.net(pin) for leg in data_legs(self.bench, memory))

    def _shares_bus(self, a: str, b: str) -> bool:
        nets = {self.bench.net(leg) for leg in data_legs(self.bench, a)}
        return any(self.bench.net(leg) in nets for leg in data_legs(self.bench, b))
