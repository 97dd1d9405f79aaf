"""What the bench card of a board shows, as values."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from tracer.bitmap.model import BitMap
from tracer.card.chip_values import ChipView, ConnectorView
from tracer.levels.leg_values import LegReading
from tracer.levels.values import LevelTable
from tracer.netlist.board import Evidence

__all__ = ["BoardCard", "ProbeKind", "ProbeLeg", "ProbeStep"]

ProbeKind = Literal[
    "supply", "colour pins", "controls", "outputs", "inputs", "sources", "enables", "index", "resistors"
]


@dataclass(frozen=True, slots=True)
class ProbeLeg:
    """A leg to touch, with a word for it: its bits (``red 3``), or its name where it carries none."""

    part: str
    pin: str
    word: str = ""


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
    from_map: bool = False
    kept: dict[object, object] = field(init=False, repr=False, compare=False, default_factory=dict)
