"""What differs between two sets of dumps of one board's memories: entries, and the data legs behind them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from tracer.palette.dumps import Dump
from tracer.palette.make import PaletteMaker
from tracer.palette.values import Difference, Entry, LegDifference

__all__ = ["compare_contents"]


def compare_contents(maker: PaletteMaker, entries: Sequence[Entry], other: Mapping[str, Dump]) -> Difference:
    """Compare the contents of a palette with others of the same memories.

    Parameters
    ----------
    maker : PaletteMaker
    entries : sequence of Entry
        Of the maker's own contents.
    other : mapping of str to Dump
        Memory -> its other contents; a memory that is left out keeps its own.
    """
    ours = {s.part: maker.contents[s.part].words for s in maker.shapes}
    theirs = {part: other[part].words if part in other else words for part, words in ours.items()}
    changed = maker.entries(theirs)
    pairs = tuple((a, b) for a, b in zip(entries, changed, strict=True) if a.codes != b.codes)
    return Difference(
        tuple((part, other[part].file) for part in ours if part in other),
        pairs,
        _legs(maker, ours, theirs),
        _n_unseen(maker, ours, theirs),
    )


def _legs(
    maker: PaletteMaker, ours: Mapping[str, Sequence[int]], theirs: Mapping[str, Sequence[int]]
) -> tuple[LegDifference, ...]:
    found = []
    for shape in maker.shapes:
        words = [maker.index.address(shape.part, entry) for entry in range(1 << len(maker.index.bits))]
        for at in reversed(range(shape.width)):
            feeds = tuple((b.colour, b.bit) for b in maker.bits if (b.part, b.at) == (shape.part, at))
            mine = [ours[shape.part][w] >> at & 1 for w in words]
            its = [theirs[shape.part][w] >> at & 1 for w in words]
            n = sum(a != b for a, b in zip(mine, its, strict=True))
            if n and feeds:
                level = its[0] if len(set(its)) == 1 else None
                found.append(LegDifference(shape.part, shape.data[at], shape.names[at], feeds, n, level))
    return tuple(found)


def _n_unseen(
    maker: PaletteMaker, ours: Mapping[str, Sequence[int]], theirs: Mapping[str, Sequence[int]]
) -> int:
    """Words with a difference that no entry shows: where no entry reads, or in bits that feed no colour."""
    n = 0
    for shape in maker.shapes:
        read = {maker.index.address(shape.part, entry) for entry in range(1 << len(maker.index.bits))}
        seen = sum(1 << at for at in {b.at for b in maker.bits if b.part == shape.part})
        for word, (a, b) in enumerate(zip(ours[shape.part], theirs[shape.part], strict=True)):
            n += a != b and not ((a ^ b) & seen and word in read)
    return n
