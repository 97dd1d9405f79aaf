"""What a fault makes of the picture, computed: volts of every colour over a sample of picture elements.

The sample is every word of the palette that the index can reach (at most 256,
spread over it): its contents where they are known, else words drawn by a fixed
seed, with a black and a white one. A fault changes the index, the words, the
levels of bits or the output stage; the volts follow by the same solution that
the levels come from. An element whose bits float or come and go is solved both
ways and marked as unsteady.
"""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from tracer.levels.at_rest import AtRest, levels_at_rest
from tracer.levels.drive import drive_of
from tracer.levels.leg_paths import LegPath, leg_paths
from tracer.levels.loaded_stage import loaded_stage, other_pins, solver_of
from tracer.levels.solver import StageSolver
from tracer.stage.model import Stage
from tracer.stage.nodal import Diode, Network, NoConvergenceError, Resistor
from tracer.suspects.fault import PathFault
from tracer.tracing.pipeline import Traced

__all__ = ["Picture", "Shown"]

#: Most elements of the sample.
ELEMENTS = 64
_SEED = 1981
#: What stands for a colour pin that is tied to ground.
_SHORT_OHM = 0.1
OPEN_OHM, SHORT_OHM = 1e9, 1.0
_LIFTED = "\0lifted"


@dataclass(frozen=True)
class Shown:
    """Volts by colour and element, and the colours that are unsteady."""

    volts: Mapping[str, tuple[float, ...]]
    unsteady: frozenset[str] = frozenset()


class Picture:
    """The sample of one board, healthy and faulty.

    Parameters
    ----------
    traced : Traced
    load_ohm : float or None
    """

    def __init__(self, traced: Traced, load_ohm: float | None = 75.0) -> None:
        self.traced, self.load_ohm = traced, load_ohm
        self.ways: dict[tuple[str, int], LegPath] = {(w.colour, w.bit): w for w in leg_paths(traced)}
        self.colours = tuple(
            c.name for c in traced.bit_map.colours if c.bits and self._is_solvable(c.name)
        )  # fmt: skip
        self.stages = {name: loaded_stage(traced, name) for name in self.colours}
        self.n_bits = {c.name: len(c.bits) for c in traced.bit_map.colours}
        self.rest: dict[str, AtRest] = {name: levels_at_rest(traced, name, load_ohm) for name in self.colours}
        self.n_lines = max(
            (sum(x.is_live for x in m.lines) for m in traced.bit_map.index),
            default=6,
        )
        self._volts: dict[tuple[object, ...], float] = {}
        self._solvers: dict[tuple[object, ...], StageSolver] = {}
        shapes: dict[object, str] = {}
        # Boards draw the same stage for every colour: what is solved for one holds for those of its shape.
        self._alike = {name: shapes.setdefault(self._shape(name), name) for name in self.colours}

    def _shape(self, name: str) -> object:
        """A stage without its names: equal shapes have equal volts."""
        stage, rest = self.stages[name], self.rest[name]
        number: dict[str, int] = {stage.node(stage.start): 0}

        def node(net: str) -> tuple[int, float | None]:
            return number.setdefault(net, len(number)), stage.fixed.get(net)

        network = stage.network
        drivers = tuple((node(stage.node(d.net)), drive_of(self.traced.circuit, d)) for d in stage.drivers)
        return (
            drivers,
            tuple((node(r.a), node(r.b), r.ohm) for r in network.resistors),
            tuple((node(d.anode), node(d.cathode)) for d in network.diodes),
            tuple(
                (node(q.base), node(q.collector), node(q.emitter), q.polarity) for q in network.transistors
            ),
            tuple((node(b.source), node(b.target)) for b in network.buffers),
            tuple((node(c.a), node(c.b)) for c in network.charged),
            tuple(node(n) for n in other_pins(self.traced, name)),
            rest.places,
            tuple(sorted(rest.held.items())),
        )

    def _is_solvable(self, name: str) -> bool:
        stage = self.traced.stages[name]
        drivers = {(p.part, p.pin) for d in stage.drivers for p in d.pins}
        colour = next(c for c in self.traced.bit_map.colours if c.name == name)
        return all((b.driver.part, b.driver.pin) in drivers for b in colour.bits)

    # -- the sample ---------------------------------------------------------------------------------

    @cached_property
    def _words(self) -> dict[int, dict[tuple[str, int], int]]:
        """Index -> level of every bit at its driver, the healthy board's."""
        chance = random.Random(_SEED)
        n = 2 ** min(self.n_lines, 16)
        found = {}
        for index in range(min(n, 256)):
            fill = {0: 0, 1: 1}.get(index)
            found[index] = {key: chance.getrandbits(1) if fill is None else fill for key in self.ways}
        return found

    @cached_property
    def _scrambled(self) -> dict[int, dict[tuple[str, int], int]]:
        chance = random.Random(_SEED + 1)
        return {i: {key: chance.getrandbits(1) for key in word} for i, word in self._words.items()}

    @cached_property
    def elements(self) -> tuple[int, ...]:
        """Indexes of the sample."""
        every = list(self._words)
        if len(every) <= ELEMENTS:
            return tuple(every)
        chance = random.Random(_SEED + 2)
        return (0, 1, *sorted(chance.sample(every[2:], ELEMENTS - 2)))

    def _bits(self, index: int, fault: PathFault | None) -> dict[tuple[str, int], int]:
        word = dict(self._words[index])
        if fault is None or not fault.memories:
            return word
        other = self._scrambled[index] if fault.scrambled else self._words[self._moved(index, fault)]
        for key, way in self.ways.items():
            if way.legs[0].part in fault.memories:
                word[key] = other[key]
        return word

    @staticmethod
    def _tied(word: dict[tuple[str, int], int], fault: PathFault | None) -> None:
        """Two data lines shorted: TTL low wins on both (S16, common practice)."""
        if fault is not None and fault.tied:
            low = min(word[key] for key in fault.tied)
            word.update(dict.fromkeys(fault.tied, low))

    def _moved(self, index: int, fault: PathFault) -> int:
        if fault.index is None:
            return index
        how, line, value = fault.index
        if how == "stuck":
            moved = index | 1 << line if value else index & ~(1 << line)
        else:
            both = (index >> line) & (index >> value) & 1
            moved = (index & ~(1 << line | 1 << value)) | both << line | both << value
        return moved % len(self._words)

    # -- volts --------------------------------------------------------------------------------------

    @cached_property
    def healthy(self) -> Shown:
        """The picture as it should be."""
        return self.shown(None)

    def shown(self, fault: PathFault | None) -> Shown:
        """The picture with a fault."""
        unsteady = {
            c for (c, b), hit in (fault.hits.items() if fault else ()) if hit.level is None and not hit.let_go
        }
        touched = [c for c in self.colours if fault is None or self._touches(fault, c)]
        found: dict[str, list[float]] = {
            c: [] if c in touched else list(self.healthy.volts[c]) for c in self.colours
        }
        for i, index in enumerate(self.elements):
            word = self._bits(index, fault)
            self._tied(word, fault)
            for colour in touched:
                found[colour].append(self._volts_of(colour, word, fault, i % 2))
        if fault is not None and fault.joined:
            self._join(found, fault.joined)
        return Shown({c: tuple(v) for c, v in found.items()}, frozenset(unsteady))

    def _touches(self, fault: PathFault, colour: str) -> bool:
        """Whether a fault can change a colour before its pin is joined to anything."""
        return (
            any(c == colour for c, _ in (*fault.hits, *fault.tied))
            or any(change[0] == colour for change in fault.stage)
            or any(way.legs[0].part in fault.memories for (c, _), way in self.ways.items() if c == colour)
        )

    def _volts_of(
        self, colour: str, word: Mapping[tuple[str, int], int], fault: PathFault | None, turn: int
    ) -> float:
        code: list[int] = []
        missing: list[int] = []
        for bit in range(self.n_bits[colour]):
            level = word[colour, bit]
            hit = fault.hits.get((colour, bit)) if fault else None
            if hit is not None and hit.let_go:
                missing.append(bit)
            elif hit is not None:
                way = self.ways[colour, bit]
                # What floats or comes and goes is right in one element and wrong in the next.
                told = hit.level if hit.level is not None else (level if turn else 1 - level)
                last = len(way.legs) - 1
                start = self._start(way, hit.at, is_open=hit.is_open)
                level = told if hit.level is None else way.level_at(start, told, last)
            code.append(level)
        changes = tuple(s for s in (fault.stage if fault else ()) if s[0] == colour)
        return self._solved(colour, tuple(code), tuple(missing), changes)

    @staticmethod
    def _start(way: LegPath, at: int, *, is_open: bool) -> int:
        """The leg at which a hit's level stands: behind an open output it is the next input."""
        return at + 1 if is_open and way.legs[at].is_output and at + 1 < len(way.legs) else at

    def _solved(
        self,
        colour: str,
        code: tuple[int, ...],
        missing: tuple[int, ...],
        changes: tuple[tuple[str, str, int, float], ...],
    ) -> float:
        # The colour's name in a change says nothing but which stage it is about.
        key = (self._alike[colour], code, missing, tuple(change[1:] for change in changes))
        if key not in self._volts:
            self._volts[key] = self._solve(colour, code, missing, changes)
        return self._volts[key]

    def _solve(
        self,
        colour: str,
        code: tuple[int, ...],
        missing: tuple[int, ...],
        changes: tuple[tuple[str, str, int, float], ...],
    ) -> float:
        solver = self._solver(colour, changes)
        rest, n = self.rest[colour], len(self.stages[colour].drivers)
        absent = frozenset(at for bit in missing if (at := rest.places[bit]) is not None)
        try:
            return solver.solve(rest.levels(n, code), absent).volts[solver.out]
        except NoConvergenceError:
            return 0.0

    def _solver(self, colour: str, changes: tuple[tuple[str, str, int, float], ...]) -> StageSolver:
        """One solver a circuit: it begins from its last solution."""
        key = (colour, changes)
        if key not in self._solvers:
            stage = _changed(self.stages[colour], changes)
            self._solvers[key] = solver_of(self.traced, colour, self.load_ohm, changed=stage)
        return self._solvers[key]

    def _join(self, found: dict[str, list[float]], joined: tuple[str, ...]) -> None:
        """Colour pins tied together settle between their volts, or at 0 with one tied to ground."""
        if any(c not in found for c in joined):
            return
        if len(joined) == 1:
            found[joined[0]] = [v * _SHORT_OHM / (_SHORT_OHM + 75.0) for v in found[joined[0]]]
            return
        a, b = joined
        mean = [(x + y) / 2 for x, y in zip(found[a], found[b], strict=True)]
        found[a], found[b] = list(mean), list(mean)


def _changed(stage: Stage, changes: Sequence[tuple[str, str, int, float]]) -> Stage:
    """The stage with resistors removed or of other values, and transistors removed."""
    if not changes:
        return stage
    network = stage.network
    resistors, transistors = list(network.resistors), list(network.transistors)
    diodes = list(network.diodes)
    for _, what, at, factor in changes:
        if what == "scale":
            resistors[at] = replace(resistors[at], ohm=resistors[at].ohm * factor)
        elif what == "remove":
            # Far beyond every other resistor of a stage: an open one.
            resistors[at] = replace(resistors[at], ohm=OPEN_OHM)
        elif what == "lift":
            _lift(resistors, at, stage)
        else:
            q = transistors.pop(at)
            if what == "collector-emitter short":
                resistors.append(Resistor(q.part, q.collector, q.emitter, SHORT_OHM))
            elif what == "base-emitter short":
                resistors.append(Resistor(q.part, q.base, q.emitter, SHORT_OHM))
            elif what == "collector-base short":
                # What is left is the junction from the base, now the collector, to the emitter.
                resistors.append(Resistor(q.part, q.base, q.collector, SHORT_OHM))
                ends = (q.base, q.emitter) if q.polarity == "npn" else (q.emitter, q.base)
                diodes.append(Diode(q.part, *ends))
    changed = Network(tuple(resistors), tuple(diodes), tuple(transistors), network.buffers, network.charged)
    return replace(stage, network=changed)


def _lift(resistors: list[Resistor], at: int, stage: Stage) -> None:
    """Take the common leg of a pack off its rail: its resistors stay joined there."""
    pack = resistors[at].part
    for i, r in enumerate(resistors):
        if r.part == pack:
            a, b = (_LIFTED if end in stage.fixed else end for end in (r.a, r.b))
            resistors[i] = replace(r, a=a, b=b)
