"""A board to be simulated: its chips as far as they lead to the colours, its stages, what its memories hold.

The chips are followed back as far as the table of behaviour goes; what stands beyond gives its nets a level by their
names (`Signals`): clocks move, strobes rest, blanking comes and goes, all others follow the picture.
"""

from __future__ import annotations

import random
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from tests.closed_loop.bench.behaviour import (
    ALL,
    LANES,
    N_BLANK,
    N_ELEMENTS,
    VISIBLE,
    Chip,
    Section,
    Wire,
    make_chip,
)
from tests.closed_loop.bench.change import NO_CHANGE
from tests.closed_loop.bench.nodal import Network
from tests.closed_loop.bench.solved import Solved
from tracer.netlist.board import Netlist, PinRef
from tracer.parts.identify import Identified
from tracer.parts.kinds import Kind

__all__ = ["Board", "Signals"]

#: Net names -> what the level does where nothing that is simulated drives it, for boards that name nets by custom.
Signals = Sequence[tuple[str, str]]


@dataclass(frozen=True)
class Piece:
    """A resistor, diode or transistor of the stages, by its legs."""

    kind: str
    part: str
    legs: tuple[PinRef, ...]
    value: float = 0.0


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

    def _pieces(self) -> Iterator[Piece]:
        """Resistors, diodes and transistors between the colour pins and the outputs."""
        every = [p for ref in self.known for p in self._pieces_of(ref)]
        nets = {self.net_of[leg] for leg in self.colour_legs.values()}
        found: dict[int, Piece] = {}
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

    def _pieces_of(self, ref: str) -> Iterator[Piece]:
        known = self.known[ref]
        if known.kind in (Kind.RESISTOR, Kind.RESISTOR_PACK) and known.ohm:
            pairs = {tuple(sorted((a.source, a.target))) for a in known.type.arcs if a.kind == "series"}
            for a, b in sorted(pairs):
                yield Piece("resistor", ref, (PinRef(ref, a), PinRef(ref, b)), known.ohm)
        elif known.kind == Kind.DIODE:
            legs = {p.name[:1]: PinRef(ref, p.number) for p in known.type.pins}
            if {"A", "K"} <= set(legs):
                yield Piece("junction", ref, (legs["A"], legs["K"]))
        elif known.kind == Kind.TRANSISTOR:
            legs = {p.letter: PinRef(ref, p.number) for p in known.type.pins}
            yield Piece(
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
