"""What the bench card of a board shows, as values."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from tracer.bitmap.model import BitMap
from tracer.card.chip_values import ChipView, ConnectorView
from tracer.circuit.donors import Donor
from tracer.levels.leg_values import LegReading
from tracer.levels.values import LevelTable
from tracer.netlist.board import Evidence
from tracer.place.values import PlaceView

__all__ = ["BoardCard", "Clock", "PartDonors", "ProbeKind", "ProbeLeg", "ProbeStep", "Supply"]

ProbeKind = Literal[
    "supply", "colour pins", "transistors", "clamps", "controls", "outputs", "inputs", "sources", "enables", "index",
    "resistors",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class ProbeLeg:
    """A leg to touch, with a word for it: its bits (``red 3``), or its name where it carries none.

    `level` is what it has while the picture is drawn, where it has one; `volts` what a supply holds it at.
    """

    part: str
    pin: str
    word: str = ""
    level: int | None = None
    volts: float | None = None


@dataclass(frozen=True, slots=True)
class ProbeStep:
    """Legs that are probed together.

    Attributes
    ----------
    kind : str
        What they are: see `ProbeKind`.
    legs : tuple of ProbeLeg
        Heaviest bit first within a chip; of supply, the supply leg and then the ground leg of each chip.
    """

    kind: ProbeKind
    legs: tuple[ProbeLeg, ...]


@dataclass(frozen=True, slots=True)
class Supply:
    """A supply: its name, its volts, and where to measure it (``J1.3``; empty where nothing stands on it)."""

    name: str
    volts: float
    at: str


@dataclass(frozen=True, slots=True)
class Clock:
    """A crystal or an oscillator with what is printed on it, and its place."""

    part: str
    marking: str
    place: str


@dataclass(frozen=True, slots=True)
class PartDonors:
    """A part of the path, and the parts of the board that can take its place.

    `is_programmed`: it has a content of its own, so that none can.
    """

    part: str
    what: str
    place: str
    donors: tuple[Donor, ...]
    is_programmed: bool = False


@dataclass(frozen=True, slots=True)
class BoardCard:
    """A board's card.

    Attributes
    ----------
    bit_map : BitMap
    chips : tuple of ChipView
        Those of write paths last.
    connectors : tuple of ConnectorView
    levels : LevelTable or None
        At two loads; None where the card is made from a saved map.
    readings : tuple of LegReading
        Empty where the card is made from a saved map.
    order : tuple of ProbeStep
        From the connector back to the memory.
    evidence : tuple of Evidence
        What bench notes say was seen, oldest first.
    supplies : tuple of Supply
    clocks : tuple of Clock
    donors : tuple of PartDonors
        Of the chips of the path and the transistors of its stages.
    place : PlaceView or None
        Where the parts sit.
    from_map : bool
        The card is made from a saved map: no nets, no levels, legs only as far as the part library has them.
    kept : dict
        What `tracer.base.once.once` has computed from it.
    """

    bit_map: BitMap
    chips: tuple[ChipView, ...]
    connectors: tuple[ConnectorView, ...]
    levels: LevelTable | None
    readings: tuple[LegReading, ...]
    order: tuple[ProbeStep, ...]
    evidence: tuple[Evidence, ...] = ()
    supplies: tuple[Supply, ...] = ()
    clocks: tuple[Clock, ...] = ()
    donors: tuple[PartDonors, ...] = ()
    place: PlaceView | None = None
    from_map: bool = False
    kept: dict[object, object] = field(init=False, repr=False, compare=False, default_factory=dict)
