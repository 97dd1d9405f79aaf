"""The whole search played against a board that is fully known, to count the touches and to see that the map is right."""

from __future__ import annotations

import heapq
import math
import random
from collections.abc import Callable, Sequence
from dataclasses import replace

from tracer.base.names import natural_key
from tracer.base.toml_numbers import NumberTables
from tracer.beeps.bench import Bench, set_up
from tracer.beeps.candidates import Candidates
from tracer.beeps.choice import CONNECTIONS, Choice, look, open_ends
from tracer.beeps.facts import Answer, facts_of, with_touches
from tracer.beeps.rehearsal_values import Rehearsed
from tracer.beeps.through import other_ends
from tracer.beeps.wanted import Wanted
from tracer.beeps.ways_back import find_wanted
from tracer.beeps.weights import load_wiring
from tracer.bitmap.model import Bit, BitMap
from tracer.circuit.graph import Circuit
from tracer.netlist.board import Netlist, Notes, Part, Pin, PinRef, make_netlist
from tracer.parts.library import Library
from tracer.tracing.pipeline import trace

__all__ = ["Meter", "rehearse", "undrawn"]

#: Weights so near one another are no order: what else hangs on a stage moves them.
ALIKE_WEIGHTS = 1.1
#: More touches than this and the search is going in circles.
MOST_TOUCHES = 5000


class Meter:
    """A board that is fully known, and a person with a meter who may misread it.

    A touch is misread with chance `wrong`: a beep is not heard, or, where the leg beside the touched one is
    connected, the probe slips onto that.
    """

    def __init__(self, circuit: Circuit, beep_ohm: float, wrong: float = 0.0, seed: int = 0) -> None:
        self.circuit, self.beep_ohm, self.wrong = circuit, beep_ohm, wrong
        self.random = random.Random(seed)
        self.touches = 0
        self.misread = 0

    def ohms(self, a: PinRef, b: PinRef) -> float | None:
        """Ohms over nets and small resistors, coils and links; None above what a meter beeps at."""
        start, goal = self.circuit.net_of(*a), self.circuit.net_of(*b)
        if start is None or goal is None:
            return None
        best = {start: 0.0}
        queue = [(0.0, start)]
        while queue:
            ohm, net = heapq.heappop(queue)
            if net == goal:
                return ohm
            for other, reference, arc in self.circuit.series_neighbours(net):
                if not self.circuit.identified[reference].kind.conducts:
                    # A meter does not beep over a junction.
                    continue
                small = 0.5 if self.circuit.identified[reference].kind == "inductor" else arc.ohm
                if (
                    small is not None
                    and ohm + small <= self.beep_ohm
                    and ohm + small < best.get(other, math.inf)
                ):
                    best[other] = ohm + small
                    heapq.heappush(queue, (ohm + small, other))
        return None

    def answer(self, choice: Choice) -> Answer:
        """Touch the legs of a choice in order."""
        for leg, _ in choice.legs:
            self.touches += 1
            ohm = self.ohms(choice.held, leg)
            if self.wrong and self.random.random() < self.wrong:
                if ohm is not None:
                    self.misread += 1
                    continue
                ohm = next(
                    (o for p in self._beside(leg) if (o := self.ohms(choice.held, p)) is not None), None
                )
                self.misread += ohm is not None
            if ohm is not None:
                return Answer(leg, ohm)
        return Answer(None)

    def _beside(self, pin: PinRef) -> list[PinRef]:
        numbers = sorted((p.number for p in self.circuit.identified[pin.part].type.pins), key=natural_key)
        at = numbers.index(pin.pin) if pin.pin in numbers else -1
        return [PinRef(pin.part, numbers[i]) for i in (at - 1, at + 1) if at >= 0 and 0 <= i < len(numbers)]


def undrawn(netlist: Netlist, colours: dict[str, PinRef], *, is_placed: bool = True) -> Netlist:
    """A board as it lies on the bench: parts with markings, places and legs, the colour pins, and no nets.

    Without `is_placed` nothing is known of where parts sit.
    """
    parts = []
    for part in netlist.parts:
        pins = tuple(Pin(number) for number in netlist.pins_of_parts.get(part.reference, ()))
        bare = Part(part.reference, part.marking, part.symbol, pins=pins, fitted=part.fitted)
        parts.append(replace(bare, place=part.place, spot=part.spot) if is_placed else bare)
    notes = Notes(tuple(colours.items()))
    outline = netlist.outline if is_placed else ()
    return make_netlist(netlist.name, parts, [], notes=notes, beeped=True, outline=outline)


def rehearse(
    netlist: Netlist,
    library: Library,
    numbers: NumberTables,
    *,
    told: dict[str, str] | None = None,
    wrong: float = 0.0,
    seed: int = 0,
    is_placed: bool = True,
    tell: Callable[[int], None] | None = None,
) -> Rehearsed:
    """Play the search on a full netlist.

    Parameters
    ----------
    told : dict, optional
        Colour -> pin, where the netlist does not tell.
    wrong : float
        Chance that a touch is misread, 0 to 1.
    is_placed : bool
        Whether the search may know where parts sit, as far as the netlist tells.
    tell : callable, optional
        Is given the number of touches after each answer.
    """
    real = trace(netlist, library, pins=told)
    numbers = _knowing(numbers, wrong)
    # The search begins at the pins of the map, which a full netlist tells better than names alone.
    pins = {c.name: f"{c.pin.part}.{c.pin.pin}" for c in real.colours if c.pin.part and c.pin.pin}
    truth = set_up(netlist, library, pins or told)
    meter = Meter(truth.circuit, numbers("answer", "beep_ohm"), wrong, seed)
    notes = undrawn(netlist, truth.colours, is_placed=is_placed)
    search = look(set_up(notes, library), numbers)
    while search.choice is not None and meter.touches < MOST_TOUCHES:
        notes = with_touches(notes, [facts_of(search.choice, meter.answer(search.choice))])
        if tell is not None:
            tell(meter.touches)
        search = look(set_up(notes, library), numbers)
    whole = find_wanted(truth)
    found = trace(notes, library)
    plain = plain_touches(truth, whole)
    return Rehearsed(
        board=netlist.name,
        touches=meter.touches,
        connections=sum(1 for c in whole.found if c.want.kind in CONNECTIONS),
        plain_touches=sum(plain.values()),
        plain_knowing=sum(plain_touches(truth, whole, knows_chips=True).values()),
        entropy_bits=entropy_bits(truth, whole),
        map_right=_is_same(found, real),
        misread=meter.misread,
        located=search.bench.nearness.located,
        parts=len(notes.parts),
        stopped=open_ends(search, found),
        by_kind=plain,
        map=found,
    )


def _knowing(numbers: NumberTables, wrong: float) -> NumberTables:
    """The numbers of someone who knows how often a touch is misread, as whoever misreads many does."""
    answer = {**numbers.tables["answer"], "wrong": max(numbers("answer", "wrong"), wrong)}
    return NumberTables({**numbers.tables, "answer": answer})


def _is_same(found: BitMap, real: BitMap) -> bool:
    """Whether two maps say the same of what a repairer acts on: which bits there are, and their order where they differ."""
    pairs = list(zip(found.colours, real.colours, strict=False))
    return len(found.colours) == len(real.colours) and all(
        a.name == b.name and _are_same(a.bits, b.bits) for a, b in pairs
    )


def _are_same(found: Sequence[Bit], real: Sequence[Bit]) -> bool:
    if sorted(map(_identity, found)) != sorted(map(_identity, real)):
        return False
    weight = {_identity(bit): abs(bit.weight) for bit in found}
    return all(
        weight[_identity(heavy)] >= weight[_identity(light)]
        for heavy in real
        for light in real
        if abs(heavy.weight) > ALIKE_WEIGHTS * abs(light.weight)
    )


def _identity(bit: Bit) -> tuple[str, str, str]:
    """Its resistors, its driver, and where it ends if it is traced."""
    sources = sorted(f"{p.source.part}.{p.source.pin}" for p in bit.paths if p.role != "write path")
    return (
        " ".join(sorted({r.part for r in bit.resistors})),
        f"{bit.driver.part}.{bit.driver.pin}",
        " ".join(sources if bit.is_traced else []),
    )


def plain_touches(truth: Bench, whole: Wanted, *, knows_chips: bool = False) -> dict[str, int]:
    """Touches of someone with the same part list and data sheets who sweeps leg by leg, by kind of connection.

    For each net of the stage both legs of each resistor, coil, link and transistor by reference; for each far end the
    outputs of the chips in leg order, as for each input; never a leg that was found before, as long as another is left.
    With `knows_chips` only those chips are swept that are found in the end.
    """
    circuit = truth.circuit
    counts = {"stage": 0, "driver": 0, "input": 0}
    connections = {kind: [c for c in whole.found if c.want.kind == kind] for kind in counts}
    chips = Candidates(truth, whole, {}, load_wiring()).outputs
    outputs: dict[str, list[PinRef]] = {}
    for kind in ("driver", "input"):
        known = {c.end.part for c in connections[kind]}
        parts = sorted(known | (set() if knows_chips else set(chips)), key=natural_key)
        outputs[kind] = [leg for r in parts for leg in sorted(chips.get(r, ()), key=lambda p: p.key)]
    discrete = [
        PinRef(r, p.number)
        for r, part in circuit.identified.items()
        if part.kind.is_discrete and part.part.fitted
        for p in part.type.pins
    ]
    used: dict[str, set[PinRef]] = {"stage": set(), "driver": set(), "input": set()}
    for held in dict.fromkeys(c.want.held for c in connections["stage"]):
        for leg in discrete:
            if leg in used["stage"] or leg == held:
                continue
            counts["stage"] += 1
            if truth.net(leg) == truth.net(held):
                used["stage"] |= {leg, *other_ends(truth, leg)}
    for kind, legs in outputs.items():
        for held in dict.fromkeys(c.want.held for c in connections[kind]):
            fresh = [p for p in legs if p not in used[kind]]
            for leg in [*fresh, *sorted(used[kind])]:
                counts[kind] += 1
                if truth.net(leg) == truth.net(held):
                    used[kind].add(leg)
                    break
    return counts


def entropy_bits(truth: Bench, whole: Wanted) -> float:
    """log2 of the number of maps that fit the part list, for someone who knows which chips are in the path.

    Each resistor has a leg on one of the stage's nets or none; each held leg is joined to an output of its own.
    """
    parts = [p for p in truth.circuit.identified.values() if p.kind.is_discrete and p.part.fitted]
    nets = len(whole.stage_nets)
    bits = sum(math.log2(nets * len(p.type.pins) + 1) for p in parts if p.type.pins)
    for kind in ("driver", "input"):
        found = [c for c in whole.found if c.want.kind == kind]
        held = len({c.want.held for c in found})
        chips = {c.end.part for c in found}
        ends = sum(
            1
            for r in chips
            for p in truth.circuit.identified[r].type.pins
            if truth.circuit.identified[r].type.drives(p.number)
        )
        ends = max(ends, held)
        bits += (math.lgamma(ends + 1) - math.lgamma(ends - held + 1)) / math.log(2)
    return bits
