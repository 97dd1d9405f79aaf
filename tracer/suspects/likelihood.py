"""How likely each piece of evidence is under each fault."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from tracer.suspects.fault import Fault, Place
from tracer.suspects.observation import ANSWERS, Observation, ObservationKind
from tracer.suspects.path_legs import LegKey, PathLegs
from tracer.suspects.picture import Picture
from tracer.suspects.priors import Priors, chance
from tracer.suspects.readings import beep_of, control_of, ohms_of, press_of, reading_of, swap_of
from tracer.suspects.words import NEIGHBOURS, WORDS, words_of

__all__ = ["Likelihood", "word_chance"]


class Likelihood:
    """Chances of words and readings under the faults of a board.

    Parameters
    ----------
    faults : sequence of Fault
    picture : Picture
    legs : PathLegs
    priors : Priors

    Attributes
    ----------
    words : list of dict of str to str, or None
        For each fault, what the screen shows: colour -> word; None for what is outside.
    controls : set of (str, str)
        Legs of the clocks, clears and enables that several chips hang on.
    """

    def __init__(self, faults: Sequence[Fault], picture: Picture, legs: PathLegs, priors: Priors) -> None:
        self.faults, self.legs, self.priors = faults, legs, priors
        self.controls: set[LegKey] = {leg for f in faults if f.control for leg in f.control.legs}
        self.words = [
            None if f.what == "outside" else words_of(picture.shown(f.effect), picture.healthy)
            for f in faults
        ]

    def of(self, fault: int, observation: Observation, before: Sequence[Observation]) -> float:
        """Chance of the observation, after those before, if this fault is the one."""
        kind = observation.kind
        if kind == "seen":
            return self._of_word(fault, observation.where[0], observation.word, before)
        if kind == "warmth":
            return self._of_warmth(self.faults[fault])
        if kind == "layer":
            # The path cannot do that to one layer alone.
            return chance(self.priors, "layer", "outside" if self.faults[fault].what == "outside" else "path")
        right = self.chances(fault, kind, observation.where).get(observation.word, 0.0)
        return self.with_errors(kind, right)

    def with_errors(self, kind: ObservationKind, right: float) -> float:
        """A chance of an answer, with that of a wrong one shared by all others."""
        error = chance(self.priors, "error", "swap" if kind == "swapped" else "probe")
        return right * (1 - error) + (1 - right) * error / (len(ANSWERS[kind]) - 1)

    def chances(self, fault: int, kind: ObservationKind, where: tuple[str, ...]) -> Mapping[str, float]:
        """What a measurement would give, before errors."""
        known = self.faults[fault]
        if kind == "read":
            part, pin = where
            if (part, pin) in self.controls:
                return control_of(known, part, pin, self.priors)
            uses = self.legs.uses.get((part, pin))
            return reading_of(known, uses, self.priors) if uses else {"pulsing": 1.0}
        if kind == "ohms":
            return ohms_of(known, Place(where))
        if kind == "beep":
            return beep_of(known, Place(where))
        return press_of(known, where[0], self.priors) if kind == "press" else swap_of(known, where[0])

    def _of_word(self, fault: int, colour: str, word: str, before: Sequence[Observation]) -> float:
        predicted = self.words[fault]
        if predicted is None:
            return self._outside(word, before)
        if colour not in predicted:
            return 1 / len(WORDS)
        return word_chance(
            predicted[colour],
            word,
            chance(self.priors, "error", "word"),
            chance(self.priors, "error", "near"),
        )

    def _outside(self, word: str, before: Sequence[Observation]) -> float:
        """What is outside the path meets all colours alike."""
        said = next((o.word for o in before if o.kind == "seen"), None)
        if said is None:
            first = self.priors.tables["outside_first"]
            rest = max(0.0, 1 - sum(first.values())) / (len(WORDS) - len(first))
            return min(first.get(word, rest), 1.0)
        same = chance(self.priors, "outside", "same")
        return same if word == said else (1 - same) / (len(WORDS) - 1)

    def _of_warmth(self, fault: Fault) -> float:
        if fault.manner in ("comes and goes", "weak"):
            return chance(self.priors, "warmth", "unsteady")
        return chance(self.priors, "warmth", "outside" if fault.what == "outside" else "steady")


def word_chance(predicted: str, word: str, error: float, near: float) -> float:
    """Chance that a person says `word` of what is computed as `predicted`.

    `near` of the wrong words are among those easily taken for it.
    """
    if word == predicted:
        return 1 - error
    neighbours = NEIGHBOURS[predicted]
    if word in neighbours:
        return error * near / len(neighbours)
    return error * (1 - near) / (len(WORDS) - 1 - len(neighbours))
