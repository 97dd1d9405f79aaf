"""Evidence that cannot all be right, and evidence that does not fit the rest.

A piece of evidence is odd where all the others together had made it unlikely.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from tracer.suspects.observation import Observation
from tracer.suspects.reasoning import Reasoning

__all__ = ["LEAST_PIECES", "ODD", "Odd", "contradictions", "odd_evidence"]

#: Below this chance, given all else, a piece of evidence is worth another look; a person errs about so often.
ODD = 0.06
#: Fewer pieces make no rest that one could not fit.
LEAST_PIECES = 3
#: What is said once of the whole picture has no like to fit; of a colour's many names each is unlikely.
_ASIDE = frozenset({"warmth", "layer", "shapes", "appears"})


@dataclass(frozen=True, slots=True)
class Odd:
    """A piece of evidence, and its chance by all that was told beside it."""

    observation: Observation
    chance: float


def contradictions(seen: Sequence[Observation]) -> tuple[tuple[Observation, Observation], ...]:
    """Pairs that say different things of one colour, leg, part or connection, the earlier first."""
    last: dict[tuple[str, tuple[str, ...]], list[Observation]] = {}
    for observation in seen:
        known = last.setdefault((observation.kind, observation.where), [])
        if observation not in known:
            known.append(observation)
    return tuple(pair for known in last.values() for pair in combinations(known, 2) if _clash(*pair))


def _clash(a: Observation, b: Observation) -> bool:
    """Whether two observations at one place cannot both be right: to deny another word leaves one free."""
    return a.is_denied != b.is_denied if a.word == b.word else not (a.is_denied or b.is_denied)


def odd_evidence(reasoning: Reasoning) -> tuple[Odd, ...]:
    """What does not fit the rest, the oddest first."""
    pieces = list(dict.fromkeys(reasoning.seen))
    if len(pieces) < LEAST_PIECES:
        return ()
    found = []
    for observation in pieces:
        if observation.kind in _ASIDE:
            continue
        chance = reasoning.chance_of(observation)
        if chance < ODD:
            found.append(Odd(observation, chance))
    return tuple(sorted(found, key=lambda odd: odd.chance))
