"""Weights of the drivers of one output stage, its levels, and the resistors of each bit.

The weight of a driver is its signed share of the colour's full scale; negative
where a high darkens the colour (an inverting stage).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from tracer.base.findings import Finding, note, warning
from tracer.stage.bit_resistors import StagePaths
from tracer.stage.clamps import find_clamps, open_level
from tracer.stage.level_count import count_codes
from tracer.stage.model import Stage, StageDriver
from tracer.stage.response import Response

__all__ = ["StageBit", "WeighedStage", "count_stage_levels", "weigh_stage"]

#: A driver that moves the colour by less than this share of full scale is not in its stage.
LEAST_SHARE = 2e-5
#: Without a load one that moves it by more than this is.
LEAST_FREE_VOLTS = 0.05
#: A stage that moves less than this does nothing as drawn: what a junction leaks below its knee is no picture.
DEAD_VOLTS = 1e-3


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
    solver = Response(stage, load_ohm)
    n = len(stage.drivers)
    known = [i for i, d in enumerate(stage.drivers) if d.net in clamps]
    if known:
        held, undecided = {i: open_level(solver, i) for i in known}, False
    else:
        held, undecided = find_clamps(solver, may_clamp, leaks) if n > 1 else ({}, False)
        if not held and n > 1 and load_ohm is not None and not solver.superposes:
            # A heavy load can keep a clamp from showing: without one it pulls the whole colour down.
            held, undecided = find_clamps(Response(stage, None), may_clamp, leaks)
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
        free = None if load_ohm is None else Response(stage, None)
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
    levels = count_codes(solver, [stage.drivers.index(b.driver) for b in bits], held) if bits else 0
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
    solver = Response(stage, load_ohm)
    bits = [stage.drivers.index(b.driver) for b in weighed.bits]
    if not solver.superposes:
        # What else is left out stands where it lets the bits through.
        others = [i for i in range(len(stage.drivers)) if i not in bits and i not in held]
        held |= {i: open_level(solver, i) for i in others}
    return count_codes(solver, bits, held)
