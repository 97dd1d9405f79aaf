"""What a person should know about the weights of a colour."""

from __future__ import annotations

from collections.abc import Collection
from itertools import pairwise

from tracer.base.findings import Finding, note, warning
from tracer.stage.weights import StageBit, WeighedStage

__all__ = ["weight_findings"]

#: Neighbouring weights further apart than this factor are out of step: sets of 1, 2, 4, 8 are drawn.
ODD_FACTOR = 6.0
#: Weights closer than this factor are equal.
EQUAL_FACTOR = 1.05


def weight_findings(colour: str, weighed: WeighedStage, unread: Collection[str] = ()) -> list[Finding]:
    """Weights that are alike or out of step, and what the bits pass beside resistors."""
    found = []
    bits = weighed.bits
    parts = list(dict.fromkeys(part for bit in bits for part in bit.through))
    if parts:
        found.append(
            note(
                "passes-parts",
                f"between its resistors and the connector {'stand' if len(parts) > 1 else 'stands'} "
                f"{', '.join(parts)}",
                *parts,
                colour=colour,
                like="passes",
            )
        )
    for heavy, light in pairwise(bits):
        pair = (_names(heavy), _names(light))
        if any(part in unread for bit in (heavy, light) for part, _ in bit.resistors):
            continue
        ratio = abs(heavy.weight / light.weight) if light.weight else float("inf")
        if ratio < EQUAL_FACTOR:
            found.append(
                note(
                    "equal-weights",
                    f"{' and '.join(pair)} weigh the same, so {len(bits)} bits give {weighed.levels} levels",
                    *pair,
                    colour=colour,
                )
            )
        elif (ratio if weighed.superposes else _resistor_ratio(heavy, light)) > ODD_FACTOR:
            found.append(
                warning(
                    "odd-weight",
                    f"{pair[1]} weighs {abs(light.weight):.1%} beside {abs(heavy.weight):.1%} of {pair[0]}, far less "
                    "than half; read both resistors: one is wrong, or a bit between them is missing",
                    *pair,
                    colour=colour,
                )
            )
    if bits and sum(b.weight for b in bits) < 0:
        found.append(
            note("inverting-stage", "the output stage inverts; a high at a driver darkens it", colour=colour)
        )
    return found


def _resistor_ratio(heavy: StageBit, light: StageBit) -> float:
    """How much heavier one bit is by its resistors: behind junctions weights bend."""
    if not heavy.resistors or not light.resistors:
        return 1.0
    return light.resistors[0][1] / heavy.resistors[0][1]


def _names(bit: StageBit) -> str:
    return bit.resistors[0][0] if bit.resistors else str(bit.driver.pins[0])
