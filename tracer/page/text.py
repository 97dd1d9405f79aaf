"""What a page says of faults, and of what a meter shows."""

from __future__ import annotations

from tracer.base.units import format_ohm
from tracer.levels.leg_values import OhmRange
from tracer.page.values import OpenInput

__all__ = ["ohms_words", "unknown_text"]


def unknown_text(input_: OpenInput | None) -> str:
    """What is known of the input that a fault leaves open; nothing where its level is known."""
    if input_ is None:
        return ""
    if input_.family is None:
        return f"the logic family of {input_.part} is not known, nor what its open input reads"
    return f"an open input of {input_.part} ({input_.family}) floats: it may read low or high, and change"


def ohms_words(ohms: OhmRange) -> str:
    """``380R to 420R``; ``open``."""
    if ohms.lowest is None and ohms.highest is None:
        return "open"
    low, high = (
        format_ohm(float(f"{x:.3g}")) if x is not None else "open" for x in (ohms.lowest, ohms.highest)
    )
    return low if low == high else f"{low} to {high}"
