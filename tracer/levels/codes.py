"""Volts at the colour pins for every code, from the output stages as circuits.

Method: each code of a colour is one solution of its output stage (nodal
analysis, `tracer.stage.nodal`) with the outputs that drive it as volts behind a
resistance (`tracer.levels.drive`). What is no bit of the colour is held: blanking
where it lets the colour through, sync at rest, other colours' bits low.

With a tolerance the extremes of a code are those of `tracer.levels.tolerance`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from tracer.base.findings import Finding, note, warning
from tracer.base.once import once
from tracer.bitmap.model import Colour
from tracer.levels.at_rest import levels_at_rest
from tracer.levels.drive import ASSUMED_FAMILY, Corner, driver_family
from tracer.levels.drive_values import Override
from tracer.levels.loaded_stage import loaded_stage, solver_of
from tracer.levels.solver import StageSolver
from tracer.levels.tolerance import worst_in_box
from tracer.levels.values import CodeLevel, ColourLevels, LevelTable, LoadLevels
from tracer.parts.families import families
from tracer.stage.nodal import NoConvergenceError
from tracer.tracing.pipeline import Traced

__all__ = ["LOADS", "SECOND_LOAD", "bench_levels", "compute_levels"]

#: 75 ohm, a usual input of an arcade monitor, and no monitor at all (common practice, no source).
LOADS: tuple[float | None, ...] = (75.0, 1000.0, None)
#: Beside the monitor's 75 ohm: the input of monitors made for game boards is about 1k (common practice, no source).
SECOND_LOAD = 1000.0
#: Colours of more bits are not enumerated.
MOST_BITS = 12
#: A stage that moves less than this does not work as drawn.
DEAD_VOLTS = 1e-3
#: Up to this many bits every code is asked for the currents of its drivers.
MOST_BITS_DRIVEN = 6


def compute_levels(
    traced: Traced,
    loads: Sequence[float | None] = LOADS,
    *,
    override: Override | None = None,
    tolerance: float = 0.0,
) -> LevelTable:
    """Levels of every colour at every load.

    Parameters
    ----------
    traced : Traced
        From `tracer.tracing.pipeline.trace_fully`.
    loads : sequence of float or None
        Ohms at the colour pin; None for none. Drive and crossing are judged at the first.
    override : Override, optional
        Levels told instead of the chips'.
    tolerance : float
        Of every resistor, as a share (0.05 = 5 %).

    Returns
    -------
    LevelTable
        A colour whose levels cannot be known has no loads, and a finding says why.
    """
    return _levels(traced, tuple(loads), override, tolerance)


def bench_levels(traced: Traced, load_ohm: float | None) -> LevelTable:
    """Levels at the board's own load and at a second one; what the card and the page show."""
    return compute_levels(traced, (load_ohm, SECOND_LOAD if load_ohm != SECOND_LOAD else LOADS[0]))


@once
def _levels(
    traced: Traced, loads: tuple[float | None, ...], override: Override | None, tolerance: float
) -> LevelTable:
    findings: list[Finding] = []
    colours = []
    taken: dict[str, None] = {}
    overdriven: dict[str, _Overdrive] = {}
    for colour in traced.bit_map.colours:
        one = _OneColour(traced, colour, loads, override, tolerance)
        colours.append(one.levels())
        findings += one.findings
        taken |= dict.fromkeys(one.taken)
        overdriven |= one.overdriven
    if overdriven:
        findings.append(_say_overdriven(overdriven, loads[0]))
    return LevelTable(
        traced.bit_map.name, tuple(colours), tuple(taken), tolerance, tuple(dict.fromkeys(findings))
    )


@dataclass(frozen=True, slots=True)
class _Overdrive:
    """An output's current at its worst beside what its data sheet grants, in milliamperes."""

    pin: str
    milliamp: float
    granted: float
    level: int

    @property
    def times(self) -> float:
        return self.milliamp / self.granted


def _say_overdriven(overdriven: dict[str, _Overdrive], load: float | None) -> Finding:
    worst = max(overdriven.values(), key=lambda o: o.times)
    into = "without a load" if load is None else f"into {load:g} ohm"
    verb = "gives" if worst.level else "takes"
    many = f" ({len(overdriven)} outputs are over theirs)" if len(overdriven) > 1 else ""
    return note(
        "beyond-drive",
        f"{worst.pin} {verb} {worst.milliamp:.1f} mA {into}, its data sheet grants {worst.granted:g} mA{many}: good chips "
        "differ here, so trust the ratios of the levels more than the volts",
        worst.pin,
    )


@dataclass
class _OneColour:
    """All solutions of one colour."""

    traced: Traced
    colour: Colour
    loads: tuple[float | None, ...]
    override: Override | None
    tolerance: float

    def __post_init__(self) -> None:
        self.findings: list[Finding] = []
        self.taken: list[str] = []
        self.overdriven: dict[str, _Overdrive] = {}
        self.name = self.colour.name
        self.stage = loaded_stage(self.traced, self.name)
        self.coupled = tuple(c.part for c in self.stage.network.charged)
        self.bits = tuple(reversed(self.colour.bits))

    def levels(self) -> ColourLevels:
        nothing = ColourLevels(self.name, len(self.bits), ())
        why = self._why_not()
        if why:
            self.findings.append(warning("levels-unknown", f"{self.name}: {why}", self.name))
            return nothing
        self._say_taken()
        codes = [tuple(code >> i & 1 for i in range(len(self.bits))) for code in range(2 ** len(self.bits))]
        try:
            self.rest = levels_at_rest(self.traced, self.name, self.loads[0], self.override)
            found = tuple(self._at_load(load, codes) for load in self.loads)
            crossing = self._crossing(codes) if self.tolerance else ()
        except NoConvergenceError:
            self.findings.append(
                warning(
                    "levels-unknown", f"{self.name}: no solution was found for its output stage", self.name
                )
            )
            return nothing
        if any(load.span[1] - load.span[0] < DEAD_VOLTS for load in found):
            self.findings.append(
                warning(
                    "levels-unknown",
                    f"{self.name}: nothing moves the colour pin as drawn (a pull-up or a bias may be missing)",
                    self.name,
                )
            )
            return nothing
        self._say_coupled()
        self._say_order(found, crossing)
        return ColourLevels(self.name, len(self.bits), found, self.coupled, crossing)

    # -- what can be known --------------------------------------------------------------------------

    def _why_not(self) -> str | None:
        if not self.bits:
            return "nothing drives it"
        if not self.colour.levels:
            return "a converter makes it; what it puts out depends on its reference"
        legs = {(p.part, p.pin) for d in self.stage.drivers for p in d.pins}
        if any((bit.driver.part, bit.driver.pin) not in legs for bit in self.bits):
            return "it leaves a module whose inside is not drawn"
        if len(self.bits) > MOST_BITS:
            return f"{len(self.bits)} bits are more than the {MOST_BITS} that are enumerated"
        if self.stage.unread:
            return (
                f"the values of {', '.join(self.stage.unread)} are not known; tell each with "
                f"--part {self.stage.unread[0]}=470"
            )
        return None

    def _say_taken(self) -> None:
        if self.override and self.override.high is not None and self.override.low is not None:
            self.taken.append(f"as told {self.override.low:g} to {self.override.high:g} V")
            return
        unknown = []
        for driver in self.stage.drivers:
            family = driver_family(self.traced.circuit, driver)
            self.taken.append(str(family or families()[ASSUMED_FAMILY]))
            unknown += [p.part for p in driver.pins] if family is None else []
        if unknown:
            names = ", ".join(dict.fromkeys(unknown))
            self.findings.append(
                note(
                    "levels-assumed",
                    f"{self.name}: the logic family of {names} is not known; {ASSUMED_FAMILY} levels were taken. Tell "
                    "it with --part, or the levels with --high and --low",
                    *dict.fromkeys(unknown),
                )
            )

    # -- solving ------------------------------------------------------------------------------------

    def _solver(self, load: float | None, corner: Corner = "typical") -> StageSolver:
        return solver_of(self.traced, self.name, load, corner, self.override)

    def _levels(self, code: Sequence[int], *, blank: bool = False) -> tuple[int, ...]:
        """Levels of all drivers of the stage for a code."""
        return self.rest.levels(len(self.stage.drivers), code, blank=blank)

    def _at_load(self, load: float | None, codes: Sequence[tuple[int, ...]]) -> LoadLevels:
        typical = self._volts(load, "typical", codes)
        told = self.override is not None and None not in (self.override.high, self.override.low)
        corners: tuple[Corner, ...] = ("typical",) if told else ("typical", "weak", "strong")
        columns = [typical, *(self._volts(load, c, codes) for c in corners[1:])]
        lowest, highest = (
            [min(v) for v in zip(*columns, strict=True)],
            [max(v) for v in zip(*columns, strict=True)],
        )
        if self.tolerance:
            solvers = [self._settled(load, c, codes) for c in corners]
            for i, code in enumerate(codes):
                lowest[i] = worst_in_box(
                    [self._above(s, code, codes[0]) for s in solvers], solvers, self.tolerance, -1
                )
                highest[i] = worst_in_box(
                    [self._above(s, code, codes[0]) for s in solvers], solvers, self.tolerance, 1
                )
        blanked = None
        if self.rest.blanked:
            solver = self._settled(load, "typical", codes)
            black = solver.volts(self._levels(codes[0])) if self.coupled else 0.0
            blanked = solver.volts(self._levels(codes[-1], blank=True)) - black
        if load == self.loads[0]:
            self._note_drive(load, codes)
        return LoadLevels(
            load,
            tuple(CodeLevel(i, _tidy(v), _tidy(lowest[i]), _tidy(highest[i])) for i, v in enumerate(typical)),
            None if blanked is None else _tidy(blanked),
        )

    def _settled(self, load: float | None, corner: Corner, codes: Sequence[tuple[int, ...]]) -> StageSolver:
        solver = self._solver(load, corner)
        if self.coupled:
            solver.settle_charges([self._levels(code) for code in codes])
        return solver

    def _volts(self, load: float | None, corner: Corner, codes: Sequence[tuple[int, ...]]) -> list[float]:
        solver = self._settled(load, corner, codes)
        volts = [solver.volts(self._levels(code)) for code in codes]
        return [v - volts[0] for v in volts] if self.coupled else volts

    def _above(
        self, solver: StageSolver, code: tuple[int, ...], black: tuple[int, ...]
    ) -> Callable[[], float]:
        """Volts of a code, above black where a capacitor couples."""
        if not self.coupled:
            return lambda: solver.volts(self._levels(code))
        return lambda: solver.volts(self._levels(code)) - solver.volts(self._levels(black))

    def _crossing(self, codes: Sequence[tuple[int, ...]]) -> tuple[tuple[int, int], ...]:
        """Neighbouring codes that the tolerance can turn over, at the first load."""
        solver = self._solver(self.loads[0])
        up = 1 if solver.volts(self._levels(codes[-1])) >= solver.volts(self._levels(codes[0])) else -1
        found = []
        for k in range(len(codes) - 1):
            dark, bright = self._levels(codes[k]), self._levels(codes[k + 1])

            def step(dark: tuple[int, ...] = dark, bright: tuple[int, ...] = bright) -> float:
                return up * (solver.volts(bright) - solver.volts(dark))

            if worst_in_box([step], [solver], self.tolerance, -1) < 0:
                found.append((k, k + 1))
        return tuple(found)

    # -- what to say --------------------------------------------------------------------------------

    def _note_drive(self, load: float | None, codes: Sequence[tuple[int, ...]]) -> None:
        """Outputs that must give or take more than their data sheet grants."""
        if self.override and (self.override.high is not None or self.override.source_ohm is not None):
            return
        solver = self._settled(load, "typical", codes)
        for code in codes if len(self.bits) <= MOST_BITS_DRIVEN else (codes[0], codes[-1]):
            levels = self._levels(code)
            for i, amp in enumerate(solver.solve(levels).amp):
                family = driver_family(self.traced.circuit, self.stage.drivers[i])
                if family is None:
                    continue
                pin = str(self.stage.drivers[i].pins[0])
                over = _Overdrive(
                    pin, abs(amp) * 1e3, family.drive_ma if levels[i] else family.sink_ma, levels[i]
                )
                if over.times > max(1.0, self.overdriven[pin].times if pin in self.overdriven else 0.0):
                    self.overdriven[pin] = over

    def _say_coupled(self) -> None:
        if self.coupled:
            self.findings.append(
                note(
                    "coupled",
                    f"{self.name}: {', '.join(self.coupled)} couples it, so the volts are those above black; a meter set "
                    "to DC sees none of it behind the capacitor, use a scope",
                    *self.coupled,
                )
            )

    def _say_order(self, found: tuple[LoadLevels, ...], crossing: tuple[tuple[int, int], ...]) -> None:
        first = found[0]
        if not first.is_monotonic:
            volts = first.volts
            up = volts[-1] >= volts[0]
            back = [
                k + 1
                for k in range(len(volts) - 1)
                if (volts[k + 1] < volts[k]) == up and volts[k + 1] != volts[k]
            ]
            self.findings.append(
                note(
                    "not-monotonic",
                    f"{self.name}: brightness does not follow the code: it turns back at {_codes(back)}",
                    self.name,
                )
            )
        if crossing:
            self.findings.append(
                note(
                    "steps-cross",
                    f"{self.name}: with resistors off by up to {self.tolerance:.0%} {_codes([b for _, b in crossing])} can "
                    "change places with the code before",
                    self.name,
                )
            )


def _codes(codes: Sequence[int]) -> str:
    shown = ", ".join(str(c) for c in codes[:6])
    return f"code{'s' if len(codes) > 1 else ''} {shown}" + (" ..." if len(codes) > 6 else "")


def _tidy(volts: float) -> float:
    """Without the last digits, in which machines differ."""
    return round(volts, 6) + 0.0
