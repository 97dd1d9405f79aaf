"""Random cases of a faulty board: what a person who errs now and then would say and read, by the program's own numbers."""

from __future__ import annotations

import random
from collections.abc import Sequence

from tracer.suspects.appearance import SAID
from tracer.suspects.observation import ANSWERS, Observation
from tracer.suspects.reasoning import Reasoning
from tracer.suspects.tables import WANTED
from tracer.suspects.words import WORDS

__all__ = ["random_case"]


def random_case(reasoning: Reasoning, chance: random.Random) -> list[Observation]:
    """Evidence of one case, which the reasoning has then taken in: words of the screen, then measurements.

    Most are the best ones, some any; answers follow a fault that is drawn by its prior, but for slips and denials.
    """
    reasoning.begin_anew()
    fault = chance.choices(range(len(reasoning.faults)), [f.prior for f in reasoning.faults])[0]
    found: list[Observation] = []

    def say(observation: Observation) -> None:
        found.append(observation)
        reasoning.observe(observation)

    for observation in _screen(reasoning, fault, chance):
        say(observation)
    for _ in range(chance.randrange(8)):
        best = reasoning.best_next(1)
        if not best:
            break
        candidate = best[0] if chance.random() < 0.7 else chance.choice(reasoning.all_candidates())
        words = reasoning.likely.chances(fault, candidate.kind, candidate.where)
        right = chance.choices(list(words), list(words.values()))[0]
        word = right if chance.random() < 0.9 else chance.choice(ANSWERS[candidate.kind])
        say(Observation(candidate.kind, candidate.where, word, chance.random() < 0.03))
    return found


def _screen(reasoning: Reasoning, fault: int, chance: random.Random) -> Sequence[Observation]:
    found = []
    words = reasoning.likely.words[fault] or {}
    for colour in (c.name for c in reasoning.traced.bit_map.colours):
        if chance.random() < 0.9:
            word = words.get(colour) if chance.random() < 0.7 else None
            found.append(Observation("seen", (colour,), word or chance.choice(WORDS), chance.random() < 0.1))
    if chance.random() < 0.3:
        found.append(
            Observation("appears", (chance.choice(WANTED),), chance.choice(SAID), chance.random() < 0.1)
        )
    if chance.random() < 0.2:
        found.append(Observation("warmth", (), "changes", chance.random() < 0.5))
    if chance.random() < 0.2:
        found.append(Observation("shapes", (), chance.choice(("right", "broken"))))
    if chance.random() < 0.1:
        found.append(Observation("layer", (), "one", chance.random() < 0.5))
    return found
