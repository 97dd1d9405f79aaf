"""What the page of a board shows beyond its map, as values."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from tracer.bitmap.model import BitMap
from tracer.card.chip_values import ChipView
from tracer.levels.leg_values import LegReading
from tracer.levels.values import LevelTable
from tracer.netlist.board import Evidence
from tracer.palette.values import Palette
from tracer.suspects.fault import Fault
from tracer.suspects.values import SuspectTable

__all__ = ["BoardPage", "FaultAt", "FaultedBit", "FaultedColour", "OpenInput", "Trial"]


#: What a person tries: a leg that stands low or high or is open, a chip that is pulled.
Trial = Literal["low", "high", "open", "pulled"]


@dataclass(frozen=True, slots=True)
class OpenInput:
    """An input that hears nothing and need not read the same each time: its part, and that one's family, if known."""

    part: str
    family: str | None


@dataclass(frozen=True, slots=True)
class FaultedBit:
    """A bit that a fault reaches.

    Attributes
    ----------
    bit : int
    level : int or None
        The level that its driver then always has; None where it is let go or not known.
    let_go : bool
        The driver holds nothing; the stage stands without it.
    unknown : OpenInput or None
        What keeps the level from being known.
    """

    bit: int
    level: int | None
    let_go: bool = False
    unknown: OpenInput | None = None


@dataclass(frozen=True, slots=True)
class FaultedColour:
    """A colour that a fault reaches.

    Attributes
    ----------
    colour : str
    bits : tuple of FaultedBit
        Heaviest first.
    volts : int or None
        Place in `BoardPage.volts`; None where the volts are not known.
    """

    colour: str
    bits: tuple[FaultedBit, ...]
    volts: int | None


@dataclass(frozen=True, slots=True)
class FaultAt:
    """A fault where a person looks for it, at a leg or at a whole chip (pin None), and the colours that it reaches."""

    trial: Trial
    fault: Fault
    part: str
    pin: str | None
    colours: tuple[FaultedColour, ...]


@dataclass(frozen=True, slots=True)
class BoardPage:
    """A board's page.

    Attributes
    ----------
    bit_map : BitMap
    legs : tuple of LegReading
        Legs of the picture's paths.
    nets : tuple of (str, str, str)
        Part, pin and net of every leg that a path names, where the netlist states it.
    levels : LevelTable
        At two loads.
    load_ohm : float or None
        The first of them.
    faults : tuple of FaultAt
        Of the legs first, source to connector; then of the chips.
    volts : tuple of tuple of float
        Volts by code of faulted colours, each once.
    chips : tuple of ChipView
        All legs of the chips.
    evidence : tuple of Evidence
        Oldest first.
    palette : Palette or None
        Where contents were given.
    suspects : SuspectTable or None
        What the evidence speaks for, where there is any.
    palette_words : tuple of str
        Why there is no palette though contents were given.
    """

    bit_map: BitMap
    legs: tuple[LegReading, ...]
    nets: tuple[tuple[str, str, str], ...]
    levels: LevelTable
    load_ohm: float | None
    faults: tuple[FaultAt, ...]
    volts: tuple[tuple[float, ...], ...]
    chips: tuple[ChipView, ...] = ()
    evidence: tuple[Evidence, ...] = ()
    palette: Palette | None = None
    palette_words: tuple[str, ...] = ()
    suspects: SuspectTable | None = None
