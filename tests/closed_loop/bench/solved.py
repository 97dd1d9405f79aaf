"""A board with a change, solved: levels of its nets by lane, and volts at its stages."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property
from typing import TYPE_CHECKING

from tests.closed_loop.bench.behaviour import ALL, LANES, NOTHING, Chip, Read, Wire, constant, outputs_of
from tests.closed_loop.bench.change import Change, leg_text
from tests.closed_loop.bench.nodal import Element, Network, junction, load, resistor
from tracer.netlist.board import PinRef

if TYPE_CHECKING:
    from tests.closed_loop.bench.board import Board

__all__ = ["Solved"]

#: A monitor's input, and a short inside a part, in ohms.
MONITOR_OHM, SHORT_OHM = 75.0, 1.0


class Solved:
    """A board with a change: levels of every net that is simulated, volts at the colours."""

    def __init__(self, board: Board, change: Change) -> None:
        self.board, self.change = board, change
        self.nodes = _nodes(board, change)
        self.tied = {self.alias(net): level for net, level in (*board.rails.items(), *change.tied.items())}
        self.wires: dict[str, Wire] = {}
        self.driven: dict[PinRef, Wire] = {}
        self._drivers: dict[str, list[PinRef]] = {}
        self._readers: dict[str, set[str]] = {}
        self._settle()
        self.circuits = [Network(e, f, d) for e, f, d in self._analogue()]

    # -- nodes --------------------------------------------------------------------------------------

    def alias(self, net: str) -> str:
        """The node that a net has become."""
        for nets in self.change.joined:
            if net in nets:
                return nets[0]
        return net

    def node(self, leg: PinRef) -> str | None:
        """The node that a leg stands on."""
        own = self.nodes.get(leg)
        if own is not None:
            return own
        net = self.board.net_of.get(leg)
        return self.alias(net) if net is not None else None

    # -- levels -------------------------------------------------------------------------------------

    def _settle(self) -> None:
        board = self.board
        for chip in board.chips.values():
            for pin in chip.inputs:
                node = self.node(PinRef(chip.reference, pin))
                if node is not None:
                    self._readers.setdefault(node, set()).add(chip.reference)
            for section in chip.sections:
                self._add_driver(PinRef(chip.reference, section.out))
        for leg, (net, wire) in board.sources.items():
            if leg.part:
                self._add_driver(leg)
            else:
                self._drivers.setdefault(self.alias(net), []).append(leg)
            self.driven[leg] = self._overridden(leg, wire)
        waiting = list(board.chips)
        for _ in range(6):
            again: set[str] = set()
            for reference in waiting:
                for node in self._evaluate(board.chips[reference]):
                    again |= self._readers.get(node, set())
            if not again:
                return
            waiting = [r for r in board.chips if r in again]

    def _add_driver(self, leg: PinRef) -> None:
        node = self.node(leg)
        if node is not None:
            self._drivers.setdefault(node, []).append(leg)

    def _evaluate(self, chip: Chip) -> Iterator[str]:
        """Let a chip drive; gives the nodes that changed."""
        board, ref = self.board, chip.reference
        rng = random.Random(f"{board.seed} {ref}")
        salt = self.change.words.get(ref, "")
        word = board.words(ref, salt)
        for out, wire in outputs_of(chip, lambda pin: self.read(chip, pin), word, rng).items():
            leg = PinRef(ref, out)
            new = self._overridden(leg, wire)
            if self.driven.get(leg) != new:
                self.driven[leg] = new
                node = self.node(leg)
                if node is not None:
                    self.wires.pop(node, None)
                    yield node

    def _overridden(self, leg: PinRef, wire: Wire) -> Wire:
        mode = self.change.outputs.get(leg)
        if mode is None:
            return wire
        if mode in ("low", "high"):
            return constant(int(mode == "high"))
        if mode == "nothing":
            return NOTHING
        noise = self.board.noise(f"{leg} {mode}")
        if mode == "frozen":
            return constant(noise & 1)
        if mode == "weak":
            return Wire(0, wire.lo & ~wire.hi, wire.hi)
        if mode == "half":
            return Wire(0, 0, ALL)
        at = {"unstable": noise & self.board.noise(f"{leg} when"), "layer": self.board.layer, "random": ALL}[
            mode
        ]
        hi = (wire.hi & ~at) | (noise & at)
        return Wire(hi, ALL & ~hi)

    def wire(self, node: str) -> Wire:
        """The level of a node."""
        if node in self.tied:
            return constant(self.tied[node])
        if node not in self.wires:
            self.wires[node] = self._resolved(node)
        return self.wires[node]

    def _resolved(self, node: str) -> Wire:
        drivers = [(leg, self.driven.get(leg, NOTHING)) for leg in self._drivers.get(node, ())]
        if not drivers:
            found = NOTHING
        elif len(drivers) == 1:
            found = drivers[0][1]
        else:
            found = self._against(drivers)
        pull = self.board.pulls.get(node)
        if pull is not None:
            idle = ALL & ~(found.hi | found.lo | found.mid)
            found = Wire(found.hi | idle, found.lo, found.mid) if pull else Wire(found.hi, found.lo | idle, found.mid)  # fmt: skip
        return found

    def _against(self, drivers: Sequence[tuple[PinRef, Wire]]) -> Wire:
        """Several outputs on a node: a bipolar low beats a high, two CMOS outputs meet half-way."""
        hi = lo = mid = 0
        low_wins = any(leg.part in self.board.chips and not self.board.chips[leg.part].is_cmos for leg, _ in drivers)  # fmt: skip
        for _, wire in drivers:
            clash = (hi & ~lo & wire.lo & ~wire.hi) | (lo & ~hi & wire.hi & ~wire.lo)
            hi, lo, mid = hi | wire.hi, lo | wire.lo, mid | wire.mid | clash
            hi &= ~clash
            if not low_wins:
                lo &= ~clash
        return Wire(hi, lo, mid & ~hi)

    def read(self, chip: Chip, pin: str) -> Read:
        """What an input takes its level for."""
        leg = PinRef(chip.reference, pin)
        if leg in self.change.hears:
            level = self.change.hears[leg]
            return (ALL, 0) if level else (0, ALL)
        node = self.node(leg)
        hi, lo, mid = self.wire(node) if node is not None else NOTHING
        rest = ALL & ~(hi | lo)
        if rest:
            noise = self.board.noise(str(leg))
            # A bipolar input that nothing drives reads high; one half-way reads as it likes, a CMOS one always.
            own = noise if chip.is_cmos else (noise & mid) | (rest & ~mid)
            hi, lo = hi | (own & rest), lo | (~own & rest)
        return hi, lo

    # -- volts --------------------------------------------------------------------------------------

    def _analogue(self) -> Iterator[tuple[list[Element], dict[str, float], list[str]]]:
        elements = list(self._elements())
        drivers = [n for n in dict.fromkeys(n for e in elements for n in e.nodes) if n in self._drivers]
        volts = {n: 5.0 * level for n, level in self.tied.items()}
        groups: dict[str, str] = {}

        def root(n: str) -> str:
            while groups.setdefault(n, n) != n:
                n = groups[n]
            return n

        for e in elements:
            free = [n for n in e.nodes if n not in volts]
            for n in free[1:]:
                groups[root(n)] = root(free[0])
        together: dict[str, list[Element]] = {}
        for e in elements:
            free = [n for n in e.nodes if n not in volts]
            if free:
                together.setdefault(root(free[0]), []).append(e)
        for own in together.values():
            nodes = {n for e in own for n in e.nodes}
            yield own, {n: volts[n] for n in nodes if n in volts}, [n for n in drivers if n in nodes and n not in volts]  # fmt: skip

    def _elements(self) -> Iterator[Element]:
        change = self.change
        for piece in self.board.pieces:
            nodes = tuple(self.node(leg) or str(leg) for leg in piece.legs)
            if piece.part in change.gone:
                continue
            if piece.kind == "resistor":
                factor = change.ohms.get((piece.part, piece.legs[0].pin), 1.0)
                yield resistor(nodes[0], nodes[1], piece.value * factor)
            elif piece.kind == "junction":
                yield junction(nodes[0], nodes[1])
            else:
                yield Element("transistor", nodes, piece.value)
        for a, b in change.bridged:
            yield resistor(self.node(a) or str(a), self.node(b) or str(b), SHORT_OHM)
        for colour, leg in self.board.colour_legs.items():
            if colour not in change.unplugged:
                # The plug holds the net, whatever has become of the contact beside it.
                yield load(self.node(leg) or str(leg), self.board.ground, MONITOR_OHM)

    @cached_property
    def volts(self) -> Mapping[str, tuple[float, ...]]:
        """Colour -> volts by lane at the connector's leg."""
        return {c: self.volts_at(self.node(leg) or str(leg)) for c, leg in self.board.colour_legs.items()}

    def network_of(self, node: str) -> Network | None:
        """The network that a node stands in."""
        return next((c for c in self.circuits if node in c.free), None)

    def volts_at(self, node: str) -> tuple[float, ...]:
        """Volts of a node of the stages by lane."""
        network = self.network_of(node)
        if network is None:
            return (5.0 * self.tied.get(node, 0),) * LANES
        solver = self.board.solver(network)
        states = ["".join(column) for column in zip(*(self._states(n) for n in network.driven), strict=True)]
        return tuple(solver.solve(s)[node] for s in states or [""] * LANES)

    def _states(self, node: str) -> str:
        """What drives a node, a letter for each lane, lane 0 first."""
        wire = self.wire(node)
        drivers = (leg.part for leg in self._drivers.get(node, ()))
        both_ways = any(re.match(r"74(HC|AC)", self.board.marking(part)) for part in drivers)
        found = []
        for lane in range(LANES):
            hi, lo, mid = wire.hi >> lane & 1, wire.lo >> lane & 1, wire.mid >> lane & 1
            if hi and lo:
                found.append("M")
            elif mid:
                found.append("B" if lo else "M")
            elif hi:
                found.append("h" if both_ways else "H")
            elif lo:
                found.append("l" if both_ways else "L")
            else:
                found.append("Z")
        return "".join(found)


def _nodes(board: Board, change: Change) -> dict[PinRef, str]:
    """Legs that no longer stand on their nets."""
    found = {leg: f"{leg_text(leg)}#" for leg in change.off}
    if change.cut:
        found |= dict.fromkeys(change.cut, f"{board.net_of[change.cut[0]]}#")
    return found
