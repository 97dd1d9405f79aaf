"""The paths of a map, numbered: what the page lights up is a set of these numbers."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from tracer.bitmap.model import Bit, BitMap, Role, Source, When

__all__ = ["LegKey", "PagePath", "as_spans", "page_paths"]

#: Part and pin.
LegKey = tuple[str, str]


@dataclass(frozen=True, slots=True)
class PagePath:
    """One path of one bit.

    Attributes
    ----------
    number : int
    colour : int
        Index of the colour.
    bit : int
    role : Role
    legs : tuple of LegKey
        From the source to the driver; the source is left out where it is no leg.
    source : Source or None
        None where no way back was found.
    because : str or None
        Why it stops.
    when : tuple of When
    """

    number: int
    colour: int
    bit: int
    role: Role
    legs: tuple[LegKey, ...]
    source: Source | None
    because: str | None = None
    when: tuple[When, ...] = ()

    @property
    def parts(self) -> frozenset[str]:
        """Parts that it passes."""
        return frozenset(part for part, _ in self.legs)

    @property
    def hops(self) -> frozenset[tuple[LegKey, LegKey]]:
        """Legs that follow one another: over a net, or through a part."""
        return frozenset(pairwise(self.legs))


def page_paths(bit_map: BitMap) -> tuple[PagePath, ...]:
    """All paths in the order of the map; a bit without one counts as one that is its driver's leg."""
    found: list[PagePath] = []
    for index, colour in enumerate(bit_map.colours):
        for bit in colour.bits:
            for path in bit.paths:
                legs = _legs(path.source, [(s.part, s.source_pin, s.target_pin) for s in path.steps], bit)
                because = None if path.source.is_memory else path.because or bit.because
                found.append(
                    PagePath(len(found), index, bit.bit, path.role, legs, path.source, because, path.when)
                )
            if not bit.paths:
                driver = (bit.driver.part, bit.driver.pin)
                found.append(PagePath(len(found), index, bit.bit, "picture", (driver,), None, bit.because))
    return tuple(found)


def _legs(source: Source, steps: list[tuple[str, str, str]], bit: Bit) -> tuple[LegKey, ...]:
    legs: list[LegKey] = [(source.part, source.pin)] if source.part and source.pin else []
    for part, into, out in reversed(steps):
        legs += [(part, into), (part, out)]
    driver = (bit.driver.part, bit.driver.pin)
    if not steps and driver not in legs:
        legs.append(driver)
    return tuple(legs)


def as_spans(numbers: Iterable[int]) -> str:
    """Numbers as text that a script reads back.

    >>> as_spans([4, 0, 1, 2])
    '0-2 4'
    """
    spans: list[list[int]] = []
    for number in sorted(set(numbers)):
        if spans and spans[-1][1] == number - 1:
            spans[-1][1] = number
        else:
            spans.append([number, number])
    return " ".join(str(a) if a == b else f"{a}-{b}" for a, b in spans)
