"""The result: which memory pin feeds which bit of which colour, and how.

All that the outputs need is in these values; they know nothing of how they
were found.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Literal

from tracer.base.findings import Finding
from tracer.netlist.board import Input
from tracer.netlist.colour_names import COLOURS

__all__ = [
    "COLOUR_NAME",
    "MEMORY_SOURCES",
    "WEIGHT_DECIMALS",
    "Bit",
    "BitMap",
    "Chip",
    "Colour",
    "ColourPin",
    "ColourState",
    "Control",
    "Driver",
    "FoundBy",
    "IndexLine",
    "MemoryIndex",
    "Path",
    "Role",
    "SetBy",
    "Source",
    "SourceKind",
    "StageResistor",
    "Step",
    "When",
]

FoundBy = Literal["told", "connector", "name", "shape"]
Role = Literal["picture", "write path", "alternative"]
SourceKind = Literal[
    "ram", "rom", "prom", "eprom", "logic array", "dac", "cpu", "custom", "connector", "logic", "rail",
    "nothing", "unknown part",
]  # fmt: skip

#: Name of a colour, as a pattern.
COLOUR_NAME = "[a-z][a-z0-9_]*"

#: What sets the level of an address line.
SetBy = Literal["output", "connector", "rail", "pull", "switch", "nothing", "not stated"]

#: Decimals of a weight: finer than any resistor's tolerance.
WEIGHT_DECIMALS = 6

#: Warnings by which the colour pins themselves may be others.
DOUBTS_OF_PINS: frozenset[str] = frozenset({"colour-doubtful", "colour-by-shape"})

#: Ends at which a bit is traced; every other end stops it.
MEMORY_SOURCES: frozenset[str] = frozenset({"ram", "rom", "prom", "eprom"})


@dataclass(frozen=True, slots=True)
class ColourPin:
    """Where a colour leaves the board; part and pin are None where the drawing shows no connector."""

    part: str | None
    pin: str | None
    name: str
    net: str
    found_by: FoundBy


@dataclass(frozen=True, slots=True)
class StageResistor:
    """A resistor that weighs a bit: reference and ohms (None where the value is not known)."""

    part: str
    ohm: float | None


@dataclass(frozen=True, slots=True)
class Driver:
    """An output that sets a level: that of a bit at the output stage, or of an address line; `sold_as` as in `Chip`."""

    part: str
    type: str
    pin: str
    name: str
    sold_as: str = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "sold_as", self.sold_as or self.type)


@dataclass(frozen=True, slots=True)
class Control:
    """A pin that clocks, clears, selects or enables a step, and its net (None when not stated)."""

    pin: str
    name: str
    net: str | None


@dataclass(frozen=True, slots=True)
class When:
    """A level of a pin under which a path is open."""

    part: str
    pin: str
    name: str
    level: int


@dataclass(frozen=True, slots=True)
class Step:
    """One part passed on the way back; data goes from pin `source_pin` to pin `target_pin`; `sold_as` as in `Chip`."""

    part: str
    type: str
    source_pin: str
    target_pin: str
    how: str
    inverts: bool = False
    controls: tuple[Control, ...] = ()
    sold_as: str = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "sold_as", self.sold_as or self.type)


@dataclass(frozen=True, slots=True)
class Source:
    """The pin where a walk ends; part, type and pin are None for a rail and for nothing; `sold_as` as in `Chip`."""

    part: str | None
    type: str | None
    pin: str | None
    name: str
    kind: SourceKind
    place: str | None = None
    sold_as: str | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "sold_as", self.sold_as or self.type)

    @property
    def is_memory(self) -> bool:
        """Whether the bit is stored there."""
        return self.kind in MEMORY_SOURCES


@dataclass(frozen=True, slots=True)
class Path:
    """One way from a driver back to a source.

    `because` says why it ends where it does when that is no memory, and what would carry it on.
    """

    role: Role
    when: tuple[When, ...]
    steps: tuple[Step, ...]
    source: Source
    because: str | None = None

    @property
    def stops_because(self) -> str:
        """Why it ends where it does, always a sentence."""
        return self.because or f"the way back ends at a {self.source.kind}"

    def stops_like(self, other: Path) -> bool:
        """Whether both end at one part for one reason, which differs at most by the leg."""
        if (self.source.kind, self.source.part) != (other.source.kind, other.source.part):
            return False
        return self._because_of_a_leg == other._because_of_a_leg

    @property
    def _because_of_a_leg(self) -> str:
        leg = f"{self.source.part}.{self.source.pin}"
        return re.sub(rf"{re.escape(leg)}(?!\w)", "\0", self.stops_because)

    @property
    def inverts(self) -> bool:
        """Whether the driver shows the source's level turned over."""
        return sum(step.inverts for step in self.steps) % 2 == 1


@dataclass(frozen=True, slots=True)
class Bit:
    """One bit of a colour; bit 0 is the lightest. Its weight is rounded, so that a map is the same when it is saved
    and read back.
    """

    bit: int
    weight: float
    resistors: tuple[StageResistor, ...]
    driver: Driver
    paths: tuple[Path, ...]

    def __post_init__(self) -> None:
        object.__setattr__(self, "weight", round(self.weight, WEIGHT_DECIMALS))

    @property
    def is_traced(self) -> bool:
        """Whether there is a picture or alternative path, and each ends at a memory pin."""
        shown = [path for path in self.paths if path.role != "write path"]
        return bool(shown) and all(path.source.is_memory for path in shown)

    @property
    def stopped(self) -> Path | None:
        """The first way of the picture that ends at no memory pin, if one does."""
        ways = (path for path in self.paths if path.role != "write path" and not path.source.is_memory)
        return next(ways, None)

    @property
    def because(self) -> str | None:
        """Why the bit is not traced, in one sentence; None when it is."""
        if self.is_traced:
            return None
        if not self.paths:
            return "no way back was found"
        if self.stopped is not None:
            return self.stopped.stops_because
        return "only a write path leads here; nothing that stores the bit was found"

    @property
    def main_path(self) -> Path | None:
        """The path to show where there is room for one: the picture's, else an alternative's."""
        order = {"picture": 0, "alternative": 1, "write path": 2}
        return min(self.paths, key=lambda p: (order[p.role], not p.source.is_memory), default=None)


@dataclass(frozen=True, slots=True)
class ColourState:
    """What an analogue selector shows of a colour under other levels of its control pins: a whole set of bits."""

    when: tuple[When, ...]
    levels: int
    bits: tuple[Bit, ...]


@dataclass(frozen=True, slots=True)
class Colour:
    """One colour: its pin, how many levels it has, its bits heaviest first.

    Where an analogue selector stands on the way, `when` are the levels under which it shows these bits, and `states`
    what it shows else.
    """

    name: str
    pin: ColourPin
    levels: int
    bits: tuple[Bit, ...]
    when: tuple[When, ...] = ()
    states: tuple[ColourState, ...] = ()

    @property
    def is_traced(self) -> bool:
        """Whether it has bits and each, in every state, ends at a memory pin."""
        sets = (self.bits, *(state.bits for state in self.states))
        return all(bits and all(bit.is_traced for bit in bits) for bits in sets)


@dataclass(frozen=True, slots=True)
class Chip:
    """A chip of the path: what it does, and the bits of each colour that pass it.

    `type` is the library's (``74x273``), `sold_as` what to buy (``74LS273``): the type where the family is not known.
    """

    part: str
    type: str
    place: str | None
    does: str
    feeds: tuple[tuple[str, tuple[int, ...]], ...]
    sold_as: str = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "sold_as", self.sold_as or self.type)

    @property
    def is_on_path(self) -> bool:
        """Whether a bit passes it; the others write to the memories."""
        return any(bits for _, bits in self.feeds)


@dataclass(frozen=True, slots=True)
class IndexLine:
    """One address pin of a palette memory and what sets its level.

    Attributes
    ----------
    pin, name : str
    net : str or None
        None where the drawing does not state it.
    set_by : SetBy
        An output, or several; a connector's pin; a rail; nothing but a pull to one; a switch or jumper; nothing at all.
    level : int or None
        At which a rail or a pull holds it; None where it can change.
    drivers : tuple of Driver
        The outputs, or the connector's pin.
    over : str or None
        The part through which the outputs reach the line, where they do not stand on its net; or the switch.
    """

    pin: str
    name: str
    net: str | None
    set_by: SetBy
    level: int | None = None
    drivers: tuple[Driver, ...] = ()
    over: str | None = None

    @property
    def is_live(self) -> bool:
        """Whether it can change while the board runs."""
        return self.level is None and self.set_by != "switch"


@dataclass(frozen=True, slots=True)
class MemoryIndex:
    """The address pins of one memory."""

    part: str
    lines: tuple[IndexLine, ...]


@dataclass(frozen=True, slots=True)
class BitMap:
    """The bit-to-chip map of a board."""

    name: str
    inputs: tuple[Input, ...]
    n_parts: int
    n_nets: int
    load_ohm: float | None
    colours: tuple[Colour, ...]
    chips: tuple[Chip, ...] = ()
    index: tuple[MemoryIndex, ...] = ()
    colours_possible: int = 0
    colours_at_once: int = 0
    findings: tuple[Finding, ...] = field(default=())

    @property
    def n_bits(self) -> int:
        """Bits of all colours."""
        return sum(len(colour.bits) for colour in self.colours)

    @property
    def n_traced(self) -> int:
        """Bits that were traced to a memory pin."""
        return sum(bit.is_traced for colour in self.colours for bit in colour.bits)

    @property
    def is_complete(self) -> bool:
        """Whether every colour has bits, every bit is traced, and nothing makes it doubtful which the colours are.

        A colour may only be missing where a person told the others.
        """
        doubt = any(f.severity == "warning" and f.code in DOUBTS_OF_PINS for f in self.findings)
        told = bool(self.colours) and all(colour.pin.found_by == "told" for colour in self.colours)
        all_there = told or {colour.name for colour in self.colours} >= set(COLOURS)
        return all_there and not doubt and all(colour.is_traced for colour in self.colours)
