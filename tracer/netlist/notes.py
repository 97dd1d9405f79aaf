"""What bench notes say beyond parts and nets: colour pins, beeps, and what was seen or measured."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from tracer.base.units import format_ohm, parse_ohm
from tracer.netlist.pins import Origin, PinRef

__all__ = ["NO_NOTES", "Evidence", "Load", "Notes", "Told", "ToldNet", "Touch"]


class Load(NamedTuple):
    """What is at each colour pin: ohms, or None for nothing.

    >>> [str(Load.of(words)) for words in ("1k", "75 ohm", "none", "heavy")]
    ['1k', '75', 'none', 'None']
    """

    ohm: float | None

    @classmethod
    def of(cls, typed: str) -> Load | None:
        """As it is typed; None where that is no load."""
        if typed.strip().lower() == "none":
            return cls(None)
        ohm = parse_ohm(typed)
        return cls(ohm) if ohm else None

    def __str__(self) -> str:
        return "none" if self.ohm is None else format_ohm(self.ohm).removesuffix("R")


class ToldNet(NamedTuple):
    """A net by its name, where a pin could be told as well."""

    name: str

    def __str__(self) -> str:
        return f"net:{self.name}"

    def on_board(self, board: str) -> ToldNet:
        """The net with the name of its board in front."""
        return ToldNet(f"{board}:{self.name}")


#: Where a colour leaves the board, as a person told it: a leg, or a net.
Told = PinRef | ToldNet


@dataclass(frozen=True, slots=True)
class Evidence:
    """Something seen or measured on the board, as noted.

    Attributes
    ----------
    kind : str
        seen, read, swapped, pressed, exchanged, measured.
    where : tuple of str
        Pins, parts or colours it is about; for seen, nothing.
    words : str
        What was noted.
    origin : Origin or None
    """

    kind: str
    where: tuple[str, ...]
    words: str
    origin: Origin | None = None

    @property
    def ohm_between(self) -> tuple[PinRef, PinRef, float] | None:
        """Two legs and the ohms that a meter showed between them; None where it is no such measurement."""
        if self.kind != "measured" or len(self.where) != 2 or not all("." in end for end in self.where):
            return None
        ohm = parse_ohm(self.words)
        return None if ohm is None else (PinRef.of(self.where[0]), PinRef.of(self.where[1]), ohm)


@dataclass(frozen=True, slots=True)
class Touch:
    """One line of beeps: legs that beep together, or two that do not.

    Attributes
    ----------
    pins : tuple of PinRef
        As noted; the first is the one on which the lead was held.
    heard : bool
        Whether it beeped.
    origin : Origin or None
    """

    pins: tuple[PinRef, ...]
    heard: bool
    origin: Origin | None = None


@dataclass(frozen=True, slots=True)
class Notes:
    """What bench notes say beyond parts and nets.

    Attributes
    ----------
    colour_pins : tuple of (str, Told)
        Colour, and where it leaves the board.
    apart : tuple of (PinRef, PinRef)
        Pins between which no beep was heard.
    evidence : tuple of Evidence
        Oldest first.
    touches : tuple of Touch
        The beeps that nets and `apart` were made from, oldest first.
    sockets : tuple of (str, bool)
        Part, and whether it sits in a socket or is soldered.
    load : Load or None
        What the monitor is to each colour pin; None where it was not noted.
    """

    colour_pins: tuple[tuple[str, Told], ...] = ()
    apart: tuple[tuple[PinRef, PinRef], ...] = ()
    evidence: tuple[Evidence, ...] = ()
    touches: tuple[Touch, ...] = ()
    sockets: tuple[tuple[str, bool], ...] = ()
    load: Load | None = None

    def __bool__(self) -> bool:
        return bool(self.colour_pins or self.apart or self.evidence or self.sockets or self.load)


NO_NOTES = Notes()
