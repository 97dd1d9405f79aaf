"""What a page says of faults."""

from __future__ import annotations

from collections.abc import Mapping

from tracer.page.values import OpenInput, Trial

__all__ = ["TRIALS", "unknown_text"]


#: What a person tries at a leg or chip.
TRIALS: Mapping[Trial, str] = {
    "low": "stuck low",
    "high": "stuck high",
    "open": "open",
    "pulled": "out of its socket",
}


def unknown_text(input_: OpenInput | None) -> str:
    """What is known of the input that a fault leaves open; nothing where its level is known."""
    if input_ is None:
        return ""
    if input_.family is None:
        return f"the logic family of {input_.part} is not known, nor what its open input reads"
    return f"an open input of {input_.part} ({input_.family}) floats: it may read low or high, and change"
