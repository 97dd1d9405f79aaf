"""The repair record of a card: what the notes say was seen, read, swapped and cured."""

from __future__ import annotations

from collections.abc import Mapping

from tracer.base.errors import UsageError
from tracer.base.text import clean
from tracer.card.values import BoardCard
from tracer.netlist.board import Evidence
from tracer.suspects.evidence import parse_swapped

__all__ = ["RecordRow", "cure_of", "record_rows"]

#: What was done, where, what came of it.
RecordRow = tuple[str, str, str]


def record_rows(card: BoardCard) -> list[RecordRow]:
    """What the notes hold, oldest first."""
    named = _named(card)
    return [(each.kind, clean(_where(each, named)), clean(each.words.strip())) for each in card.evidence]


def cure_of(card: BoardCard) -> RecordRow:
    """The last row: the part whose swap cured the board, else blanks."""
    swapped = [each for each in card.evidence if each.kind == "swapped"]
    if swapped and is_cured(swapped[-1]):
        return ("cured by", clean(_where(swapped[-1], _named(card))), "another in its place")
    return ("cured by", "", "")


def is_cured(swap: Evidence) -> bool:
    """Whether the words of a swap say that it was the cure."""
    try:
        said = parse_swapped(swap.where[0], swap.words)
    except UsageError:
        return False
    return said.word == "cured" and not said.is_denied


def _named(card: BoardCard) -> Mapping[str, str]:
    """Parts of the path with their markings and places."""
    chips = {c.part: (c.marking, c.place or "") for c in card.chips}
    others = {d.part: (d.what, d.place) for d in card.donors}
    return {
        part: f"{part} {what}{f' at {place}' if place else ''}"
        for part, (what, place) in (others | chips).items()
    }


def _where(evidence: Evidence, named: Mapping[str, str]) -> str:
    between = " and " if evidence.kind == "exchanged" else " to "
    return between.join(named.get(name, name) for name in evidence.where)
