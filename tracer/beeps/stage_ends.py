"""The open ends of the output stages: from each colour pin over what carries the colour to where its bits meet, and behind
each resistor there to what drives it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from tracer.beeps.bench import Bench
from tracer.beeps.standing import (
    base_behind,
    is_resistor,
    is_short,
    outputs_on,
    passive_legs,
    rails_left,
    transistor_letter,
)
from tracer.beeps.through import other_ends
from tracer.beeps.wanted import Connection, NearEnd, Want, Wanted, are_rungs
from tracer.netlist.board import PinRef
from tracer.parts.identify import Identified
from tracer.parts.kinds import Kind
from tracer.stage.gather import gather_stage

__all__ = ["StageDriven", "find_stage_ends"]

#: A smaller resistor at a colour pin carries the whole stage, or ends its line (common practice, no source).
SERIES_OHM = 150.0
#: Legs on a node of a ladder: two rails and a rung.
_LEGS_ON_NODE = 3

#: An output that drives a stage, the colour, and the ohms behind which it stands.
StageDriven = tuple[PinRef, str, float]


def find_stage_ends(bench: Bench, wanted: Wanted) -> list[StageDriven]:
    """Put what is open in the stages into `wanted`; gives the outputs that were found to drive them."""
    return _Stages(bench, wanted).run()


class _Stages:
    def __init__(self, bench: Bench, wanted: Wanted) -> None:
        self.bench, self.circuit, self.wanted = bench, bench.circuit, wanted
        self.colour_nets = {bench.net(pin): colour for colour, pin in bench.colours.items()}

    def run(self) -> list[StageDriven]:
        heads = {colour: self._heads(self.bench.net(pin)) for colour, pin in self.bench.colours.items()}
        # Where small resistors of two colours meet, one output drives both.
        times = Counter(net for own in heads.values() for net in own)
        self.wanted.heads = {
            colour: [net for net in own if times[net] == 1 or net in self.colour_nets]
            for colour, own in heads.items()
        }
        pins = self.bench.colours.items()
        return [driven for colour, pin in pins for driven in self._stage_of(colour, self.bench.net(pin))]

    def _stage_of(self, colour: str, start: str) -> list[StageDriven]:
        """Open what is open in the stage of a colour; gives its drivers with the ohms behind which they stand."""
        stage = gather_stage(self.circuit, start)
        held_by = {d.net: d for d in stage.drivers}
        heads = self.wanted.heads[colour]
        drivers: list[StageDriven] = []
        has_bit = False
        for net in self._from_pin(start, stage.nets):
            if net in self.circuit.rails or self.colour_nets.get(net, colour) != colour:
                continue
            legs = passive_legs(self.bench, net)
            drives = held_by[net].pins if net in held_by else outputs_on(self.bench, net)
            if drives:
                for leg in legs or ((self.bench.colours[colour],) if net == start else ()):
                    self.wanted.met(Connection(self._driver(leg, colour), drives[0]))
                drivers += [(d, colour, self.bench.ohm(legs[0]) if legs else 0.0) for d in drives]
            elif net not in self.colour_nets and len(legs) > 1 and rails_left(self.bench, legs[0]):
                # Far ends meet on supplies more than anywhere else: where several do, that is asked first.
                self.wanted.ask(Want("tied", legs[0], colour))
            elif net in heads:
                has_bit |= self._head(net, colour, legs, heads)
                continue
            elif self._transistor_leg(legs) and not any(is_resistor(self.bench, leg) for leg in legs):
                bases = [leg for leg in legs if transistor_letter(self.bench, leg) == "B"]
                if not bases:
                    continue
                self.wanted.open.append(Want("driver", bases[0], colour, node="base"))
            elif len(legs) > 1:
                self._node(net, colour, legs)
            elif legs and is_short(self.bench, legs[0]):
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
            Kind.INDUCTOR,
            Kind.LINK,
            Kind.RESISTOR,
            Kind.RESISTOR_PACK,
            Kind.SWITCH,
        ):
            is_small = (
                part.kind not in (Kind.RESISTOR, Kind.RESISTOR_PACK) or 0 <= self.bench.ohm(pin) < SERIES_OHM
            )
            for end in other_ends(self.bench, pin) if is_small else ():
                there = self.bench.net(end)
                if len(self.circuit.pins_on(there)) > 1 and not outputs_on(self.bench, there):
                    yield there
        elif part.kind == Kind.TRANSISTOR:
            letter = part.type.by_number[pin.pin].letter
            legs = {p.letter: self.bench.net(PinRef(pin.part, p.number)) for p in part.type.pins}
            emitter = legs.get("E", "")
            follows = letter == "E" or (
                letter == "C" and emitter not in self.circuit.rails and len(self.circuit.pins_on(emitter)) > 1
            )
            if follows and "B" in legs:
                yield legs["B"]
        elif part.kind == Kind.ANALOGUE_SWITCH:
            ways = [
                a for a in part.type.arcs if a.kind in ("data", "series") and pin.pin in (a.source, a.target)
            ]
            legs_behind = dict.fromkeys(a.target if a.source == pin.pin else a.source for a in ways)
            yield from (self.bench.net(PinRef(pin.part, leg)) for leg in legs_behind)
        elif part.kind == Kind.AMPLIFIER:
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

    def _transistor_leg(self, legs: list[PinRef]) -> str:
        """B, C or E where a transistor's leg is among these, the base first; else nothing."""
        names = [
            self.circuit.identified[p.part].type.by_number[p.pin].letter
            for p in legs
            if self.circuit.identified[p.part].kind == Kind.TRANSISTOR
        ]
        return min(names, default="")

    def _driver(self, leg: PinRef, colour: str) -> Want:
        """The want behind a resistor, with what its near end stands on."""
        node: NearEnd = "node"
        heads = self.wanted.heads[colour]
        for end in other_ends(self.bench, leg):
            near = self.bench.net(end)
            letter = self._transistor_leg(passive_legs(self.bench, near))
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
        ohms = [self.bench.ohm(leg) for leg in legs if is_resistor(self.bench, leg)]
        known = {*self.wanted.stage_nets, *self.colour_nets}
        near = [leg for leg in legs if any(self.bench.net(e) in known for e in other_ends(self.bench, leg))]
        ways = [
            e
            for leg in legs
            if leg not in near
            for e in (*other_ends(self.bench, leg), *base_behind(self.bench, leg))
        ]
        is_ladder = len(near) == 1 and are_rungs(ohms)
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
                self.wanted.met(Connection(want, leg))
        self.wanted.open.append(want)
