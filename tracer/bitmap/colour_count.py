"""How many colours a map can show: distinct triples of levels over all codes.

Colours with bits of their own multiply; a bit that several colours share is
one choice, not several. Counts of codes, as every text on raster video has
them: 12 bits of distinct weights give 4,096 colours.
"""

from __future__ import annotations

from itertools import product

from tracer.bitmap.model import Bit, Colour

__all__ = ["count_colours"]

#: Above this many shared choices the codes are not enumerated; levels are multiplied instead.
MOST_CHOICES = 14
#: Decimals of a sum of weights that tell two levels apart.
_DECIMALS = 3


def count_colours(colours: tuple[Colour, ...]) -> int:
    """Number of distinct colours that the bits can make."""
    total = 1
    for group in _groups([c for c in colours if c.bits]):
        choices = sorted({_choice(bit) for c in group for bit in c.bits})
        if len(group) == 1 and len(choices) == len(group[0].bits):
            total *= max(1, group[0].levels)
        elif len(choices) <= MOST_CHOICES:
            total *= len(
                {
                    _shown(group, dict(zip(choices, code, strict=True)))
                    for code in product((0, 1), repeat=len(choices))
                }
            )
        else:
            for colour in group:
                total *= max(1, colour.levels)
    return total


def _choice(bit: Bit) -> str:
    """What decides a bit: its source where one stores it, else its driver."""
    path = bit.main_path
    if path is not None and path.source.is_memory and len(bit.paths) == 1:
        return f"{path.source.part}.{path.source.pin}"
    return f"{bit.driver.part}.{bit.driver.pin}"


def _shown(group: list[Colour], levels: dict[str, int]) -> tuple[float, ...]:
    return tuple(round(sum(b.weight * levels[_choice(b)] for b in c.bits), _DECIMALS) for c in group)


def _groups(colours: list[Colour]) -> list[list[Colour]]:
    """Colours that share a choice, together."""
    groups: list[list[Colour]] = []
    for colour in colours:
        own = {_choice(b) for b in colour.bits}
        joined = [g for g in groups if any(_choice(b) in own for c in g for b in c.bits)]
        groups = [g for g in groups if g not in joined] + [[c for g in joined for c in g] + [colour]]
    return groups
