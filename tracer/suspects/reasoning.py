"""From evidence to suspects: Bayes' rule over all faults of the path, and the next measurement.

The posterior of a fault is its prior times the likelihood of every piece of
evidence, independent given the fault (plain enumeration; the theorem of Bayes).
A measurement is worth what it takes from the entropy of the suspects (Shannon,
"A Mathematical Theory of Communication", 1948) for each minute that it costs.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from tracer.parts.library import Library, load_library
from tracer.suspects.fault import Group, What
from tracer.suspects.likelihood import Likelihood
from tracer.suspects.listing import list_faults
from tracer.suspects.observation import ANSWERS, Candidate, Observation, ObservationKind
from tracer.suspects.path_legs import path_legs
from tracer.suspects.picture import picture_of
from tracer.suspects.priors import Priors
from tracer.tracing.pipeline import Traced

__all__ = ["Reasoning", "entropy"]

#: From here on the next measurement is the proof.
SURE = 0.9
#: A doubtful reading may be taken once more.
MOST_TIMES = 2
#: The least that a measurement costs, in minutes: a second.
_A_MOMENT = 1 / 60
#: Faults less likely than this are not weighed any more.
_NEGLIGIBLE = 1e-9
#: What is measured at a suspect: at the two ends of a connection, or at a part.
_AT_CONNECTION: Mapping[What, ObservationKind] = {"joint": "beep", "track": "ohms"}
_AT_PART: Mapping[What, ObservationKind] = {"resistor": "ohms"}
#: What proves a suspect that is all but certain.
_PROOF_AT_PART: Mapping[What, ObservationKind] = {
    **_AT_PART,
    "chip": "swapped",
    "joint": "press",
    "track": "ohms",
}


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
        self.legs = path_legs(traced)
        self.faults = list_faults(traced, priors)
        self.likely = Likelihood(self.faults, picture_of(traced, load_ohm), self.legs, priors)
        self.groups: list[Group] = [f.group for f in self.faults]
        self.posterior: list[float] = [f.prior for f in self.faults]
        self.seen: list[Observation] = []
        self._by_group: dict[Group, float] | None = None

    # -- evidence -----------------------------------------------------------------------------------

    def observe(self, observation: Observation) -> None:
        """Take in one piece of evidence."""
        weighed = [p * self.likelihood(i, observation) for i, p in enumerate(self.posterior)]
        self.seen.append(observation)
        self._by_group = None
        total = sum(weighed)
        if total > 0:
            self.posterior = [w / total for w in weighed]

    def likelihood(self, fault: int, observation: Observation) -> float:
        """Chance of the observation if this fault is the one."""
        return self.likely.of(fault, observation, self.seen)

    # -- answers ------------------------------------------------------------------------------------

    def by_group(self) -> dict[Group, float]:
        """Probability of each suspect, likeliest first."""
        if self._by_group is None:
            found: dict[Group, float] = {}
            for group, p in zip(self.groups, self.posterior, strict=True):
                found[group] = found.get(group, 0.0) + p
            self._by_group = dict(sorted(found.items(), key=lambda item: (-item[1], item[0])))
        return self._by_group

    @property
    def parts(self) -> tuple[str, ...]:
        """The chips that can be pressed and swapped: those of the path, and what drives its clocks and address lines."""
        return tuple(sorted({f.part for f in self.faults if f.part and f.what in ("chip", "joint")}))

    def candidates(self) -> list[Candidate]:
        """Measurements that have not been made."""
        made = [(o.kind, o.where) for o in self.seen]
        last = next((o.where[0] for o in reversed(self.seen) if o.kind == "read"), None)
        found = []
        for part, pin in self.likely.readable:
            minutes = self.priors("minutes", "next_read" if part == last else "read")
            found.append(Candidate("read", (part, pin), minutes))
        for what, place in dict.fromkeys(self.groups):
            kind = (_AT_CONNECTION if place.is_connection else _AT_PART).get(what)
            if kind is not None:
                found.append(Candidate(kind, place.ends, self.priors("minutes", kind)))
        for part in self.parts:
            found.append(Candidate("press", (part,), self.priors("minutes", "press")))
            found.append(Candidate("swapped", (part,), self.priors("minutes", "swap")))
        return [c for c in found if made.count((c.kind, c.where)) < MOST_TIMES]

    def outcomes(self, candidate: Candidate) -> dict[str, tuple[float, dict[Group, float]]]:
        """Word -> its probability, and the suspects after it."""
        usual, differing = self.likely.differing(candidate.kind, candidate.where)
        before = self.by_group()
        found = {}
        for word in ANSWERS[candidate.kind]:
            plain = self.likely.with_errors(candidate.kind, usual.get(word, 0.0))
            after = {group: p * plain for group, p in before.items()}
            for i, chances in differing.items():
                if self.posterior[i] > _NEGLIGIBLE:
                    own = self.likely.with_errors(candidate.kind, chances.get(word, 0.0))
                    after[self.groups[i]] += self.posterior[i] * (own - plain)
            total = sum(after.values())
            if total > _NEGLIGIBLE:
                found[word] = (total, {g: max(p, 0.0) / total for g, p in after.items()})
        return found

    def worth(self, candidate: Candidate) -> float:
        """Bits of the suspects' entropy that a measurement is expected to take away, for each minute."""
        before = entropy(self.by_group().values())
        after = sum(p * entropy(groups.values()) for p, groups in self.outcomes(candidate).values())
        again = any((o.kind, o.where) == (candidate.kind, candidate.where) for o in self.seen)
        return (
            (before - after)
            / max(candidate.minutes, _A_MOMENT)
            * (self.priors("error", "again") if again else 1.0)
        )

    def best_next(self, how_many: int = 3) -> list[Candidate]:
        """The measurements that are worth most, best first."""
        proof = self._proof()
        ranked = sorted(self.candidates(), key=lambda c: (-round(self.worth(c), 9), c.kind, c.where))
        if proof is not None:
            ranked = [proof, *(c for c in ranked if c != proof)]
        return ranked[:how_many]

    def _proof(self) -> Candidate | None:
        """Where one suspect is all but certain, the measurement that would prove it."""
        (what, place), p = next(iter(self.by_group().items()))
        kind = _AT_CONNECTION.get(what) if place.is_connection else _PROOF_AT_PART.get(what)
        if p < SURE or kind is None:
            return None
        wanted = (kind, place.ends)
        if any((o.kind, o.where) == wanted for o in self.seen):
            return None
        return next((c for c in self.candidates() if (c.kind, c.where) == wanted), None)


def entropy(probabilities: Iterable[float]) -> float:
    """Shannon's, in bits."""
    return -sum(p * math.log2(p) for p in probabilities if p > 0)
