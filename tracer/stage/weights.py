"""Weights of the drivers of one output stage, its levels, and the resistors of each bit.

The weight of a driver is its signed share of the colour's full scale; negative
where a high darkens the colour (an inverting stage).
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise, product

from tracer.base.findings import Finding, note, warning
from tracer.stage.bit_resistors import StagePaths
from tracer.stage.model import Stage, StageDriver
from tracer.stage.nodal import Network, NoConvergenceError, Resistor, solve_network

__all__ = ["StageBit", "WeighedStage", "count_levels", "count_stage_levels", "weigh_stage"]

#: Ideal levels of a driver.
HIGH_VOLTS = 5.0
LOW_VOLTS = 0.0
#: Up to this many bits every code is computed.
MOST_ENUMERATED = 10
#: With junctions each code costs a Newton solution; above this many bits the levels are those of the weights.
MOST_ENUMERATED_BENT = 6
#: A driver that moves the colour by less than this share of full scale is not in its stage.
LEAST_SHARE = 2e-5
#: Without a load one that moves it by more than this is.
LEAST_FREE_VOLTS = 0.05
#: A clamp leaves less than this of what a bit does without it, and does more than that itself.
CLAMPED = 0.15
CLAMPS = 0.6
#: Drivers that move the colour by less than this share do not speak for or against a clamp.
NOTICED = 0.05
#: Neighbouring weights further apart than this factor are out of step: sets of 1, 2, 4, 8 are drawn.
ODD_FACTOR = 6.0
#: A stage that moves less than this does nothing as drawn: what a junction leaks below its knee is no picture.
DEAD_VOLTS = 1e-3
#: Two voltages closer than this share of their span are one level.
LEVEL_STEP = 2e-4
_GROUND = "\0ground"


def count_levels(volts: Iterable[float]) -> int:
    """How many voltages differ by more than `LEVEL_STEP` of their span."""
    ordered = sorted(volts)
    step = LEVEL_STEP * max(ordered[-1] - ordered[0], 1e-9)
    return 1 + sum(b - a > step for a, b in pairwise(ordered))


@dataclass(frozen=True, slots=True)
class StageBit:
    """One driver with what the stage makes of it.

    Attributes
    ----------
    driver : StageDriver
    weight : float
        Signed share of full scale.
    change_volts : float
        What it changes at the colour pin, on the mean of what the others may do.
    resistors : tuple of (str, float)
        Resistors that only this bit's way passes: reference and ohms, the one that weighs it first.
    through : tuple of str
        Transistors and amplifiers on the way.
    first : str
        The part that leads from the driver towards the pin; empty where the driver stands on its node.
    """

    driver: StageDriver
    weight: float
    change_volts: float = 0.0
    resistors: tuple[tuple[str, float], ...] = ()
    through: tuple[str, ...] = ()
    first: str = ""


@dataclass(frozen=True)
class WeighedStage:
    """What became of the drivers of one stage.

    Attributes
    ----------
    bits : tuple of StageBit
        Heaviest first.
    clamps : tuple of (StageDriver, int)
        Drivers that gate the others, with the level that lets those through.
    undecided : bool
        Two drivers gate one another; both are among the bits.
    levels : int
    findings : tuple of Finding
    superposes : bool
        Changes add up: weights follow from the resistors alone.
    idle : tuple of StageDriver
        Drivers that do not move the colour.
    """

    bits: tuple[StageBit, ...]
    clamps: tuple[tuple[StageDriver, int], ...]
    undecided: bool
    levels: int
    findings: tuple[Finding, ...]
    superposes: bool = True
    idle: tuple[StageDriver, ...] = ()


def weigh_stage(
    stage: Stage,
    load_ohm: float | None,
    clamps: frozenset[str] = frozenset(),
    may_clamp: Callable[[StageDriver], bool] = lambda _: True,
    leaks: frozenset[str] = frozenset(),
) -> WeighedStage:
    """Solve the stage with each driver switched alone.

    Parameters
    ----------
    stage : Stage
        From `gather_stage`.
    load_ohm : float or None
        The monitor's input; None for none.
    clamps : frozenset of str
        Nets of drivers that are known to be clamps.
    may_clamp : callable
        Whether a driver can be one: what blanks, blanks every colour.
    leaks : frozenset of str
        Nets of drivers of other colours: they are no clamps, and what becomes of them tells none.
    """
    findings: list[Finding] = []
    if not stage.drivers:
        return WeighedStage((), (), False, 0, ())
    solver = _Response(stage, load_ohm)
    n = len(stage.drivers)
    known = [i for i, d in enumerate(stage.drivers) if d.net in clamps]
    if known:
        held, undecided = {i: solver.open_level(i) for i in known}, False
    else:
        held, undecided = solver.clamps(may_clamp, leaks) if n > 1 else ({}, False)
        if not held and n > 1 and load_ohm is not None and not solver.superposes:
            # A heavy load can keep a clamp from showing: without one it pulls the whole colour down.
            held, undecided = _Response(stage, None).clamps(may_clamp, leaks)
    active = [i for i in range(n) if i not in held]
    changes = {i: solver.change(i, held) for i in active}
    full = sum(abs(c) for c in changes.values())
    if full < DEAD_VOLTS and any(d.open_collector for d in stage.drivers):
        solver.both_levels = True
        changes = {i: solver.change(i, held) for i in active}
        full = sum(abs(c) for c in changes.values())
        findings.append(
            warning(
                "stage-approximate",
                "open-collector outputs drive the output stage but no pull-up is drawn; its weights were computed as if "
                "they could pull up",
            )
        )
    if full < DEAD_VOLTS and not solver.network.is_linear:
        solver.always_conducting = True
        conducting = {i: solver.change(i, held) for i in active}
        if sum(abs(c) for c in conducting.values()) > full:
            changes = conducting
            full = sum(abs(c) for c in changes.values())
            how = "with the transistors taken as always conducting"
        else:
            # Diodes block the way: what they leak still tells which driver leads here.
            solver.always_conducting = False
            how = "from what its diodes leak; do not trust them"
        findings.append(
            note(
                "stage-approximate",
                f"the output stage does not conduct as drawn (a bias may be missing); its weights were computed {how}",
            )
        )
    bits = []
    paths = StagePaths(stage)
    if full > 0:
        free = None if load_ohm is None else _Response(stage, None)
        kept = [i for i in active if abs(changes[i]) / full >= LEAST_SHARE]
        # What a heavy load swallows (a diode below its knee) still is a bit where it shows without one.
        kept += [i for i in active if i not in kept and free and abs(free.change(i, held)) > LEAST_FREE_VOLTS]
        share = sum(abs(changes[i]) for i in kept)
        for i in kept:
            driver = stage.drivers[i]
            resistors, through = paths.own(driver.net, [stage.drivers[k].net for k in kept if k != i])
            first = paths.first(driver.net)
            bits.append(StageBit(driver, changes[i] / share, changes[i], resistors, through, first))
    bits.sort(key=lambda b: -round(abs(b.weight), 9))
    levels = solver.levels([stage.drivers.index(b.driver) for b in bits], held) if bits else 0
    return WeighedStage(
        tuple(bits),
        tuple((stage.drivers[i], level) for i, level in held.items()),
        undecided,
        levels,
        tuple(findings),
        solver.superposes,
        tuple(stage.drivers[i] for i in active if all(b.driver != stage.drivers[i] for b in bits)),
    )


def count_stage_levels(stage: Stage, load_ohm: float | None, weighed: WeighedStage) -> int:
    """How many levels the bits that were kept make, with all else at rest.

    A stage that does not conduct as drawn makes no levels to be counted; there its number of codes is the most.
    """
    if weighed.findings or not weighed.bits:
        return min(weighed.levels, 1 << len(weighed.bits))
    held = {stage.drivers.index(driver): level for driver, level in weighed.clamps}
    solver = _Response(stage, load_ohm)
    bits = [stage.drivers.index(b.driver) for b in weighed.bits]
    if not solver.superposes:
        # What else is left out stands where it lets the bits through.
        others = [i for i in range(len(stage.drivers)) if i not in bits and i not in held]
        held |= {i: solver.open_level(i) for i in others}
    return solver.levels(bits, held)


class _Response:
    """Volts at the colour pin for any levels of the drivers."""

    def __init__(self, stage: Stage, load_ohm: float | None) -> None:
        self.stage = stage
        self.out = stage.node(stage.start)
        network = stage.network
        if load_ohm is not None:
            load = Resistor("load", self.out, _GROUND, load_ohm)
            network = Network(
                (*network.resistors, load), network.diodes, network.transistors, network.amplifiers
            )
        self.network = network
        self.always_conducting = False
        self.both_levels = False
        self._cache: dict[tuple[int, ...], float] = {}
        self._near: dict[str, float] | None = None

    @property
    def superposes(self) -> bool:
        """Whether changes add up: no junctions, and every driver holds its net in both states."""
        bent = not self.network.is_linear and not self.always_conducting
        return not bent and (self.both_levels or not any(d.open_collector for d in self.stage.drivers))

    def volts(self, levels: tuple[int, ...]) -> float:
        """Volts at the colour pin."""
        key = (*levels, int(self.always_conducting), int(self.both_levels))
        if key not in self._cache:
            fixed = {**self.stage.fixed, _GROUND: 0.0}
            for driver, level in zip(self.stage.drivers, levels, strict=True):
                if self.both_levels or not (driver.open_collector and level):
                    fixed[self.stage.node(driver.net)] = HIGH_VOLTS if level else LOW_VOLTS
            self._cache[key] = self._solve(fixed)
        return self._cache[key]

    def _solve(self, fixed: Mapping[str, float]) -> float:
        if self.out in fixed:
            return fixed[self.out]
        for start in (self._near, None):
            try:
                found = solve_network(self.network, fixed, start, always_conducting=self.always_conducting)
            except NoConvergenceError:
                continue
            self._near = found
            return found.get(self.out, 0.0)
        return solve_network(self.network, fixed, always_conducting=True).get(self.out, 0.0)

    def change(self, index: int, held: Mapping[int, int]) -> float:
        """Mean change of the colour when one driver rises, over what the others may do."""
        total = []
        for others in self._contexts([i for i in range(len(self.stage.drivers)) if i != index], held):
            low, high = ((*others[:index], level, *others[index:]) for level in (0, 1))
            total.append(self.volts(high) - self.volts(low))
            if self.superposes:
                break
        return sum(total) / len(total)

    def _contexts(self, others: list[int], held: Mapping[int, int]) -> Iterator[tuple[int, ...]]:
        """Levels of the other drivers: all codes where they are few, else all low, all high, and each one apart."""
        free = [i for i in others if i not in held]
        if len(free) < MOST_ENUMERATED_BENT:
            codes = [dict(zip(free, code, strict=True)) for code in product((0, 1), repeat=len(free))]
        else:
            codes = [dict.fromkeys(free, level) for level in (0, 1)]
            codes += [{**dict.fromkeys(free, level), i: 1 - level} for level in (0, 1) for i in free]
        for code in codes:
            yield tuple(held.get(i, code.get(i, 0)) for i in others)

    def open_level(self, index: int) -> int:
        """The level of a clamp at which the others move the colour most."""
        n = len(self.stage.drivers)

        def span(level: int) -> float:
            ends = [self.volts(tuple(level if i == index else b for i in range(n))) for b in (0, 1)]
            return abs(ends[1] - ends[0])

        return int(span(1) > span(0))

    def clamps(
        self, may_clamp: Callable[[StageDriver], bool], leaks: frozenset[str]
    ) -> tuple[dict[int, int], bool]:
        """Drivers that let the others through or not, each with the level that lets them through.

        Two drivers that gate one another look alike; then nothing is held and the second value is True.
        """
        if self.superposes:
            return {}, False
        n = len(self.stage.drivers)
        own = [i for i, driver in enumerate(self.stage.drivers) if driver.net not in leaks]
        held: dict[int, int] = {}
        for _ in own:
            found = [c for c in self._one_clamp(held, n, own) if may_clamp(self.stage.drivers[c[0]])]
            if len(found) == 1:
                held[found[0][0]] = found[0][1]
            else:
                return held, len(found) > 1
        return held, False

    def _one_clamp(self, held: Mapping[int, int], n: int, own: Sequence[int]) -> list[tuple[int, int]]:
        rest = [i for i in own if i not in held]
        if len(rest) < 2:
            return []
        base = {b: tuple(held.get(i, b) for i in range(n)) for b in (0, 1)}
        flip = {
            b: {i: abs(self.volts(tuple(1 - x if k == i else x for k, x in enumerate(base[b]))) - self.volts(base[b])) for i in rest}
            for b in (0, 1)
        }  # fmt: skip
        span = max(max(flip[0].values()), max(flip[1].values()))
        if span < 1e-6:
            return []
        found = []
        for i in rest:
            for b in (0, 1):
                others = [k for k in rest if k != i and max(flip[0][k], flip[1][k]) > NOTICED * span]
                quiet = bool(others) and all(
                    flip[b][k] < CLAMPED * max(flip[0][k], flip[1][k]) for k in others
                )
                if flip[b][i] >= CLAMPS * span and quiet:
                    found.append((i, 1 - b))
        return found

    def levels(self, bits: list[int], held: Mapping[int, int]) -> int:
        """Number of distinct voltages over all codes."""
        n = len(self.stage.drivers)
        bent = not self.superposes
        if len(bits) > (MOST_ENUMERATED_BENT if bent else MOST_ENUMERATED):
            return 1 << len(bits)
        if bent:
            volts = [
                self.volts(tuple(held.get(i, code[bits.index(i)] if i in bits else 0) for i in range(n)))
                for code in product((0, 1), repeat=len(bits))
            ]
        else:
            changes = [self.change(i, held) for i in bits]
            volts = [
                sum(c for c, b in zip(changes, code, strict=True) if b)
                for code in product((0, 1), repeat=len(bits))
            ]
        return count_levels(volts)


def weight_findings(colour: str, weighed: WeighedStage, unread: Collection[str] = ()) -> list[Finding]:
    """Weights that are alike or out of step, and what the bits pass beside resistors."""
    found = []
    bits = weighed.bits
    parts = list(dict.fromkeys(part for bit in bits for part in bit.through))
    if parts:
        found.append(
            note(
                "passes-parts",
                f"between its resistors and the connector {'stand' if len(parts) > 1 else 'stands'} "
                f"{', '.join(parts)}",
                *parts,
                colour=colour,
                like="passes",
            )
        )
    for heavy, light in pairwise(bits):
        pair = (_names(heavy), _names(light))
        if any(part in unread for bit in (heavy, light) for part, _ in bit.resistors):
            continue
        ratio = abs(heavy.weight / light.weight) if light.weight else float("inf")
        if ratio < 1.05:
            found.append(
                note(
                    "equal-weights",
                    f"{' and '.join(pair)} weigh the same, so {len(bits)} bits give {weighed.levels} levels",
                    *pair,
                    colour=colour,
                )
            )
        elif (ratio if weighed.superposes else _resistor_ratio(heavy, light)) > ODD_FACTOR:
            found.append(
                warning(
                    "odd-weight",
                    f"{pair[1]} weighs {abs(light.weight):.1%} beside {abs(heavy.weight):.1%} of {pair[0]}, far less "
                    "than half; read both resistors: one is wrong, or a bit between them is missing",
                    *pair,
                    colour=colour,
                )
            )
    if bits and sum(b.weight for b in bits) < 0:
        found.append(
            note("inverting-stage", "the output stage inverts; a high at a driver darkens it", colour=colour)
        )
    return found


def _resistor_ratio(heavy: StageBit, light: StageBit) -> float:
    """How much heavier one bit is by its resistors: behind junctions weights bend."""
    if not heavy.resistors or not light.resistors:
        return 1.0
    return light.resistors[0][1] / heavy.resistors[0][1]


def _names(bit: StageBit) -> str:
    return bit.resistors[0][0] if bit.resistors else str(bit.driver.pins[0])
