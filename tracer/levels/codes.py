"""Volts at the colour pins for every code, from the output stages as circuits.

Method: each code of a colour is one solution of its output stage (nodal
analysis, `tracer.stage.nodal`) with the outputs that drive it as volts behind a
resistance (`tracer.levels.drive`). What is no bit of the colour is held: blanking
where it lets the colour through, sync at rest, other colours' bits low.

With a tolerance the extremes of a code are those of `tracer.levels.tolerance`.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from tracer.base.findings import Finding, joined
from tracer.base.once import once
from tracer.bitmap.model import Colour
from tracer.levels.clipping import clipped
from tracer.levels.corners import Corners
from tracer.levels.drive import ASSUMED_FAMILY, driver_family
from tracer.levels.drive_values import Override
from tracer.levels.findings import (
    assumed,
    beyond_drive,
    clips,
    coupled,
    large_step,
    not_monotonic,
    steps_cross,
    unknown,
    voltages_differ,
)
from tracer.levels.large_steps import large_steps
from tracer.levels.overdrive import Overdrive, overdriven
from tracer.levels.values import ColourLevels, LevelTable, LoadLevels
from tracer.parts.families import families
from tracer.stage.nodal import NoConvergenceError
from tracer.tracing.load import MONITOR_OHM
from tracer.tracing.pipeline import Traced

__all__ = ["LOADS", "SECOND_LOAD", "bench_levels", "compute_levels", "loads_of"]

#: Beside `MONITOR_OHM`: the input of monitors made for game boards is 1k and more (common practice, no source).
SECOND_LOAD = 1000.0
#: A domestic set, a monitor made for game boards, and nothing plugged in.
LOADS: tuple[float | None, ...] = (MONITOR_OHM, SECOND_LOAD, None)
#: Colours of more bits are not enumerated.
MOST_BITS = 12
#: A stage that moves less than this does not work as drawn.
DEAD_VOLTS = 1e-3
#: Up to this many bits every code is asked for the currents of its drivers.
MOST_BITS_DRIVEN = 6


def compute_levels(
    traced: Traced,
    loads: Sequence[float | None] | None = None,
    *,
    override: Override | None = None,
    tolerance: float = 0.0,
) -> LevelTable:
    """Levels of every colour at every load.

    Parameters
    ----------
    traced : Traced
        From `tracer.tracing.pipeline.trace_fully`.
    loads : sequence of float or None, optional
        Ohms at the colour pin; None for none. Drive, steps and crossing are judged at the first. When left out: the load at
        which the board was traced, and `LOADS`.
    override : Override, optional
        Levels told instead of the chips'.
    tolerance : float
        Of every resistor, as a share (0.05 = 5 %).

    Returns
    -------
    LevelTable
        A colour whose levels cannot be known has no loads, and a finding says why.
    """
    return _levels(traced, loads_of(traced) if loads is None else tuple(loads), override, tolerance)


def loads_of(traced: Traced, *more: float | None) -> tuple[float | None, ...]:
    """The load at which a board was traced, those of `more` and `LOADS`, each once."""
    return tuple(dict.fromkeys((traced.bit_map.load_ohm, *more, *LOADS)))


def bench_levels(traced: Traced, load_ohm: float | None) -> LevelTable:
    """Levels at the board's own load and at a second one; what the card and the page show."""
    return compute_levels(traced, (load_ohm, SECOND_LOAD if load_ohm != SECOND_LOAD else LOADS[0]))


@once
def _levels(
    traced: Traced, loads: tuple[float | None, ...], override: Override | None, tolerance: float
) -> LevelTable:
    ones = [_OneColour(traced, colour, loads, override, tolerance) for colour in traced.bit_map.colours]
    colours = tuple(one.levels() for one in ones)
    findings = [f for one in ones for f in one.findings]
    over = {pin: each for one in ones for pin, each in one.overdriven.items()}
    if over:
        findings.append(beyond_drive(tuple(over.values()), loads[0]))
    taken = dict.fromkeys(words for one in ones for words in one.taken)
    return LevelTable(traced.bit_map.name, colours, tuple(taken), tolerance, joined(findings))


class _OneColour:
    """What can be known of one colour's levels, and what a person should know of them."""

    def __init__(
        self,
        traced: Traced,
        colour: Colour,
        loads: tuple[float | None, ...],
        override: Override | None,
        tolerance: float,
    ) -> None:
        self.traced, self.colour, self.loads, self.override = traced, colour, loads, override
        self.corners = Corners(traced, colour.name, loads[0], override, tolerance)
        self.findings: list[Finding] = []
        self.taken: list[str] = []
        self.overdriven: dict[str, Overdrive] = {}

    def levels(self) -> ColourLevels:
        name, n = self.colour.name, len(self.colour.bits)
        why = self._why_not()
        if not why:
            self._take_families()
            try:
                found = tuple(self.corners.at_load(load) for load in self.loads)
                crossing = self.corners.crossing()
                self._find_overdriven()
                self._find_clipped()
                self._find_large_steps(found[0])
            except NoConvergenceError:
                why = "no solution was found for its output stage"
            else:
                if any(load.span[1] - load.span[0] < DEAD_VOLTS for load in found):
                    why = "nothing moves the colour pin as drawn (a pull-up or a bias may be missing)"
        if why:
            self.findings.append(unknown(name, why))
            return ColourLevels(name, n, self.colour.levels, ())
        capacitors = tuple(c.part for c in self.corners.stage.network.charged)
        if capacitors:
            self.findings.append(coupled(name, capacitors))
        if not found[0].is_monotonic:
            self.findings.append(not_monotonic(name, _turns(found[0].volts)))
        if crossing:
            self.findings.append(steps_cross(name, self.corners.tolerance, [b for _, b in crossing]))
        if found[0].n_levels != self.colour.levels:
            self.findings.append(voltages_differ(name, self.colour.levels, found[0].n_levels))
        return ColourLevels(name, n, self.colour.levels, found, capacitors, crossing)

    def _why_not(self) -> str | None:
        colour, stage = self.colour, self.corners.stage
        if not colour.bits:
            return "nothing drives it"
        if not colour.levels:
            return "a converter makes it; what it puts out depends on its reference"
        legs = {(p.part, p.pin) for d in stage.drivers for p in d.pins}
        if any((bit.driver.part, bit.driver.pin) not in legs for bit in colour.bits):
            return "it leaves a module whose inside is not drawn"
        if len(colour.bits) > MOST_BITS:
            return f"{len(colour.bits)} bits are more than the {MOST_BITS} that are enumerated"
        if stage.unread:
            return (
                f"the values of {', '.join(stage.unread)} are not known; tell each with "
                f"--part {stage.unread[0]}=470"
            )
        return None

    def _take_families(self) -> None:
        """The levels that are taken for the outputs."""
        told = self.override
        if told and told.high is not None and told.low is not None:
            self.taken.append(f"as told {told.low:g} to {told.high:g} V")
            return
        unknown_parts: dict[str, None] = {}
        for driver in self.corners.stage.drivers:
            family = driver_family(self.traced.circuit, driver)
            self.taken.append(str(family or families()[ASSUMED_FAMILY]))
            if family is None:
                unknown_parts |= dict.fromkeys(p.part for p in driver.pins)
        if unknown_parts:
            self.findings.append(assumed(self.colour.name, tuple(unknown_parts)))

    def _find_overdriven(self) -> None:
        """Outputs that must give or take more than their data sheet grants, at the first load."""
        if self.override and (self.override.high is not None or self.override.source_ohm is not None):
            return
        codes = self.corners.codes
        asked = codes if len(self.colour.bits) <= MOST_BITS_DRIVEN else (codes[0], codes[-1])
        self.overdriven = overdriven(self.traced.circuit, self.corners.solver(self.loads[0]), asked)

    def _find_clipped(self) -> None:
        """Amplifiers that the first load's levels drive beyond a supply."""
        found = clipped(self.traced.circuit, self.corners.solver(self.loads[0]), self.corners.codes)
        self.findings += [clips(self.colour.name, each) for each in found]

    def _find_large_steps(self, first: LoadLevels) -> None:
        """Steps of the first load that stand out."""
        found = large_steps(first.volts, self.corners.solver(first.load_ohm), self.corners.codes)
        if found:
            self.findings.append(large_step(self.colour.name, found, first.load_ohm))


def _turns(volts: Sequence[float]) -> list[int]:
    """Codes at which brightness turns back."""
    up = volts[-1] >= volts[0]
    return [k + 1 for k, (a, b) in enumerate(pairwise(volts)) if (b < a) == up and b != a]
