"""A sample of picture elements: words of the palette that the index can reach, and what memories make of them.

At most 64 words, spread over the first 256 of the palette: drawn by a fixed seed, with a black and a white one.
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from functools import cached_property

from tracer.levels.leg_paths import LegPath
from tracer.suspects.fault import AddressFault, Effect
from tracer.suspects.hits import BitId

__all__ = ["ELEMENTS", "Sample"]

#: Most elements of the sample, and most words of the palette that it is drawn from.
ELEMENTS, WORDS = 64, 256
_SEED = 1981
#: Lines of the index where no memory with an index is known.
_USUAL_LINES = 6

#: Levels of bits at their drivers.
Word = dict[BitId, int]


class Sample:
    """The words of a palette, healthy and with the memories at fault.

    Parameters
    ----------
    paths : mapping of (str, int) to LegPath
        By colour and bit.
    n_lines : int
        How many lines of the index can change; 0 where that is not known.
    """

    def __init__(self, paths: Mapping[BitId, LegPath], n_lines: int) -> None:
        self.paths, self.n_lines = paths, n_lines or _USUAL_LINES

    @cached_property
    def words(self) -> dict[int, Word]:
        """Index -> the healthy word."""
        chance = random.Random(_SEED)
        n = 2 ** min(self.n_lines, 16)
        found = {}
        for index in range(min(n, WORDS)):
            fill = {0: 0, 1: 1}.get(index)
            found[index] = {key: chance.getrandbits(1) if fill is None else fill for key in self.paths}
        return found

    @cached_property
    def _scrambled(self) -> dict[int, Word]:
        chance = random.Random(_SEED + 1)
        return {i: {key: chance.getrandbits(1) for key in word} for i, word in self.words.items()}

    @cached_property
    def elements(self) -> tuple[int, ...]:
        """Indexes of the sample."""
        every = list(self.words)
        if len(every) <= ELEMENTS:
            return tuple(every)
        chance = random.Random(_SEED + 2)
        return (0, 1, *sorted(chance.sample(every[2:], ELEMENTS - 2)))

    def word(self, index: int, effect: Effect) -> Word:
        """The word that shows at an index."""
        word = dict(self.words[index])
        if effect.memories:
            other = (
                self._scrambled[index] if effect.scrambled else self.words[self._moved(index, effect.address)]
            )
            for key, path in self.paths.items():
                if path.legs[0].part in effect.memories:
                    word[key] = other[key]
        if effect.tied:
            # Two data lines shorted: a TTL low wins on both (common practice, no source).
            low = min(word[key] for key in effect.tied)
            word.update(dict.fromkeys(effect.tied, low))
        return word

    def _moved(self, index: int, address: AddressFault | None) -> int:
        """The index that a memory sees."""
        if address is None:
            return index
        line = 1 << address.line
        if address.other is None:
            moved = index | line if address.level else index & ~line
        else:
            other = 1 << address.other
            moved = index if index & line and index & other else index & ~(line | other)
        return moved % len(self.words)
