"""A board simulated element by element: levels of its nets, and volts at its colour pins.

The chips that lead to the colours are followed back as far as the table of behaviour goes; what stands beyond gives its
nets a level by their names (`Signals`): clocks move, strobes rest, blanking comes and goes, all others follow the picture.
"""

from __future__ import annotations

import random
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from tests.closed_loop.bench.behaviour import (  # fmt: skip
    ALL,
    LANES,
    N_BLANK,
    N_ELEMENTS,
    NOTHING,
    VISIBLE,
    Chip,
    Read,
    Section,
    Wire,
    constant,
    frame_mask,
    make_chip,
    outputs_of,
)
from tests.closed_loop.bench.nodal import Element, Network, junction, load, resistor
from tracer.netlist.board import Netlist, PinRef
from tracer.parts.identify import Identified
from tracer.parts.kinds import Kind

__all__ = ["Board", "Change", "Solved", "leg_text", "looks"]

#: A monitor's input, and a contact or a short, in ohms.
MONITOR_OHM, SHORT_OHM = 75.0, 1.0
#: Net names -> what the level does where nothing that is simulated drives it, for boards that name nets by custom.
Signals = Sequence[tuple[str, str]]

Mode = str
"""What an output does instead: low, high, nothing, weak (no high), half (no level), frozen, unstable, layer, random."""


@dataclass(frozen=True)
class Change:
    """A change of the circuit.

    Attributes
    ----------
    off : tuple of PinRef
        Legs that have left their nets, each alone.
    cut : tuple of PinRef
        Legs that have left their net together.
    joined : tuple of tuple of str
        Nets tied together.
    tied : mapping of str to int
        Nets tied to a rail.
    outputs : mapping of PinRef to Mode
    hears : mapping of PinRef to int
        Inputs that hear one level only, inside their chip.
    words : mapping of str to str
        Memory -> ``random``: other words than were written.
    ohms : mapping of (str, str) to float
        Part and first leg of a resistor -> factor.
    gone, bridged
        Diodes and transistors that are open; legs of one part tied together.
    dark : frozenset of str
        Colours that the monitor does not show; `unplugged` those it does not load either.
    exchanged : tuple of str
        Colours that are swapped on their way to the monitor.
    frames : frozenset of int or None
        The looks at the picture in which it is there; None for all.
    """

    off: tuple[PinRef, ...] = ()
    cut: tuple[PinRef, ...] = ()
    joined: tuple[tuple[str, ...], ...] = ()
    tied: Mapping[str, int] = field(default_factory=dict)
    outputs: Mapping[PinRef, Mode] = field(default_factory=dict)
    hears: Mapping[PinRef, int] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    ohms: Mapping[tuple[str, str], float] = field(default_factory=dict)
    gone: frozenset[str] = frozenset()
    bridged: tuple[tuple[PinRef, PinRef], ...] = ()
    dark: frozenset[str] = frozenset()
    unplugged: frozenset[str] = frozenset()
    exchanged: tuple[str, ...] = ()
    frames: frozenset[int] | None = None


NO_CHANGE = Change()


@dataclass(frozen=True)
class _Piece:
    """A resistor, diode or transistor of the stages, by its legs."""

    kind: str
    part: str
    legs: tuple[PinRef, ...]
    value: float = 0.0


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


def leg_text(leg: PinRef) -> str:
    """``U9.17``."""
    return f"{leg.part}.{leg.pin}"


class Board:
    """One board as drawn, and what its nets do that nothing simulated drives.

    Parameters
    ----------
    name : str
    netlist : Netlist
    known : mapping of str to Identified
        What each part is.
    colour_legs : mapping of str to PinRef
        Where the colours leave.
    signals : sequence of (str, str)
        Pattern of a net's name -> clock, high, low, blank low, blank high, varies; the first that matches. Nets that are
        named here are not followed back.
    seed : int
    """

    def __init__(
        self,
        name: str,
        netlist: Netlist,
        known: Mapping[str, Identified],
        colour_legs: Mapping[str, PinRef],
        signals: Signals,
        seed: int = 0,
    ) -> None:
        self.name, self.netlist, self.colour_legs, self.signals, self.seed = name, netlist, colour_legs, signals, seed  # fmt: skip
        self.known = known
        self.net_of = {leg: net.name for net in netlist.nets for leg in net.pins}
        self.legs_of = {net.name: net.pins for net in netlist.nets}
        self.rails = {n: level for n in self.legs_of if (level := _rail(n)) is not None}
        self.ground = next(n for n, level in self.rails.items() if level == 0)
        self.supply = next(n for n, level in self.rails.items() if level == 1)
        self._words: dict[tuple[str, str], dict[int, int]] = {}
        self._noise: dict[str, int] = {}
        self._solvers: dict[object, Network] = {}
        self.layer = _in_every_look(random.Random(f"{seed} layer").getrandbits(N_ELEMENTS))
        self.pieces = list(self._pieces())
        self.stage_nets = {self.net_of[leg] for p in self.pieces for leg in p.legs if leg in self.net_of}
        self.chips: dict[str, Chip] = {}
        self.sources: dict[PinRef, tuple[str, Wire]] = {}
        self._follow_back()
        self.pulls = dict(self._pulls())

    # -- what is on it ------------------------------------------------------------------------------

    def marking(self, part: str) -> str:
        """What is printed on a part."""
        found = self.netlist.by_reference.get(part)
        return found.marking if found else ""

    def _pieces(self) -> Iterator[_Piece]:
        """Resistors, diodes and transistors between the colour pins and the outputs."""
        every = [p for ref in self.known for p in self._pieces_of(ref)]
        nets = {self.net_of[leg] for leg in self.colour_legs.values()}
        found: dict[int, _Piece] = {}
        while True:
            new = {
                i: p for i, p in enumerate(every)
                if i not in found and any(self.net_of.get(leg) in nets for leg in p.legs)
            }  # fmt: skip
            if not new:
                break
            found |= new
            reached = {self.net_of[leg] for p in new.values() for leg in p.legs if leg in self.net_of}
            nets |= reached - set(self.rails)
        yield from (found[i] for i in sorted(found))

    def _pieces_of(self, ref: str) -> Iterator[_Piece]:
        known = self.known[ref]
        if known.kind in (Kind.RESISTOR, Kind.RESISTOR_PACK) and known.ohm:
            pairs = {tuple(sorted((a.source, a.target))) for a in known.type.arcs if a.kind == "series"}
            for a, b in sorted(pairs):
                yield _Piece("resistor", ref, (PinRef(ref, a), PinRef(ref, b)), known.ohm)
        elif known.kind == Kind.DIODE:
            legs = {p.name[:1]: PinRef(ref, p.number) for p in known.type.pins}
            if {"A", "K"} <= set(legs):
                yield _Piece("junction", ref, (legs["A"], legs["K"]))
        elif known.kind == Kind.TRANSISTOR:
            legs = {p.letter: PinRef(ref, p.number) for p in known.type.pins}
            yield _Piece(
                "transistor", ref, (legs["B"], legs["C"], legs["E"]), -1.0 if known.polarity == "pnp" else 1.0
            )

    def _pulls(self) -> Iterator[tuple[str, int]]:
        for ref, known in self.known.items():
            if known.kind in (Kind.RESISTOR, Kind.RESISTOR_PACK):
                for piece in self._pieces_of(ref):
                    nets = [self.net_of.get(leg, "") for leg in piece.legs]
                    for one, other in (nets, nets[::-1]):
                        if other in self.rails and one not in self.rails and one not in self.stage_nets:
                            yield one, self.rails[other]

    def _follow_back(self) -> None:
        waiting, seen = sorted(self.stage_nets - set(self.rails)), set[str]()
        found: dict[str, Chip] = {}
        while waiting:
            net = waiting.pop()
            if net in seen or net in self.rails:
                continue
            seen.add(net)
            outputs = [leg for leg in self.legs_of[net] if self._can_drive(leg)]
            told = self._told(net)
            chips = [] if told else [c for leg in outputs if (c := self._chip(leg.part)) is not None]
            chips = [c for c, leg in ((c, leg) for c in chips for leg in outputs) if any(s.out == leg.pin for s in c.sections)]  # fmt: skip
            if not chips and (outputs or net not in self.stage_nets):
                leg = outputs[0] if outputs else PinRef("", net)
                self.sources[leg] = (net, self._signal(told or "varies", net))
            for chip in chips:
                found[chip.reference] = chip
                nets = (self.net_of.get(PinRef(chip.reference, p)) for p in chip.inputs)
                waiting += [n for n in nets if n is not None]
        # Sources first: a chip is settled after those that feed it, where there is no loop.
        self.chips = dict(sorted(found.items(), key=lambda item: item[0]))
        self.chips = {r: self.chips[r] for r in self._in_order(found)}

    def _in_order(self, chips: Mapping[str, Chip]) -> list[str]:
        drivers: dict[str, set[str]] = {}
        for ref, chip in chips.items():
            for s in chip.sections:
                drivers.setdefault(self.net_of.get(PinRef(ref, s.out), ""), set()).add(ref)
        order: dict[str, None] = {}

        def visit(ref: str, above: frozenset[str]) -> None:
            if ref in order or ref in above:
                return
            for pin in chips[ref].inputs:
                for other in sorted(drivers.get(self.net_of.get(PinRef(ref, pin), "-"), ())):
                    visit(other, above | {ref})
            order[ref] = None

        for ref in sorted(chips):
            visit(ref, frozenset())
        return list(order)

    def _chip(self, part: str) -> Chip | None:
        known = self.known.get(part)
        return make_chip(part, known.part.marking, known.type) if known else None

    def _can_drive(self, leg: PinRef) -> bool:
        known = self.known.get(leg.part)
        pin = known.type.by_number.get(leg.pin) if known else None
        return pin is not None and pin.direction in ("out", "three_state", "open_collector", "bidirectional")

    def _told(self, net: str) -> str | None:
        return next((kind for pattern, kind in self.signals if re.fullmatch(pattern, net)), None)

    def _signal(self, kind: str, net: str) -> Wire:
        blank = ALL & ~VISIBLE
        rng = random.Random(f"{self.seed} {net}")
        if kind == "clock":
            return Wire(ALL, ALL)
        if kind == "varies":
            hi = _in_every_look(rng.getrandbits(N_ELEMENTS)) | rng.getrandbits(N_BLANK) << (LANES - N_BLANK)
            return Wire(hi, ALL & ~hi)
        hi = {"high": ALL, "low": 0, "blank low": VISIBLE, "blank high": blank}[kind]
        return Wire(hi, ALL & ~hi)

    # -- what is in it ------------------------------------------------------------------------------

    def words(self, memory: str, salt: str) -> _Words:
        """What a memory holds; `salt` tells one filling from another."""
        return _Words(f"{self.seed} {memory} {salt}", self._words.setdefault((memory, salt), {}))

    def noise(self, name: str) -> int:
        """A bit for each lane, the same each time."""
        if name not in self._noise:
            self._noise[name] = random.Random(f"{self.seed} {name}").getrandbits(LANES)
        return self._noise[name]

    def solver(self, network: Network) -> Network:
        """One solver for all networks that are alike: it remembers what it has solved."""
        key = (tuple(network.elements), tuple(network.driven), tuple(sorted(network.fixed.items())))
        return self._solvers.setdefault(key, network)

    @cached_property
    def healthy(self) -> Solved:
        """The board without a fault."""
        return Solved(self, NO_CHANGE)

    # -- the ways back ------------------------------------------------------------------------------

    def drivers_of(self, net: str) -> list[tuple[Chip, Section]]:
        """Sections that can drive a net."""
        found = []
        for leg in self.legs_of.get(net, ()):
            chip = self.chips.get(leg.part)
            found += [(chip, s) for s in chip.sections if s.out == leg.pin] if chip else []
        return found

    @cached_property
    def path(self) -> Mapping[str, frozenset[str]]:
        """Chips whose outputs carry the colours, from the stage back to the palette -> those outputs."""
        found: dict[str, set[str]] = {}
        waiting = sorted(self.stage_nets - set(self.rails))
        while waiting:
            net = waiting.pop()
            for chip, section in self.drivers_of(net):
                if chip.kind == "transceiver" or section.out in found.get(chip.reference, ()):
                    continue
                found.setdefault(chip.reference, set()).add(section.out)
                if chip.kind != "memory":
                    nets = [self.net_of.get(PinRef(chip.reference, p)) for p in section.ins]
                    waiting += [n for n in nets if n is not None and self.healthy.wire(n).hi & VISIBLE]
        return {r: frozenset(outs) for r, outs in found.items()}

    @cached_property
    def palettes(self) -> tuple[str, ...]:
        """The memories of the path."""
        return tuple(r for r in self.path if self.chips[r].kind == "memory")

    @cached_property
    def before(self) -> Mapping[str, frozenset[str]]:
        """Chips that carry the index to the palette -> their outputs, as far as another memory."""
        found: dict[str, set[str]] = {}
        waiting = [
            net for r in self.palettes for p in self.chips[r].sections[0].ins
            if (net := self.net_of.get(PinRef(r, p))) is not None
        ]  # fmt: skip
        while waiting:
            net = waiting.pop()
            for chip, section in self.drivers_of(net):
                done = section.out in found.get(chip.reference, ())
                if done or chip.kind in ("transceiver", "memory") or net in self.rails:
                    continue
                found.setdefault(chip.reference, set()).add(section.out)
                waiting += [n for p in section.ins if (n := self.net_of.get(PinRef(chip.reference, p)))]
        return {r: frozenset(outs) for r, outs in found.items()}

    def legs_on(self, nets: Iterable[str]) -> list[PinRef]:
        """Legs that stand on nets."""
        return [leg for net in nets for leg in self.legs_of.get(net, ())]


class _Words:
    """Words of a memory, drawn when they are first read."""

    def __init__(self, seed: str, known: dict[int, int]) -> None:
        self.seed, self.known = seed, known

    def __call__(self, address: int) -> int:
        if address not in self.known:
            self.known[address] = random.Random(f"{self.seed} {address}").getrandbits(8)
        return self.known[address]


def _in_every_look(elements: int) -> int:
    """The same elements in each look at the picture."""
    return sum(elements << N_ELEMENTS * i for i in range(VISIBLE.bit_length() // N_ELEMENTS))


def _rail(net: str) -> int | None:
    name = net.rpartition(":")[2].lstrip("/").upper()
    return 0 if name in ("GND", "VSS") else 1 if name in ("+5V", "VCC") else None


def looks(change: Change) -> int:
    """The lanes in which a change is there."""
    if change.frames is None:
        return ALL
    # Between pictures it is as in the first look.
    blank = ALL & ~VISIBLE if 0 in change.frames else 0
    return sum(frame_mask(f) for f in change.frames) | blank
