"""From evidence to suspects: Bayes' rule over all faults of the path, and the next measurement.

The posterior of a fault is its prior times the likelihood of every piece of
evidence, independent given the fault (plain enumeration; the theorem of Bayes).
A measurement is worth what it takes from the entropy of the suspects (Shannon,
"A Mathematical Theory of Communication", 1948) for each minute that it costs.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from tracer.levels.leg_paths import LegPath
from tracer.parts.library import Library, load_library
from tracer.suspects.fault import PathFault
from tracer.suspects.listing import list_faults
from tracer.suspects.picture import Picture
from tracer.suspects.priors import Priors
from tracer.suspects.readings import (
    BEEPS,
    OHMS,
    PRESSES,
    READINGS,
    SWAPS,
    beep_of,
    ohms_of,
    press_of,
    reading_of,
    swap_of,
)
from tracer.suspects.words import WORDS, words_of
from tracer.tracing.pipeline import Traced

__all__ = ["ANSWERS", "Candidate", "Group", "Observation", "Reasoning"]

#: Words that are easily taken for one another: most wrong words are among these. Guess.
_NEIGHBOURS: dict[str, tuple[str, ...]] = {
    "fine": ("coarse", "weak"),
    "missing": ("weak",),
    "always on": ("too strong", "wrong"),
    "weak": ("missing", "coarse"),
    "too strong": ("always on", "coarse"),
    "coarse": ("weak", "wrong", "fine"),
    "mixed": ("wrong", "too strong"),
    "flickers": ("wrong", "coarse"),
    "wrong": ("mixed", "coarse", "flickers"),
}
_TO_NEIGHBOURS = 0.5
#: What is said of warmth and of layers, by what the fault is. Guess, but that all layers go through the palette.
_WARMTH_UNSTEADY, _WARMTH_OUTSIDE, _WARMTH_STEADY = 0.7, 0.2, 0.05
_LAYER_OUTSIDE, _LAYER_PATH = 0.5, 0.02
#: From here on the next measurement is the proof.
SURE = 0.9
#: A doubtful reading may be taken once more.
MOST_TIMES = 2
#: Faults less likely than this are not weighed any more.
_NEGLIGIBLE = 1e-9
#: Kind of measurement -> its answers.
ANSWERS: dict[str, tuple[str, ...]] = {
    "read": READINGS,
    "ohms": OHMS,
    "beep": BEEPS,
    "press": PRESSES,
    "swapped": SWAPS,
}
#: What is outside the path meets all colours alike: the word of the first one, and that the next has it too. Guess.
_OUTSIDE_FIRST = {"wrong": 0.4, "fine": 0.2, "flickers": 0.15}
_OUTSIDE_SAME = 0.85

Group = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Observation:
    """One piece of evidence.

    Attributes
    ----------
    kind : {'seen', 'read', 'ohms', 'beep', 'press', 'swapped', 'warmth', 'layer'}
    where : tuple of str
        A colour; a part and a leg; a connection or a resistor; a connection; a part; a part; nothing.
    word : str
        One of the words of that kind.
    """

    kind: str
    where: tuple[str, ...]
    word: str


@dataclass(frozen=True, slots=True)
class Candidate:
    """A measurement that could be made: its kind, where, and minutes."""

    kind: str
    where: tuple[str, ...]
    minutes: float


class Reasoning:
    """All faults of a board and how likely each is.

    Parameters
    ----------
    traced : Traced
    priors : Priors
    load_ohm : float or None
    library : Library, optional
        Where to look for what fits in a chip's place.
    """

    def __init__(
        self,
        traced: Traced,
        priors: Priors,
        load_ohm: float | None = 75.0,
        library: Library | None = None,
    ) -> None:
        self.traced, self.priors = traced, priors
        self.library = library or load_library()
        self.picture = Picture(traced, load_ohm)
        self.faults: tuple[PathFault, ...] = list_faults(traced, priors)
        self.uses: dict[tuple[str, str], list[tuple[LegPath, int]]] = {}
        for way in self.picture.ways.values():
            for at, leg in enumerate(way.legs):
                self.uses.setdefault((leg.part, leg.pin), []).append((way, at))
        #: Legs of the clocks and clears that several chips hang on.
        self.controls = {leg for f in self.faults for leg in f.control}
        self.words = [
            None if f.what == "outside" else words_of(self.picture.shown(f), self.picture.healthy)
            for f in self.faults
        ]
        self.groups: list[Group] = [f.group for f in self.faults]
        self._same: dict[tuple[str, tuple[str, ...]], list[tuple[Mapping[str, float], list[int]]]] = {}
        self.posterior: list[float] = [f.prior for f in self.faults]
        self.seen: list[Observation] = []

    # -- evidence -----------------------------------------------------------------------------------

    def observe(self, observation: Observation) -> None:
        """Take in one piece of evidence."""
        weighed = [p * self.likelihood(i, observation) for i, p in enumerate(self.posterior)]
        self.seen.append(observation)
        total = sum(weighed)
        if total > 0:
            self.posterior = [w / total for w in weighed]

    def likelihood(self, fault: int, observation: Observation) -> float:
        """Chance of the observation if this fault is the one."""
        if observation.kind == "seen":
            return self._word_chance(fault, observation.where[0], observation.word)
        if observation.kind in ("warmth", "layer"):
            return self._manner_chance(fault, observation.kind)
        right = self.chances(fault, observation.kind, observation.where).get(observation.word, 0.0)
        return self._with_slips(observation.kind, right)

    def _with_slips(self, kind: str, right: float) -> float:
        """A chance of a word, with that of a wrong one shared by all others."""
        error = self.priors("error", "swap" if kind == "swapped" else "probe")
        return right * (1 - error) + (1 - right) * error / (len(ANSWERS[kind]) - 1)

    def _word_chance(self, fault: int, colour: str, word: str) -> float:
        predicted = self.words[fault]
        if predicted is None:
            return self._outside_chance(word)
        if colour not in predicted:
            return 1 / len(WORDS)
        return word_chance(predicted[colour], word, self.priors("error", "word"))

    def _manner_chance(self, fault: int, kind: str) -> float:
        """That it changes with warmth; that only one layer of the picture has it, which the path cannot do."""
        known = self.faults[fault]
        if kind == "layer":
            return _LAYER_OUTSIDE if known.what == "outside" else _LAYER_PATH
        if known.comes_and_goes or known.text.endswith("weak"):
            return _WARMTH_UNSTEADY
        return _WARMTH_OUTSIDE if known.what == "outside" else _WARMTH_STEADY

    def _outside_chance(self, word: str) -> float:
        before = next((o.word for o in self.seen if o.kind == "seen"), None)
        if before is None:
            rest = (1 - sum(_OUTSIDE_FIRST.values())) / (len(WORDS) - len(_OUTSIDE_FIRST))
            return _OUTSIDE_FIRST.get(word, rest)
        return _OUTSIDE_SAME if word == before else (1 - _OUTSIDE_SAME) / (len(WORDS) - 1)

    def chances(self, fault: int, kind: str, where: tuple[str, ...]) -> Mapping[str, float]:
        """What a measurement would give, before errors."""
        known = self.faults[fault]
        if kind == "read" and (where[0], where[1]) in self.controls:
            still = (where[0], where[1]) in known.control
            return (
                ({known.stands: 1.0} if known.stands else {"low": 0.5, "high": 0.5})
                if still
                else {"pulsing": 1.0}
            )
        if kind == "read":
            uses = self.uses.get((where[0], where[1]))
            return reading_of(known, uses) if uses else {"pulsing": 1.0}
        return {"ohms": ohms_of, "beep": beep_of, "press": press_of, "swapped": swap_of}[kind](
            known, where[0]
        )

    # -- answers ------------------------------------------------------------------------------------

    def by_group(self) -> dict[Group, float]:
        """Probability of each suspect, likeliest first."""
        found: dict[Group, float] = {}
        for group, p in zip(self.groups, self.posterior, strict=True):
            found[group] = found.get(group, 0.0) + p
        return dict(sorted(found.items(), key=lambda item: (-item[1], item[0])))

    def candidates(self) -> list[Candidate]:
        """Measurements that have not been made."""
        made = [(o.kind, o.where) for o in self.seen]
        last = next((o.where[0] for o in reversed(self.seen) if o.kind == "read"), None)
        found = []
        for part, pin in (*self.uses, *sorted(self.controls)):
            minutes = self.priors("minutes", "next_read" if part == last else "read")
            found.append(Candidate("read", (part, pin), minutes))
        for what, place in dict.fromkeys(self.groups):
            kinds = {"joint": "beep", "track": "ohms", "resistor": "ohms"}
            if (what in kinds and " to " in place) or what == "resistor":
                found.append(Candidate(kinds[what], (place,), self.priors("minutes", kinds[what])))
        for part in sorted({part for part, _ in (*self.uses, *self.controls)}):
            found.append(Candidate("press", (part,), self.priors("minutes", "press")))
            found.append(Candidate("swapped", (part,), self.priors("minutes", "swap")))
        return [c for c in found if made.count((c.kind, c.where)) < MOST_TIMES]

    def _classes(self, candidate: Candidate) -> list[tuple[Mapping[str, float], list[int]]]:
        """Faults that a measurement gives the same chances, together."""
        key = (candidate.kind, candidate.where)
        if key not in self._same:
            found: dict[tuple[tuple[str, float], ...], list[int]] = {}
            for i in range(len(self.faults)):
                chances = self.chances(i, *key)
                found.setdefault(tuple(sorted(chances.items())), []).append(i)
            self._same[key] = [(dict(chances), members) for chances, members in found.items()]
        return self._same[key]

    def outcomes(self, candidate: Candidate) -> dict[str, tuple[float, dict[Group, float]]]:
        """Word -> its probability, and the suspects after it."""
        masses: list[tuple[Mapping[str, float], dict[Group, float]]] = []
        for chances, members in self._classes(candidate):
            mass: dict[Group, float] = {}
            for i in members:
                if self.posterior[i] > _NEGLIGIBLE:
                    mass[self.groups[i]] = mass.get(self.groups[i], 0.0) + self.posterior[i]
            masses.append((chances, mass))
        found = {}
        for word in ANSWERS[candidate.kind]:
            after: dict[Group, float] = {}
            for chances, mass in masses:
                likely = self._with_slips(candidate.kind, chances.get(word, 0.0))
                for group, p in mass.items():
                    after[group] = after.get(group, 0.0) + p * likely
            total = sum(after.values())
            if total > _NEGLIGIBLE:
                found[word] = (total, {g: p / total for g, p in after.items()})
        return found

    def worth(self, candidate: Candidate) -> float:
        """Bits of the suspects' entropy that a measurement is expected to take away, for each minute."""
        before = entropy(self.by_group().values())
        after = sum(p * entropy(groups.values()) for p, groups in self.outcomes(candidate).values())
        again = any((o.kind, o.where) == (candidate.kind, candidate.where) for o in self.seen)
        return (before - after) / candidate.minutes * (self.priors("error", "again") if again else 1.0)

    def best_next(self, how_many: int = 3) -> list[Candidate]:
        """The measurements that are worth most, best first."""
        sure, proof = self._proof()
        ranked = sorted(self.candidates(), key=lambda c: (-round(self.worth(c), 9), c.kind, c.where))
        if sure and proof is not None:
            ranked = [proof, *(c for c in ranked if c != proof)]
        return ranked[:how_many]

    def _proof(self) -> tuple[bool, Candidate | None]:
        """Whether one suspect is all but certain, and the measurement that would prove it."""
        (what, place), p = next(iter(self.by_group().items()))
        kinds = {"chip": "swapped", "joint": "beep", "track": "ohms", "resistor": "ohms"}
        if p < SURE or what not in kinds:
            return False, None
        wanted = (kinds[what] if " to " in place or what != "joint" else "press", (place,))
        if any((o.kind, o.where) == wanted for o in self.seen):
            return False, None
        return True, next((c for c in self.candidates() if (c.kind, c.where) == wanted), None)


def entropy(probabilities: Iterable[float]) -> float:
    """Shannon's, in bits."""
    return -sum(p * math.log2(p) for p in probabilities if p > 0)


def word_chance(predicted: str, word: str, error: float) -> float:
    """Chance that a person says `word` of what is computed as `predicted`."""
    if word == predicted:
        return 1 - error
    near = _NEIGHBOURS[predicted]
    if word in near:
        return error * _TO_NEIGHBOURS / len(near)
    return error * (1 - _TO_NEIGHBOURS) / (len(WORDS) - 1 - len(near))
