"""What a fault makes of the picture, computed: volts of every colour, by code and over a sample of picture elements.

A fault changes the index, the words, the levels of bits or the output stage
(`tracer.suspects.fault.Effect`); the volts follow by the same solution that the
levels come from. Behind a coupling capacitor they are those above code 0.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, field
from functools import cached_property

from tracer.base.once import once
from tracer.levels.at_rest import AtRest, levels_at_rest
from tracer.levels.drive import drive_of
from tracer.levels.drive_values import Override
from tracer.levels.loaded_stage import loaded_stage, other_pins, solver_of
from tracer.levels.solver import StageSolver
from tracer.stage.model import Stage
from tracer.stage.nodal import NoConvergenceError
from tracer.suspects.fault import Effect, StageChange
from tracer.suspects.hits import AtDriver, at_driver, in_bank
from tracer.suspects.path_legs import path_legs
from tracer.suspects.sample import Sample, Word
from tracer.suspects.stage_faults import changed_stage
from tracer.tracing.pipeline import Traced

__all__ = ["HEALTHY", "Picture", "Shown", "picture_of"]

#: What stands for a colour pin that is tied to ground, and what it is divided with.
_SHORT_OHM, _BESIDE_OHM = 0.1, 75.0
#: Volts of the supply of logic boards.
_SUPPLY = 5.0
#: No fault.
HEALTHY = Effect()

#: Levels of a colour's bits, lightest first, and places of the drivers that hold nothing.
_Code = tuple[int, ...]
_Missing = frozenset[int]


@dataclass(frozen=True)
class Shown:
    """What the monitor gets, and what stands at the connector's pins.

    Attributes
    ----------
    volts : mapping of str to tuple of float
        By colour and element, as the monitor gets them.
    unsteady : frozenset of str
        Colours that flicker.
    at_pins : mapping of str to tuple of float
        By colour and element, at the pins of the board.
    """

    volts: Mapping[str, tuple[float, ...]]
    unsteady: frozenset[str] = frozenset()
    at_pins: Mapping[str, tuple[float, ...]] = field(default_factory=dict)


@once
def picture_of(traced: Traced, load_ohm: float | None = 75.0, override: Override | None = None) -> Picture:
    """The picture of a board at a load; `override` tells levels instead of the chips'."""
    return Picture(traced, load_ohm, override)


class Picture:
    """One board, healthy and faulty; remembers what it has solved.

    Parameters
    ----------
    traced : Traced
    load_ohm : float or None
    override : Override or None
    """

    def __init__(self, traced: Traced, load_ohm: float | None, override: Override | None) -> None:
        self.traced, self.load_ohm, self.override = traced, load_ohm, override
        legs = path_legs(traced)
        self.banks, self.paths = legs.banks, legs.paths
        self.n_bits = {c.name: len(c.bits) for c in traced.bit_map.colours}
        self.stages: dict[str, Stage] = {}
        self.rest: dict[str, AtRest] = {}
        for colour in traced.bit_map.colours:
            rest = levels_at_rest(traced, colour.name, load_ohm, override)
            if colour.bits and None not in rest.places:
                self.stages[colour.name] = loaded_stage(traced, colour.name)
                self.rest[colour.name] = rest
        n_lines = max((sum(x.is_live for x in m.lines) for m in traced.bit_map.index), default=0)
        self.sample = Sample(self.banks, n_lines)
        self._volts: dict[object, tuple[float | None, ...]] = {}
        self._seen: dict[object, Shown] = {}
        self._solvers: dict[object, StageSolver] = {}
        shapes: dict[object, str] = {}
        # Boards draw the same stage for every colour: what is solved for one holds for those of its shape.
        self._alike = {name: shapes.setdefault(self._shape(name), name) for name in self.stages}

    def of(self, sample: Sample) -> Picture:
        """The picture of another sample, on the same board: what is solved for one serves both."""
        other = copy(self)
        other.sample = sample
        other._seen = {}
        other.__dict__.pop("healthy", None)
        return other

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
            tuple((node(a.plus), node(a.minus), node(a.out)) for a in network.amplifiers),
            tuple((node(c.a), node(c.b)) for c in network.charged),
            tuple(node(n) for n in other_pins(self.traced, name)),
            rest.places,
            tuple(sorted(rest.held.items())),
        )

    # -- bits ---------------------------------------------------------------------------------------

    def bits_hit(self, effect: Effect, bank: int = 0) -> dict[tuple[str, int], AtDriver]:
        """The bits that a fault reaches on their way in a bank, and what becomes of each at its driver."""
        found = {}
        for key, hits in effect.hits.items():
            path = self.banks[bank][key]
            own = in_bank(hits, path.bank)
            if own:
                found[key] = at_driver(path, own)
        return found

    # -- volts over the sample ----------------------------------------------------------------------

    @cached_property
    def healthy(self) -> Shown:
        """The picture as it should be."""
        return self._shown(HEALTHY, self.stages)

    def shown(self, effect: Effect) -> Shown:
        """The picture with a fault.

        An element whose bits float or come and go is right in one element and wrong in the next; its colour is unsteady.
        A stage without a solution gives nothing.
        """
        touched = tuple(c for c in self.stages if self._touches(effect, c))
        # Many faults of one way do the same to the picture: what they do is the key, not where they are.
        hits = tuple(frozenset(self.bits_hit(effect, bank).items()) for bank in range(len(self.banks)))
        key = (
            touched, hits, effect.memories, effect.address, effect.scrambled, effect.tied, effect.stage, effect.joined,
            effect.blanked, effect.severed, effect.gains, effect.swapped, effect.lifted,
        )  # fmt: skip
        if key not in self._seen:
            self._seen[key] = self._shown(effect, touched)
        return self._seen[key]

    def _shown(self, effect: Effect, touched: Iterable[str]) -> Shown:
        n = len(self.banks)
        hits = [self.bits_hit(effect, bank) for bank in range(n)]
        # The banks take turns, and in each what is unsteady is right in one element and wrong in the next.
        turns = [(index, at % n, at // n % 2) for at, index in enumerate(self.sample.elements)]
        # A fault of one layer shows in every second group of these.
        words = [
            self.sample.word(index, effect, turn, bank, in_part=at // (2 * n) % 2 == 0)
            for at, (index, bank, turn) in enumerate(turns)
        ]
        found = {}
        for colour in self.stages:
            if colour in touched:
                codes = [
                    self._code(colour, word, hits[bank], turn)
                    for word, (_, bank, turn) in zip(words, turns, strict=True)
                ]
                missing = frozenset(at for hit in hits for at in self._missing(colour, hit))
                volts = self._solved(colour, codes, missing, effect.stage, blank=colour in effect.blanked)
                found[colour] = tuple(v or 0.0 for v in volts)
            else:
                found[colour] = self.healthy.at_pins[colour]
        if all(colour in found for colour in effect.joined):
            _join(found, effect.joined)
        for colour in (*effect.severed, *effect.lifted):
            if colour in found:
                found[colour] = (_SUPPLY if colour in effect.lifted else 0.0,) * len(found[colour])
        unsteady = {c for hit in hits for (c, _), end in hit.items() if not end.is_told}
        if effect.address is not None and effect.address.unsteady:
            unsteady |= {c for c in found if self._addressed(c, effect)}
        return Shown(_monitor(found, effect), frozenset(unsteady), found)

    def _touches(self, effect: Effect, colour: str) -> bool:
        """Whether a fault can change a colour before its pin is joined to anything."""
        return (
            any(c == colour for c, _ in (*effect.hits, *effect.tied))
            or any(change.colour == colour for change in effect.stage)
            or colour in effect.blanked
            or self._addressed(colour, effect)
        )

    def _addressed(self, colour: str, effect: Effect) -> bool:
        """Whether a colour comes from one of the memories that a fault is about."""
        return any(
            p.legs[0].part in effect.memories
            for paths in self.banks
            for (c, _), p in paths.items()
            if c == colour
        )

    def _code(self, colour: str, word: Word, hit: Mapping[tuple[str, int], AtDriver], turn: int) -> _Code:
        code = []
        for bit in range(self.n_bits[colour]):
            level, end = word[colour, bit], hit.get((colour, bit))
            if end is not None and not end.let_go:
                level = end.level if end.level is not None else (level if turn else 1 - level)
            code.append(level)
        return tuple(code)

    def _missing(self, colour: str, hit: Mapping[tuple[str, int], AtDriver]) -> _Missing:
        places = enumerate(self.rest[colour].places)
        gone = (at for bit, at in places if (colour, bit) in hit and hit[colour, bit].let_go)
        return frozenset(at for at in gone if at is not None)

    # -- volts by code ------------------------------------------------------------------------------

    def volts_by_code(self, colour: str, effect: Effect) -> tuple[float, ...] | None:
        """Volts at a colour pin for each code that the picture asks for; None where they cannot be known.

        A bit of which the fault alone does not tell what its driver does keeps the whole colour unknown.
        """
        hit = {key: end for key, end in self.bits_hit(effect).items() if key[0] == colour}
        stage = self.stages.get(colour)
        if stage is None or stage.unread or not all(end.is_told for end in hit.values()):
            return None
        bits = range(self.n_bits[colour])
        words = [{(colour, bit): code >> bit & 1 for bit in bits} for code in range(2 ** len(bits))]
        codes = [self._code(colour, word, hit, 0) for word in words]
        volts = self._solved(colour, codes, self._missing(colour, hit), effect.stage)
        known = [round(v, 6) + 0.0 for v in volts if v is not None]
        return tuple(known) if len(known) == len(volts) else None

    def ramps(self, effect: Effect) -> dict[str, tuple[float, ...] | None]:
        """Volts by code of every colour as the monitor gets them, what is done to the pins and behind them included.

        Where two colours act on one another both go through their codes together, which wants as many of each.
        """
        found = {colour: self.volts_by_code(colour, effect) for colour in self.n_bits}
        for colour in (*effect.severed, *effect.lifted):
            found[colour] = tuple(_SUPPLY if colour in effect.lifted else 0.0 for _ in found[colour] or ())
        together = (*effect.joined, *effect.swapped)
        known = {colour: volts for colour, volts in found.items() if volts}
        if len({len(known.get(colour, ())) for colour in together} - {0}) > 1 or set(together) - known.keys():
            return {colour: None if colour in together else volts for colour, volts in found.items()}
        _join(known, effect.joined)
        return {**found, **_monitor(known, effect)}

    # -- solving ------------------------------------------------------------------------------------

    def _solved(
        self,
        colour: str,
        codes: Sequence[_Code],
        missing: _Missing,
        changes: Sequence[StageChange],
        *,
        blank: bool = False,
    ) -> list[float | None]:
        """Volts of each code, above the first one behind a capacitor; None where there is no solution."""
        own = tuple(change for change in changes if change.colour == colour)
        # The colour's name in a change says nothing but which stage it is about.
        circuit = (self._alike[colour], missing, tuple((c.change, c.at, c.factor) for c in own), blank)
        # Behind a capacitor what one code gives follows from all of them.
        is_coupled = bool(self.stages[colour].network.charged)
        together = [tuple(codes)] if is_coupled else [(code,) for code in codes]
        for each in together:
            if (circuit, each) not in self._volts:
                self._volts[circuit, each] = self._solve(colour, each, missing, own, blank=blank)
        return [volts for each in together for volts in self._volts[circuit, each]]

    def _solve(
        self,
        colour: str,
        codes: Sequence[_Code],
        missing: _Missing,
        changes: tuple[StageChange, ...],
        *,
        blank: bool,
    ) -> tuple[float | None, ...]:
        solver, n = self._solver(colour, changes), len(self.stages[colour].drivers)
        rows = [self.rest[colour].levels(n, code, blank=blank) for code in codes]
        try:
            solver.settle_charges(rows, missing)
            volts = [solver.solve(row, missing).volts[solver.out] for row in rows]
        except NoConvergenceError:
            return (None,) * len(codes)
        black = volts[0] if solver.charged else 0.0
        return tuple(v - black for v in volts)

    def _solver(self, colour: str, changes: tuple[StageChange, ...]) -> StageSolver:
        """One solver a circuit: it begins from its last solution."""
        key = (colour, changes)
        if key not in self._solvers:
            changed = changed_stage(self.stages[colour], changes)
            self._solvers[key] = solver_of(
                self.traced, colour, self.load_ohm, override=self.override, changed=changed
            )
        return self._solvers[key]


def _monitor(at_pins: Mapping[str, tuple[float, ...]], effect: Effect) -> Mapping[str, tuple[float, ...]]:
    """What of the volts at the pins comes to the monitor's inputs."""
    if not effect.gains and not effect.swapped:
        return at_pins
    found = dict(at_pins)
    for colour, gain in effect.gains:
        if colour in found:
            found[colour] = tuple(v * gain for v in found[colour])
    if effect.swapped and all(colour in found for colour in effect.swapped):
        a, b = effect.swapped
        found[a], found[b] = found[b], found[a]
    return found


def _join(found: dict[str, tuple[float, ...]], joined: Sequence[str]) -> None:
    """Colour pins tied together settle between their volts, or near 0 with one tied to ground."""
    if len(joined) == 1:
        share = _SHORT_OHM / (_SHORT_OHM + _BESIDE_OHM)
        found[joined[0]] = tuple(v * share for v in found[joined[0]])
    elif joined:
        a, b = joined
        found[a] = found[b] = tuple((x + y) / 2 for x, y in zip(found[a], found[b], strict=True))
