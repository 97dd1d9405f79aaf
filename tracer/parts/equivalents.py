"""What fits in the place of a part, and what differs, by the leg tables."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from tracer.parts.identify import Identified
from tracer.parts.kinds import Kind
from tracer.parts.library import Library
from tracer.parts.model import PartType

__all__ = ["Fits", "LogicFits", "MemoryFits", "Outputs", "can_replace", "fits_in_place", "is_programmed"]

_MOST = 6
#: Families whose inputs and outputs go with TTL.
_TTL_LEVELS = ("LS", "ALS", "F", "S", "HCT")
_LOGIC = "74x"
#: What holds a content of its own: another of its type is another part.
_PROGRAMMED = frozenset({Kind.ROM, Kind.PROM, Kind.EPROM, Kind.LOGIC_ARRAY})
#: Parts that are told by their marking alone.
_BY_MARKING = frozenset({Kind.TRANSISTOR, Kind.DIODE, Kind.CUSTOM, Kind.UNKNOWN})
#: Kinds that are no part to exchange: passive ones cost less than the work.
_NO_DONORS = frozenset(
    {
        Kind.RESISTOR, Kind.RESISTOR_PACK, Kind.TRIMMER, Kind.CAPACITOR, Kind.INDUCTOR, Kind.LINK, Kind.SWITCH,
        Kind.CONNECTOR, Kind.OTHER,
    }
)  # fmt: skip
#: What a land pattern says of the body: one that is soldered flat goes into no socket.
_BODY = re.compile(r"(?<![A-Z])(DIP|SOIC|SOP|SOJ|SO|TSSOP|SSOP|PLCC|QFP|QFN|SOT|TO)(?![A-Z])", re.IGNORECASE)

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


def is_programmed(kind: Kind) -> bool:
    """Whether parts of a kind have a content of their own."""
    return kind in _PROGRAMMED


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


def can_replace(part: Identified, other: Identified) -> bool:
    """Whether `other`, as it sits on a board, does the work of `part` in its place.

    The same type, or of a family with the same levels, or a memory with the same legs and outputs; never a part with a
    content of its own.
    """
    kinds = {part.kind, other.kind}
    if len(kinds) > 1 or kinds & (_NO_DONORS | _PROGRAMMED) or not other.part.fitted:
        return False
    bodies = [_BODY.search(each.part.footprint) for each in (part, other)]
    if len({found[1].upper() for found in bodies if found}) > 1:
        return False
    if part.kind in _BY_MARKING:
        return bool(part.part.marking) and part.part.marking.upper() == other.part.marking.upper()
    if _legs(part.type) != _legs(other.type) or _outputs(part.type) != _outputs(other.type):
        return False
    if part.kind == Kind.RAM:
        return True
    goes = part.family == other.family or {part.family, other.family} <= set(_TTL_LEVELS)
    return part.type.name == other.type.name and goes


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
