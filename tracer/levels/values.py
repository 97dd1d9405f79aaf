"""Volts at the colour pins: what the output stage gives for every code, as values."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

from tracer.base.findings import Finding
from tracer.stage.level_count import LEVEL_STEP, count_levels

__all__ = ["CodeLevel", "ColourLevels", "LevelTable", "LoadLevels"]


@dataclass(frozen=True, slots=True)
class CodeLevel:
    """Volts of one code.

    Attributes
    ----------
    code : int
        Levels of the bits' drivers, bit 0 = the lightest.
    volts : float
        With typical levels of the chips and the resistors as marked. Over a coupling capacitor: above code 0.
    lowest, highest : float
        What chips within their data sheets and resistors within the tolerance can make of it.
    """

    code: int
    volts: float
    lowest: float
    highest: float


@dataclass(frozen=True, slots=True)
class LoadLevels:
    """All codes of a colour at one load, in the order of the codes.

    Attributes
    ----------
    load_ohm : float or None
        The monitor's input; None for none.
    codes : tuple of CodeLevel
    blanked_volts : float or None
        What blanking leaves; None where no driver blanks the stage.
    """

    load_ohm: float | None
    codes: tuple[CodeLevel, ...]
    blanked_volts: float | None = None

    @property
    def volts(self) -> tuple[float, ...]:
        """Volts by code."""
        return tuple(c.volts for c in self.codes)

    @property
    def span(self) -> tuple[float, float]:
        """Darkest and brightest volts."""
        return min(self.volts), max(self.volts)

    @property
    def n_levels(self) -> int:
        """How many of the voltages differ, as the outputs that were taken give them."""
        return count_levels(self.volts)

    @property
    def is_monotonic(self) -> bool:
        """Whether each code is at least as far from the first as the one before it."""
        volts = self.volts
        sign = 1.0 if volts[-1] >= volts[0] else -1.0
        step = LEVEL_STEP * abs(volts[-1] - volts[0])
        return all(sign * (b - a) >= -step for a, b in pairwise(volts))


@dataclass(frozen=True, slots=True)
class ColourLevels:
    """One colour.

    Attributes
    ----------
    colour : str
    n_bits : int
    n_levels : int
        As in the map: of ideal outputs, so that it is a fact of the resistors; 0 where it is not known.
    loads : tuple of LoadLevels
        Empty where the levels are not known.
    coupled_by : tuple of str
        Capacitors in the way: a meter set to DC sees nothing behind them.
    crossing : tuple of (int, int)
        Pairs of neighbouring codes whose order the tolerance can turn over, at the first load.
    """

    colour: str
    n_bits: int
    n_levels: int
    loads: tuple[LoadLevels, ...]
    coupled_by: tuple[str, ...] = ()
    crossing: tuple[tuple[int, int], ...] = ()

    def at(self, load_ohm: float | None) -> LoadLevels | None:
        """The levels at one load."""
        return next((x for x in self.loads if x.load_ohm == load_ohm), None)


@dataclass(frozen=True, slots=True)
class LevelTable:
    """The levels of a board.

    Attributes
    ----------
    board : str
    colours : tuple of ColourLevels
    chip_levels : tuple of str
        In words: what was taken for the outputs that drive the stage.
    tolerance : float
        Of the resistors, as a share.
    findings : tuple of Finding
    """

    board: str
    colours: tuple[ColourLevels, ...]
    chip_levels: tuple[str, ...] = ()
    tolerance: float = 0.0
    findings: tuple[Finding, ...] = field(default=())

    def of(self, colour: str) -> ColourLevels | None:
        """The levels of one colour."""
        return next((c for c in self.colours if c.colour == colour), None)
