"""A sample of picture elements: words of the palette that the index can reach, and what memories make of them.

At most 48 indexes, spread over the whole palette: drawn by a fixed seed, with a black and a white one.
"""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from functools import cached_property

from tracer.levels.leg_paths import LegPath
from tracer.suspects.fault import AddressFault, Effect
from tracer.suspects.hits import BitId

__all__ = ["ELEMENTS", "Sample"]

#: Most elements of the sample, and lines of the index that make it: more of them hold no palette.
ELEMENTS, MOST_LINES = 48, 16
_SEED = 1981
#: Lines of the index where no memory with an index is known.
_USUAL_LINES = 6

#: Levels of bits at their drivers.
Word = dict[BitId, int]


class Sample:
    """The words of a palette, healthy and with the memories at fault.

    Parameters
    ----------
    banks : sequence of mapping of (str, int) to LegPath
        By bank, then by colour and bit.
    n_lines : int
        How many lines of the index can change; 0 where that is not known.
    """

    def __init__(self, banks: Sequence[Mapping[BitId, LegPath]], n_lines: int) -> None:
        self.banks, self.n_lines = banks, min(n_lines or _USUAL_LINES, MOST_LINES)
        self._words: dict[tuple[int, int], Word] = {}
        self._placed: dict[int, Word] = {}

    def holding(self, words: Sequence[Word]) -> tuple[Sample, tuple[int, ...]]:
        """A sample of these words alone, behind black and white, and where in it they stand.

        They lie at indexes drawn by a fixed seed, so that a fault of an address meets some of them and leaves others.
        """
        other = Sample(self.banks, self.n_lines)
        free = range(2, max(2**self.n_lines, 2 + len(words)))
        at = sorted(random.Random(_SEED + 3).sample(free, len(words)))
        other._placed = dict(zip(at, words, strict=True))
        other.elements = (0, 1, *at)
        return other, tuple(range(2, 2 + len(at)))

    def healthy(self, index: int) -> Word:
        """The word that the game wrote at an index."""
        if index in self._placed:
            return self._placed[index]
        fill = {0: 0, 1: 1}.get(index)
        return self._drawn(index, _SEED) if fill is None else dict.fromkeys(self.banks[0], fill)

    def _drawn(self, index: int, seed: int) -> Word:
        if (index, seed) not in self._words:
            chance = random.Random(seed << MOST_LINES | index)
            self._words[index, seed] = {key: chance.getrandbits(1) for key in self.banks[0]}
        return self._words[index, seed]

    @cached_property
    def elements(self) -> tuple[int, ...]:
        """Indexes of the sample."""
        n = 2**self.n_lines
        if n <= ELEMENTS:
            return tuple(range(n))
        chance = random.Random(_SEED + 2)
        return (0, 1, *sorted(chance.sample(range(2, n), ELEMENTS - 2)))

    def word(self, index: int, effect: Effect, turn: int = 0, bank: int = 0, *, in_part: bool = True) -> Word:
        """The word that a bank shows at an index.

        `turn` tells apart when an unsteady line is right and when wrong, `in_part` where a fault of one layer shows.
        """
        word = dict(self.healthy(index))
        if effect.memories:
            is_whole = effect.address is None or not effect.address.is_partial or in_part
            other = (
                self.healthy(self._moved(index, effect.address, turn) if is_whole else index)
                if not effect.scrambled or not is_whole
                else self._drawn(index, _SEED + 1)
            )
            for key, path in self.banks[bank].items():
                if path.legs[0].part in effect.memories:
                    word[key] = other[key]
        if effect.tied:
            # Two data lines shorted: a TTL low wins on both (common practice, no source).
            low = min(word[key] for key in effect.tied)
            word.update(dict.fromkeys(effect.tied, low))
        return word

    def _moved(self, index: int, address: AddressFault | None, turn: int) -> int:
        """The index that a memory sees."""
        if address is None:
            return index
        for line, level in address.held:
            index = index | 1 << line if level else index & ~(1 << line)
        if turn:
            for line in address.unsteady:
                index ^= 1 << line
        if address.joined is not None:
            both = 1 << address.joined[0] | 1 << address.joined[1]
            index = index if index & both == both else index & ~both
        return index & (1 << self.n_lines) - 1
