"""From the outputs that drive the stages back to the memories: the inputs on the way, open until something feeds them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from tracer.beeps.bench import Bench
from tracer.beeps.buses import find_banks, is_one_way
from tracer.beeps.stage_ends import StageDriven, find_stage_ends
from tracer.beeps.standing import outputs_on
from tracer.beeps.through import other_ends
from tracer.beeps.wanted import Connection, Gate, Want, Wanted
from tracer.circuit.graph import DAMPING_OHM
from tracer.netlist.board import PinRef
from tracer.parts.kinds import Kind

__all__ = ["find_wanted"]

#: Chips in a row; a way back that is longer runs in a circle.
LONGEST_WAY = 20


def find_wanted(bench: Bench) -> Wanted:
    """Follow every colour back as far as the beeps go."""
    wanted = Wanted()
    driven = find_stage_ends(bench, wanted)
    ways = _Ways(bench, wanted)
    ways.run(driven)
    find_banks(bench, wanted, ways.may_share)
    return wanted


class _Ways:
    def __init__(self, bench: Bench, wanted: Wanted) -> None:
        self.bench, self.circuit, self.wanted = bench, bench.circuit, wanted
        self.walked: set[PinRef] = set()
        self.reached: dict[PinRef, bool] = {}
        #: Outputs on the way that can let go of their nets -> colour.
        self.may_share: dict[PinRef, str] = {}

    def run(self, driven: Sequence[StageDriven]) -> None:
        for driver, colour, ohm in driven:
            self._walk(driver, colour, ohm, 0)
        self._gates()

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
            if part.kind == Kind.TRANSCEIVER and not is_one_way(self.bench, pin):
                # The processor's way into a memory, or a buffer? That its controls and its net tell.
                return False
        arcs = self.circuit.open_arcs(pin) if part.kind.passes else ()
        if not arcs:
            if part.kind != Kind.CONNECTOR:
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
                self.wanted.met(Connection(want, output))
                reached |= self._walk(output, colour, ohm, depth + 1)
        self.reached[pin] = reached
        if part.kind == Kind.GATE:
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
            every = [p for p in outputs_on(self.bench, net) if p != leg and not self.circuit.is_input(p)]
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
        return self.circuit.identified[pin.part].kind != Kind.TRANSCEIVER
