"""How many levels a colour has: codes whose voltages differ."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import pairwise, product

from tracer.stage.response import MOST_ENUMERATED_BENT, Response

__all__ = ["LEVEL_STEP", "count_codes", "count_levels"]

#: Up to this many bits every code of a stage without junctions is computed.
MOST_ENUMERATED = 10
#: Two voltages closer than this share of their span are one level.
LEVEL_STEP = 2e-4


def count_levels(volts: Iterable[float]) -> int:
    """How many voltages differ by more than `LEVEL_STEP` of their span."""
    ordered = sorted(volts)
    step = LEVEL_STEP * max(ordered[-1] - ordered[0], 1e-9)
    return 1 + sum(b - a > step for a, b in pairwise(ordered))


def count_codes(response: Response, bits: list[int], held: Mapping[int, int]) -> int:
    """Number of distinct voltages over all codes of some drivers, by index; of too many to try, the number of codes."""
    n = len(response.stage.drivers)
    bent = not response.superposes
    if len(bits) > (MOST_ENUMERATED_BENT if bent else MOST_ENUMERATED):
        return 1 << len(bits)
    if bent:
        volts = [
            response.volts(tuple(held.get(i, code[bits.index(i)] if i in bits else 0) for i in range(n)))
            for code in product((0, 1), repeat=len(bits))
        ]
    else:
        changes = [response.change(i, held) for i in bits]
        volts = [
            sum(c for c, b in zip(changes, code, strict=True) if b)
            for code in product((0, 1), repeat=len(bits))
        ]
    return count_levels(volts)
