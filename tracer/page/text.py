"""What a page says of faults."""

from __future__ import annotations

from tracer.page.values import OpenInput

__all__ = ["unknown_text"]


def unknown_text(input_: OpenInput | None) -> str:
    """What is known of the input that a fault leaves open; nothing where its level is known."""
    if input_ is None:
        return ""
    if input_.family is None:
        return f"the logic family of {input_.part} is not known, nor what its open input reads"
    return f"an open input of {input_.part} ({input_.family}) floats: it may read low or high, and change"
