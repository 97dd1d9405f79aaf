"""What fits in the place of a chip, and what differs, by the part library's leg tables."""

from __future__ import annotations

from tracer.parts.families import families
from tracer.parts.identify import Identified
from tracer.parts.library import Library
from tracer.parts.model import PartType

__all__ = ["fits_in_place"]

_MOST = 6
#: Families whose inputs and outputs go with TTL.
_TTL_LEVELS = ("LS", "ALS", "F", "S", "HCT")
#: What a 74HC input wants for a high at 4.5 V (TI CD74HC73 data sheet).
HC_HIGH_VOLTS = 3.15


def fits_in_place(part: Identified, library: Library) -> str | None:
    """One sentence, or None where the library cannot tell."""
    if part.known_by != "library":
        return None
    if part.kind.stores:
        return _memories(part, library)
    if part.type.name.startswith("74x"):
        number = part.type.name.removeprefix("74x")
        others = ", ".join(f"74{f}{number}" for f in _TTL_LEVELS if f != part.family)
        promised = families()["LS"].high_min
        return (
            f"In place of {part.part.marking or part.type.name} fit {others}, where they were made; 74HC{number} wants "
            f"{HC_HIGH_VOLTS} V for a high and a bipolar output promises {promised} V: it may work and may not."
        )
    return None


def _memories(part: Identified, library: Library) -> str | None:
    wanted = _legs(part.type)
    alike = [
        t
        for t in library.all_types()
        if t.kind == part.kind and t.name != part.type.name and _legs(t) == wanted
    ]
    if not alike:
        return None
    texts = []
    for t in alike[:_MOST]:
        other = _outputs(t) != _outputs(part.type)
        texts.append(f"{t.name} ({'open-collector' if 'open_collector' in _outputs(t) else 'three-state'} outputs)" if other else t.name)  # fmt: skip
    return (
        f"The legs of {part.type.name} are those of {', '.join(texts)} too; mind the access time, which no leg table "
        "tells" + ("." if part.kind != "prom" else ", and that it must be programmed.")
    )


def _legs(type_: PartType) -> dict[str, str]:
    return {p.number: p.role for p in type_.pins}


def _outputs(type_: PartType) -> set[str]:
    return {p.direction for p in type_.pins if p.role in ("data_out", "data_io")}
