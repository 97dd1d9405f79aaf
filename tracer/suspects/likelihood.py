"""How likely each piece of evidence is under each fault."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Literal

from tracer.suspects.appearance import Appearance
from tracer.suspects.exchange import exchange_of
from tracer.suspects.fault import Fault, Place
from tracer.suspects.observation import ANSWERS, Observation, ObservationKind
from tracer.suspects.path_legs import LegKey, PathLegs
from tracer.suspects.picture import Picture
from tracer.suspects.priors import Priors, chance, chances
from tracer.suspects.readings import (
    beep_of,
    healthy_readings,
    ohms_of,
    press_of,
    readings_under,
    swap_of,
)
from tracer.suspects.words import NEIGHBOURS, WORDS, word_shares, words_of

__all__ = ["CARES", "Care", "Likelihood", "word_chances"]

#: From this chance on an answer fits a fault, and a colour that is said.
_FITS, _FITS_A_COLOUR = 0.5, 0.2

_UNSTEADY = frozenset({"comes and goes", "weak", "all weak", "unstable"})
Where = tuple[ObservationKind, tuple[str, ...]]

#: How far what is told can be trusted: by a person who errs now and then, or by one who errs often (or whose board is not
#: as drawn). Which it is shows in how well the evidence fits together.
Care = Literal["error", "careless"]
CARES: tuple[Care, ...] = ("error", "careless")


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
        For each fault, what the screen shows: colour -> its usual word; None where that is not computed.
    shares : list of dict of str to mapping of str to float, or None
        For each fault, likewise, colour -> word -> share of the persons who would say it.
    usual_words : dict of str to dict of str to float
        Colour -> word -> its chance under the fault that is not listed.
    readable : mapping of (str, str) to mapping of str to float
        Legs where a reading says something -> what they read on a good board.
    """

    def __init__(self, faults: Sequence[Fault], picture: Picture, legs: PathLegs, priors: Priors) -> None:
        self.faults, self.legs, self.priors = faults, legs, priors
        #: Legs side by side that a bridge may join.
        self.bridges = frozenset(f.place.ends for f in faults if f.manner == "joined")
        feeding = dict.fromkeys(key for f in faults for key, _ in f.effect.stands)
        self.readable = healthy_readings(legs, feeding, priors)
        self.picture, self.appearance = picture, Appearance(faults, picture, priors)
        shown = [picture.shown(f.effect) if _is_computed(f) else None for f in faults]
        self.words = [None if s is None else words_of(s, picture.healthy) for s in shown]
        near = chance(priors, "error", "near")
        self.shares = [None if s is None else word_shares(s, picture.healthy) for s in shown]
        self._words: dict[Care, list[Mapping[str, Mapping[str, float]] | None]] = {
            care: [
                None
                if shares is None
                else {c: word_chances(own, chance(priors, care, "word"), near) for c, own in shares.items()}
                for shares in self.shares
            ]
            for care in CARES
        }
        #: Leg -> faults under which it reads something else than on a good board.
        self._read: dict[LegKey, list[tuple[int, Mapping[str, float]]]] = {}
        for i, (fault, own) in enumerate(zip(faults, shown, strict=True)):
            for key, reads in readings_under(fault, legs, picture, own, priors).items():
                self._read.setdefault(key, []).append((i, reads))
        self._unlisted = [i for i, f in enumerate(faults) if f.what == "unlisted"]
        #: Part, leg or end of a place -> the faults that are about it.
        self._at: dict[str, list[int]] = {}
        for i, fault in enumerate(faults):
            legs_of = (f"{leg.part}.{leg.pin}" for leg in fault.legs)
            for name in dict.fromkeys((fault.part, *fault.place.ends, *legs_of)):
                self._at.setdefault(name, []).append(i)
        self.usual_words = self._usual_words()
        self._differing: dict[Where, tuple[Mapping[str, float], Mapping[int, Mapping[str, float]]]] = {}

    def _usual_words(self) -> dict[str, dict[str, float]]:
        """What faults of the path show on the whole, and as much of anything: for the fault that is not listed."""
        found: dict[str, dict[str, float]] = {}
        for fault, words in zip(self.faults, self._words["error"], strict=True):
            for colour, own in (words or {}).items():
                mean = found.setdefault(colour, dict.fromkeys(WORDS, 0.0))
                for word, p in own.items():
                    mean[word] += p * fault.prior
        for mean in found.values():
            total = sum(mean.values()) or 1.0
            for word in mean:
                mean[word] = mean[word] / total / 2 + 1 / len(WORDS) / 2
        return found

    def of(
        self, fault: int, observation: Observation, before: Sequence[Observation], care: Care = "error"
    ) -> float:
        """Chance of the observation, after those before, if this fault is the one and the person errs so often."""
        said = self._of_said(fault, observation, before, care)
        return 1 - said if observation.is_denied else said

    def _of_said(
        self, fault: int, observation: Observation, before: Sequence[Observation], care: Care = "error"
    ) -> float:
        kind = observation.kind
        if kind == "appears":
            return self.appearance.of(fault, observation.where[0], observation.word, care)
        if kind == "seen":
            return self._of_word(fault, observation.where[0], observation.word, before, care)
        if kind == "warmth":
            return self._of_warmth(self.faults[fault])
        if kind == "layer":
            # The path cannot do that to one layer alone.
            return chance(self.priors, "layer", "outside" if self.faults[fault].what == "outside" else "path")
        if kind == "shapes":
            whole = chance(
                self.priors, "shapes", "outside" if self.faults[fault].what == "outside" else "path"
            )
            return whole if observation.word == "right" else 1 - whole
        right = self.chances(fault, kind, observation.where).get(observation.word, 0.0)
        return self.with_errors(kind, right, care)

    def fits(self, fault: int, observation: Observation) -> bool:
        """Whether a fault explains what was seen or measured, errors left out."""
        kind, where, word = observation.kind, observation.where, observation.word
        if kind == "seen":
            words = self.words[fault]
            fits = words is not None and words.get(where[0]) == word
        elif kind in ANSWERS:
            fits = self.chances(fault, kind, where).get(word, 0.0) >= _FITS
        elif kind == "appears":
            # Of a dozen colours or more each would be said once in a dozen times.
            fits = self.appearance.of(fault, where[0], word) >= _FITS_A_COLOUR
        else:
            fits = self._of_said(fault, observation, ()) >= _FITS
        return fits != observation.is_denied

    def with_errors(self, kind: ObservationKind, right: float, care: Care = "error") -> float:
        """A chance of an answer, with that of a wrong one shared by all others."""
        error = chance(self.priors, care, "swap" if kind == "swapped" else "probe")
        return right * (1 - error) + (1 - right) * error / (len(ANSWERS[kind]) - 1)

    def chances(self, fault: int, kind: ObservationKind, where: tuple[str, ...]) -> Mapping[str, float]:
        """What a measurement would give, before errors."""
        usual, differing = self.differing(kind, where)
        return differing.get(fault, usual)

    def differing(
        self, kind: ObservationKind, where: tuple[str, ...]
    ) -> tuple[Mapping[str, float], Mapping[int, Mapping[str, float]]]:
        """What a measurement gives under most faults, and under which it gives what else."""
        if (kind, where) not in self._differing:
            self._differing[kind, where] = self._computed(kind, where)
        return self._differing[kind, where]

    def _computed(
        self, kind: ObservationKind, where: tuple[str, ...]
    ) -> tuple[Mapping[str, float], Mapping[int, Mapping[str, float]]]:
        unlisted = {i: own for i in self._unlisted if (own := self._if_unlisted(kind))}
        if kind == "read":
            key = (where[0], where[1])
            return self.readable.get(key, {"pulsing": 1.0}), {**dict(self._read.get(key, ())), **unlisted}
        usual = self._elsewhere(len(self.faults) - 1, kind, where)
        every = ((i, self._elsewhere(i, kind, where)) for i in self._concerned(kind, where))
        return usual, {**{i: own for i, own in every if own != usual}, **unlisted}

    def _concerned(self, kind: ObservationKind, where: tuple[str, ...]) -> Iterable[int]:
        """Faults under which a measurement can give something else than under most."""
        if kind == "exchanged":
            return range(len(self.faults))
        if kind in ("press", "swapped"):
            return self._at.get(where[0], ())
        return dict.fromkeys(i for name in where for i in self._at.get(name, ()))

    def _elsewhere(self, at: int, kind: ObservationKind, where: tuple[str, ...]) -> Mapping[str, float]:
        fault = self.faults[at]
        if kind == "exchanged":
            return exchange_of(fault, self.words[at], where, self.priors)
        if kind == "ohms":
            return ohms_of(fault, Place(where), self.priors)
        if kind == "beep":
            return beep_of(fault, Place(where), is_bridge=where in self.bridges)
        if kind == "press":
            return press_of(fault, where[0], self.priors)
        return swap_of(fault, where[0], self.priors)

    def _if_unlisted(self, kind: ObservationKind) -> Mapping[str, float] | None:
        """Of a fault that is not listed nothing is known but that it is rare anywhere."""
        return None if kind == "exchanged" else chances(self.priors, f"unlisted_{kind}")

    def _of_word(
        self, fault: int, colour: str, word: str, before: Sequence[Observation], care: Care
    ) -> float:
        predicted = self._words[care][fault]
        if predicted is None and self.faults[fault].what == "outside":
            return self._outside(word, before)
        return (predicted or self.usual_words).get(colour, {}).get(word, 1 / len(WORDS))

    def _outside(self, word: str, before: Sequence[Observation]) -> float:
        """What is outside the path meets all colours alike."""
        said = next((o.word for o in before if o.kind == "seen" and not o.is_denied), None)
        if said is None:
            first = self.priors.tables["outside_first"]
            rest = max(0.0, 1 - sum(first.values())) / (len(WORDS) - len(first))
            return min(first.get(word, rest), 1.0)
        same = chance(self.priors, "outside", "same")
        return same if word == said else (1 - same) / (len(WORDS) - 1)

    @staticmethod
    def is_unsteady(fault: Fault) -> bool:
        """Whether warmth and the finger change it."""
        return fault.manner in _UNSTEADY

    def _of_warmth(self, fault: Fault) -> float:
        if self.is_unsteady(fault):
            return chance(self.priors, "warmth", "unsteady")
        is_open = fault.what in ("outside", "unlisted")
        return chance(self.priors, "warmth", "outside" if is_open else "steady")


def _is_computed(fault: Fault) -> bool:
    return fault.what not in ("outside", "unlisted")


def word_chances(shares: Mapping[str, float], error: float, near: float) -> dict[str, float]:
    """Chance of each word where persons would say them with these shares, and some err.

    `near` of the wrong words are among those easily taken for the right one.
    """
    found = dict.fromkeys(WORDS, 0.0)
    for predicted, share in shares.items():
        neighbours = NEIGHBOURS[predicted]
        for word in WORDS:
            if word == predicted:
                p = 1 - error
            elif word in neighbours:
                p = error * near / len(neighbours)
            else:
                p = error * (1 - near) / (len(WORDS) - 1 - len(neighbours))
            found[word] += share * p
    return found
