"""Pins of which a file tells the order only: they are kept, and never taken for legs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from tracer.base.findings import Finding, warning

__all__ = ["by_order", "order_finding"]


def by_order(place: int) -> str:
    """What stands for the number of a pin whose place in the order is known, from 1.

    It is no number: the first pin in the order need not be leg 1.

    >>> by_order(3)
    'n3'
    """
    return f"n{place}"


def order_finding(parts: Mapping[str, Sequence[str]], fix: str) -> Finding:
    """What is said of such parts, by their kinds."""
    kinds = [
        f"{kind or 'no kind'} ({', '.join(refs[:4])}{' ...' if len(refs) > 4 else ''})"
        for kind, refs in parts.items()
    ]
    count = sum(map(len, parts.values()))
    return warning(
        "pin-order-only",
        f"of {count} part(s) the file tells the order of the pins, not the legs: {'; '.join(kinds[:8])}"
        f"{' ...' if len(kinds) > 8 else ''}; no colour is traced through them; {fix}",
        *[ref for refs in parts.values() for ref in refs][:8],
    )
