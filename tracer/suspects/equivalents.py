"""What fits in the place of a chip, and what differs, by the part library's leg tables."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from tracer.parts.identify import Identified
from tracer.parts.kinds import Kind
from tracer.parts.library import Library
from tracer.parts.model import PartType

__all__ = ["Fits", "LogicFits", "MemoryFits", "Outputs", "fits_in_place"]

_MOST = 6
#: Families whose inputs and outputs go with TTL.
_TTL_LEVELS = ("LS", "ALS", "F", "S", "HCT")
_LOGIC = "74x"

Outputs = Literal["open-collector", "three-state"]


@dataclass(frozen=True, slots=True)
class LogicFits:
    """A logic chip: its marking, the number of its type (``273``), families whose levels go with its own."""

    marking: str
    number: str
    families: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MemoryFits:
    """A memory: types with the same legs; beside each its outputs, where they are others."""

    type: str
    others: tuple[tuple[str, Outputs | None], ...]
    is_programmed: bool


Fits = LogicFits | MemoryFits


def fits_in_place(part: Identified, library: Library) -> Fits | None:
    """What fits; None where the library cannot tell."""
    if part.known_by != "library":
        return None
    name = part.type.name
    if part.kind.stores:
        return _memories(part, library)
    if name.startswith(_LOGIC):
        others = tuple(f for f in _TTL_LEVELS if f != part.family)
        return LogicFits(part.part.marking or name, name.removeprefix(_LOGIC), others)
    return None


def _memories(part: Identified, library: Library) -> MemoryFits | None:
    wanted, outputs = _legs(part.type), _outputs(part.type)
    alike = [
        t
        for t in library.all_types()
        if t.kind == part.kind and t.name != part.type.name and _legs(t) == wanted
    ]
    others = tuple((t.name, _shown(t) if _outputs(t) != outputs else None) for t in alike[:_MOST])
    return MemoryFits(part.type.name, others, part.kind == Kind.PROM) if others else None


def _legs(type_: PartType) -> dict[str, str]:
    return {p.number: p.role for p in type_.pins}


def _outputs(type_: PartType) -> set[str]:
    return {p.direction for p in type_.pins if p.role in ("data_out", "data_io")}


def _shown(type_: PartType) -> Outputs:
    return "open-collector" if "open_collector" in _outputs(type_) else "three-state"
