"""What is built of a part that is no chip, and what is said of its value."""

from __future__ import annotations

from dataclasses import dataclass

from tracer.base.findings import Finding, note, warning
from tracer.base.units import format_ohm, plain_value
from tracer.netlist.board import Part
from tracer.parts.model import PartType

__all__ = ["Passive", "value_doubtful", "value_unread"]


@dataclass(frozen=True, slots=True)
class Passive:
    """A passive part's type and its value."""

    type: PartType
    ohm: float | None = None
    farad: float | None = None
    polarity: str = ""
    findings: tuple[Finding, ...] = ()


def value_unread(part: Part, what: str) -> Finding:
    """A value that is missing or cannot be read, and what follows."""
    shown = repr(part.marking) if part.marking else "missing"
    return warning(
        "value-unread",
        f"the value of {part.reference} is {shown}; {what}. Tell it with --part {part.reference}=470",
        part.reference,
        like=f"{shown}; {what}",
    )


def value_doubtful(part: Part) -> Finding:
    """Three figures that were taken as typed, not as a code."""
    # Of a pack the marking may begin with how many it has: 4x604.
    value = plain_value(part.marking)
    ohm = float(value[:2]) * 10.0 ** int(value[2])
    return note(
        "value-doubtful",
        f"{part.reference} is marked {part.marking}: it was read as {value} ohm, a value of the series E96; as a code "
        f"it would be {format_ohm(ohm)}, which E24 does not have. Measure it, or tell it with --part {part.reference}="
        f"{value}R",
        part.reference,
        like=part.marking,
    )
