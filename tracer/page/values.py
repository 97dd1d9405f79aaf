"""What the page of a board shows beyond its map, as values."""

from __future__ import annotations

from dataclasses import dataclass

from tracer.bitmap.model import BitMap
from tracer.card.chip_values import ChipView
from tracer.levels.leg_values import LegReading, OhmRange
from tracer.levels.values import LevelTable
from tracer.netlist.board import Evidence
from tracer.palette.values import Palette
from tracer.place.values import PlaceView
from tracer.suspects.tables import ReasoningTables
from tracer.suspects.values import SuspectTable

__all__ = [
    "BoardPage",
    "Drawn",
    "FaultAt",
    "FaultedBit",
    "FaultedColour",
    "MovedIndex",
    "OpenInput",
    "OtherPart",
    "StagePart",
]


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
class MovedIndex:
    """A fault of the palette's address: another entry comes than the one that is asked for.

    Attributes
    ----------
    held : tuple of (int, int)
        Lines that stand, each with its level.
    joined : (int, int) or None
        Two lines that are one.
    n_lines : int
        Lines that choose among the entries.
    bits : tuple of (str, int)
        Colours and bits that come from the memories it is at.
    """

    held: tuple[tuple[int, int], ...]
    joined: tuple[int, int] | None
    n_lines: int
    bits: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class FaultAt:
    """A fault where a person looks for it.

    Attributes
    ----------
    words : str
        What is tried: ``stuck low``.
    fault : int
        Its number in the list of the path's faults.
    part : str
    pin : str or None
        None for a whole part.
    colours : tuple of FaultedColour
        Those that it reaches.
    moved : MovedIndex or None
    """

    words: str
    fault: int
    part: str
    pin: str | None
    colours: tuple[FaultedColour, ...]
    moved: MovedIndex | None = None


@dataclass(frozen=True, slots=True)
class StagePart:
    """A resistor, transistor, diode or amplifier of an output stage.

    Attributes
    ----------
    part, what : str
        ``R5``, ``470R resistor``.
    place : str or None
    colours : tuple of str
    bits : tuple of (str, int)
        Bits that run through it alone; empty where it is of the whole colour.
    legs : tuple of (str, str or None)
        Each with its net.
    across : OhmRange or None
        Of two legs: what a meter shows from one to the other, board off, chips out.
    """

    part: str
    what: str
    place: str | None
    colours: tuple[str, ...]
    bits: tuple[tuple[str, int], ...]
    legs: tuple[tuple[str, str | None], ...]
    across: OhmRange | None = None


@dataclass(frozen=True, slots=True)
class OtherPart:
    """A part of the board that no bit passes, and why that is all there is to say of it here."""

    part: str
    what: str
    place: str | None
    why: str
    legs: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Drawn:
    """A chip or connector as it is drawn from above.

    Attributes
    ----------
    part, what : str
    place : str or None
    is_dip : bool
        In two rows; else as a list.
    legs : tuple of (str, str, str or None)
        Number, name and net.
    """

    part: str
    what: str
    place: str | None
    is_dip: bool
    legs: tuple[tuple[str, str, str | None], ...]


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
    palette_words : tuple of str
        Why there is no palette though contents were given.
    suspects : SuspectTable or None
        What the evidence speaks for, where there is any.
    tables : ReasoningTables or None
        From which the page goes on; None for a map without bits.
    stage_parts : tuple of StagePart
    others : tuple of OtherPart
    drawn : tuple of Drawn
    place_view : PlaceView or None
        Where parts sit, as far as anything tells it.
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
    tables: ReasoningTables | None = None
    stage_parts: tuple[StagePart, ...] = ()
    others: tuple[OtherPart, ...] = ()
    drawn: tuple[Drawn, ...] = ()
    place_view: PlaceView | None = None
