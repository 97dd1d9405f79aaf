"""What the tool knows of a type of part: pins, and the arcs between them.

Words
-----
arc     one way through a part: ``series`` (both ways: a resistor, a closed
        switch), ``data`` (an input that an output passes on), ``control`` (a
        pin that clocks, gates or selects an output), ``address`` (a pin that
        chooses which stored bit a memory's data pin shows).
kind    what the part does to a bit (`tracer.parts.kinds`).
role    what a pin is for, one of `ROLES`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

from tracer.parts.kinds import Kind

__all__ = [
    "DRIVING",
    "ROLES",
    "Arc",
    "ArcKind",
    "Direction",
    "PartType",
    "PinType",
]

ArcKind = Literal["series", "data", "control", "address"]
Direction = Literal[
    "in", "out", "three_state", "open_collector", "open_emitter", "bidirectional", "power", "passive", "nc"
]

#: Directions that can set the level of a net.
DRIVING: frozenset[str] = frozenset({"out", "three_state", "open_collector", "open_emitter", "bidirectional"})

#: What a pin is for.
ROLES: frozenset[str] = frozenset(
    {
        "data_in", "data_out", "data_io", "address", "serial_in", "clock", "clear", "preset", "enable", "select",
        "load", "write_enable", "direction", "carry_out", "supply", "ground", "terminal", "signal", "nc",
    }
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class PinType:
    """One pin of a type: number, name (leading ``/`` = active low), direction, role."""

    number: str
    name: str
    direction: Direction
    role: str

    @property
    def letter(self) -> str:
        """B, C or E of a transistor's leg; those of a double one are called B1, B2 ..."""
        return self.name[:1]


@dataclass(frozen=True, slots=True)
class Arc:
    """One way through a part, from pin number `source` to pin number `target`.

    Attributes
    ----------
    inverts : bool
        The level is turned over on the way.
    role : str
        For control arcs: clock, clear, enable, select ...
    when : tuple of (str, int)
        Levels of other pins under which a data arc is open: pin number, 0 or 1.
    ohm : float or None
        For series arcs: the resistance; 0 for a link; None where it is not known.
    """

    kind: ArcKind
    source: str
    target: str
    inverts: bool = False
    role: str = ""
    when: tuple[tuple[str, int], ...] = ()
    ohm: float | None = None


@dataclass(frozen=True)
class PartType:
    """A type of part.

    Attributes
    ----------
    name : str
        ``74x273``, ``6116``.
    what : str
        A few words.
    kind : Kind
    pins : tuple of PinType
        In leg order.
    arcs : tuple of Arc
        All ways through.
    cite : str
        Where the facts come from.
    confirmed : tuple of str
        Independent sources that agree pin by pin; empty = from memory.
    package : str
        ``PLCC52``, where the legs are numbered unlike those of the usual package; empty for that one.
    other_packages : tuple of PartType
        The same type in packages with other numbers.
    """

    name: str
    what: str
    kind: Kind
    pins: tuple[PinType, ...]
    arcs: tuple[Arc, ...] = ()
    cite: str = ""
    confirmed: tuple[str, ...] = field(default=())
    package: str = ""
    other_packages: tuple[PartType, ...] = ()

    @cached_property
    def by_number(self) -> dict[str, PinType]:
        """Pin number -> pin."""
        return {pin.number: pin for pin in self.pins}

    @cached_property
    def _into(self) -> dict[str, tuple[Arc, ...]]:
        found: dict[str, tuple[Arc, ...]] = {}
        for arc in self.arcs:
            found[arc.target] = (*found.get(arc.target, ()), arc)
        return found

    def arcs_into(self, number: str, kind: ArcKind) -> tuple[Arc, ...]:
        """The arcs of one kind that end at a pin."""
        return tuple(arc for arc in self._into.get(number, ()) if arc.kind == kind)

    def drives(self, number: str) -> bool:
        """Whether this pin can set the level of its net."""
        pin = self.by_number.get(number)
        return pin is not None and pin.direction in DRIVING
