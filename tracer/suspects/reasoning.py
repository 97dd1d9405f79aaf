"""From evidence to suspects: Bayes' rule over all faults of the path, and the next measurement.

The posterior of a fault is its prior times the likelihood of every piece of
evidence, independent given the fault and how often the person errs (plain
enumeration over both; the theorem of Bayes). So nothing becomes surer than the
errors allow: where the evidence does not fit together, it is trusted less.
A measurement is worth what it takes from the entropy of the suspects (Shannon,
"A Mathematical Theory of Communication", 1948) for each minute that it costs.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from tracer.base.names import natural_key
from tracer.parts.library import Library, load_library
from tracer.suspects.exchange import exchangeable
from tracer.suspects.fault import Group, Place, What
from tracer.suspects.likelihood import Care, Likelihood
from tracer.suspects.listing import list_faults
from tracer.suspects.observation import ANSWERS, Candidate, Observation, ObservationKind
from tracer.suspects.path_legs import path_legs
from tracer.suspects.picture import picture_of
from tracer.suspects.priors import Priors, chance
from tracer.suspects.sockets import swap_minutes
from tracer.tracing.pipeline import Traced

__all__ = ["Reasoning", "entropy", "limits_of_reasoning"]

#: From here on the next measurement is the proof.
SURE = 0.9
#: What was done in doubt may be done once more: the probe may have slipped, the finger pressed too lightly.
MOST_TIMES = 2
_AGAIN = frozenset({"read", "beep"})
#: What is done once more where it found something that most faults do not give.
_ONCE_MORE = frozenset({"ohms", "press"})
_ODD = 0.5
#: A measurement is weighed where it tells at least this share of the suspects from the rest.
_TELLING = 0.002
#: What is measured side by side in one go, up to so many, and what each further one costs.
SWEPT: Mapping[ObservationKind, str] = {
    "read": "swept",
    "beep": "swept_beep",
    "ohms": "swept_ohms",
    "press": "swept_press",
}
MOST_SWEPT = 8
#: The least that a measurement costs, in minutes: a second.
_A_MOMENT = 1 / 60
#: Faults less likely than this are not weighed any more.
_NEGLIGIBLE = 1e-9
#: What differs by less is the same, and the order of names decides: sums of floats depend on their order.
_DECIMALS = 9
#: What is measured at a suspect: at the two ends of a connection, or at a part.
_AT_CONNECTION: Mapping[What, ObservationKind] = {"joint": "beep", "track": "ohms"}
_AT_PART: Mapping[What, ObservationKind] = {"resistor": "ohms", "transistor": "ohms", "diode": "ohms"}
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
    sockets : mapping of str to bool, optional
        Part -> whether it sits in a socket; it goes before what the notes say.
    """

    def __init__(
        self,
        traced: Traced,
        priors: Priors,
        load_ohm: float | None = 75.0,
        library: Library | None = None,
        sockets: Mapping[str, bool] | None = None,
    ) -> None:
        self.traced, self.priors = traced, priors
        self.sockets = dict(sockets or {})
        self.library = library or load_library()
        self.legs = path_legs(traced)
        self.faults = list_faults(traced, priors)
        self.likely = Likelihood(self.faults, picture_of(traced, load_ohm), self.legs, priors)
        self.groups: list[Group] = [f.group for f in self.faults]
        self._colour_of = {f.place.ends: f.colours[0] for f in self.faults if f.colours}
        self.posterior: list[float] = [f.prior for f in self.faults]
        self.seen: list[Observation] = []
        self._forget()

    # -- evidence -----------------------------------------------------------------------------------

    def _forget(self) -> None:
        careless = chance(self.priors, "careless", "person")
        self._joint: dict[Care, list[float]] = {
            "error": [f.prior * (1.0 - careless) for f in self.faults],
            "careless": [f.prior * careless for f in self.faults],
        }
        self._grouped: dict[Care, dict[Group, float]] | None = None
        #: Of measurements, as long as no further evidence comes.
        self._gains: dict[tuple[ObservationKind, tuple[str, ...]], float] = {}

    def begin_anew(self) -> None:
        """Forget all evidence."""
        self.seen.clear()
        self._forget()
        self.posterior = [f.prior for f in self.faults]

    def observe(self, observation: Observation) -> None:
        """Take in one piece of evidence; the same once more tells little, as the same slip is made again."""
        share = self.priors("error", "again") if observation in self.seen else 1.0
        weighed = {
            care: [
                p * self.likelihood(i, observation, care) ** share if p > _NEGLIGIBLE else 0.0
                for i, p in enumerate(joint)
            ]
            for care, joint in self._joint.items()
        }
        self.seen.append(observation)
        total = sum(map(sum, weighed.values()))
        if total > 0:
            self._joint = {care: [w / total for w in own] for care, own in weighed.items()}
            self.posterior = [sum(own) for own in zip(*self._joint.values(), strict=True)]
            self._grouped = None
            self._gains = {}

    def likelihood(self, fault: int, observation: Observation, care: Care = "error") -> float:
        """Chance of the observation if this fault is the one and the person errs so often."""
        return self.likely.of(fault, observation, self.seen, care)

    def weights(self, care: Care) -> Sequence[float]:
        """Probability of each fault together with a person who errs so often."""
        return self._joint[care]

    # -- answers ------------------------------------------------------------------------------------

    def by_group(self) -> dict[Group, float]:
        """Probability of each suspect, likeliest first."""
        found: dict[Group, float] = {}
        for own in self._by_care().values():
            for group, p in own.items():
                found[group] = found.get(group, 0.0) + p
        return dict(sorted(found.items(), key=lambda item: (-round(item[1], _DECIMALS), item[0])))

    def _by_care(self) -> dict[Care, dict[Group, float]]:
        if self._grouped is None:
            self._grouped = {}
            for care, joint in self._joint.items():
                own = self._grouped[care] = {}
                for group, p in zip(self.groups, joint, strict=True):
                    own[group] = own.get(group, 0.0) + p
        return self._grouped

    @property
    def parts(self) -> tuple[str, ...]:
        """The chips that can be pressed and swapped: those of the path, and what drives its clocks and address lines."""
        return tuple(sorted({f.part for f in self.faults if f.part and f.what in ("chip", "joint")}))

    def candidates(self) -> list[Candidate]:
        """Measurements that have not been made."""
        counts = Counter((o.kind, o.where) for o in self.seen)
        last = next((o.where[0] for o in reversed(self.seen) if o.kind == "read"), None)
        nearer = self.priors("minutes", "next_read")
        return [
            replace(c, minutes=nearer) if c.kind == "read" and c.where[0] == last else c
            for c in self.all_candidates()
            if counts[c.kind, c.where] < self._most_times(c)
        ]

    def all_candidates(self) -> list[Candidate]:
        """Measurements that can be made at all, each once."""
        found = [Candidate("read", key, self.priors("minutes", "read")) for key in self.likely.readable]
        for what, place in dict.fromkeys(self.groups):
            kind = self.measured_at(what, place)
            if kind is not None:
                found.append(Candidate(kind, place.ends, self.priors("minutes", kind)))
        for part in self.parts:
            found.append(Candidate("press", (part,), self.priors("minutes", "press")))
            minutes = swap_minutes(self.traced, part, self.sockets, self.priors)
            found.append(Candidate("swapped", (part,), minutes))
        for pair in exchangeable(self.traced):
            found.append(Candidate("exchanged", pair, self.priors("minutes", "exchanged")))
        return found

    def _most_times(self, candidate: Candidate) -> int:
        """How often a measurement may be made: what found nothing by hand or meter is left at that."""
        kind, where = candidate.kind, candidate.where
        if kind in _ONCE_MORE:
            usual, _ = self.likely.differing(kind, where)
            told = (o for o in self.seen if (o.kind, o.where) == (kind, where))
            return MOST_TIMES if any(usual.get(o.word, 0.0) < _ODD for o in told) else 1
        return MOST_TIMES if kind in _AGAIN else 1

    def measured_at(self, what: What, place: Place) -> ObservationKind | None:
        """What can be measured at a suspect's place, if anything but readings and swaps can."""
        if place.ends in self.likely.bridges:
            return "beep"
        return (_AT_CONNECTION if place.is_connection else _AT_PART).get(what)

    def proves(self, what: What, place: Place) -> ObservationKind | None:
        """What would prove a suspect."""
        return self.measured_at(what, place) if place.is_connection else _PROOF_AT_PART.get(what)

    def chance_of(self, observation: Observation) -> float:
        """Chance of a piece of evidence by all that was told beside it.

        The harmonic mean of its chances, weighed by what is suspected in the end (leave one out, by Bayes' rule).
        """
        inverse = sum(
            p / max(self.likelihood(i, observation, care), _NEGLIGIBLE)
            for care, joint in self._joint.items()
            for i, p in enumerate(joint)
            if p > _NEGLIGIBLE
        )
        return 1 / inverse if inverse > 1 else 1.0

    def outcomes(self, candidate: Candidate) -> dict[str, tuple[float, dict[Group, float]]]:
        """Word -> its probability, and the suspects after it."""
        usual, differing = self.likely.differing(candidate.kind, candidate.where)
        found = {}
        for word in ANSWERS[candidate.kind]:
            after: dict[Group, float] = {}
            for care, before in self._by_care().items():
                joint = self._joint[care]
                plain = self.likely.with_errors(candidate.kind, usual.get(word, 0.0), care)
                for group, p in before.items():
                    after[group] = after.get(group, 0.0) + p * plain
                for i, chances in differing.items():
                    if joint[i] > _NEGLIGIBLE:
                        own = self.likely.with_errors(candidate.kind, chances.get(word, 0.0), care)
                        after[self.groups[i]] += joint[i] * (own - plain)
            total = sum(after.values())
            if total > _NEGLIGIBLE:
                found[word] = (total, {g: max(p, 0.0) / total for g, p in after.items()})
        return found

    def gain(self, candidate: Candidate) -> float:
        """Bits of the suspects' entropy that a measurement at one place is expected to take away."""
        key = candidate.kind, candidate.where
        if key not in self._gains:
            before = entropy(self.by_group().values())
            after = (p * entropy(groups.values()) for p, groups in self.outcomes(candidate).values())
            self._gains[key] = before - sum(after)
        return self._gains[key]

    def worth(self, candidate: Candidate) -> float:
        """The gain for each minute; places that are swept add what each would by itself, as but one is at fault."""
        places = [candidate, *(replace(candidate, where=where, swept=()) for where in candidate.swept)]
        again = any((o.kind, o.where) == (candidate.kind, candidate.where) for o in self.seen)
        share = self.priors("error", "again") if again else 1.0
        minutes = self.priors("minutes", "told") + candidate.minutes
        return sum(map(self.gain, places)) / max(minutes, _A_MOMENT) * share

    def best_next(self, how_many: int = 3) -> list[Candidate]:
        """The measurements that are worth most, best first."""
        proof = self._proof()
        tells = [c for c in self.candidates() if self._tells(c)]
        swept = [c for c in tells if c.kind in SWEPT]
        ranked = [
            *self._sweeps({c: self.gain(c) for c in swept}),
            *(c for c in tells if c.kind not in SWEPT),
        ]
        ranked.sort(key=lambda c: (-round(self.worth(c), _DECIMALS), c.kind, c.where))
        if proof is not None:
            ranked = [proof, *(c for c in ranked if c != proof)]
        return ranked[:how_many]

    def _tells(self, candidate: Candidate) -> bool:
        """Whether enough of what is suspected would answer otherwise than the rest."""
        _, differing = self.likely.differing(candidate.kind, candidate.where)
        return sum(self.posterior[i] for i in differing if self.faults[i].what != "unlisted") > _TELLING

    def _sweeps(self, gains: Mapping[Candidate, float]) -> Iterable[Candidate]:
        """Measurements of one kind that lie side by side, together as far as each further one is worth its moment."""
        side_by_side: dict[tuple[ObservationKind, str], list[Candidate]] = {}
        for candidate in sorted(
            gains, key=lambda c: (-round(gains[c], _DECIMALS), *map(natural_key, c.where))
        ):
            side_by_side.setdefault((candidate.kind, self.beside(candidate)), []).append(candidate)
        for first, *others in side_by_side.values():
            more = max(self.priors("minutes", SWEPT[first.kind]), _A_MOMENT)
            minutes, gained = max(first.minutes, _A_MOMENT), gains[first]
            told = self.priors("minutes", "told")
            swept: list[tuple[str, ...]] = []
            for each in others[: MOST_SWEPT - 1]:
                if gains[each] / more <= gained / (told + minutes) / 2:
                    break
                swept.append(each.where)
                minutes, gained = minutes + more, gained + gains[each]
            yield replace(first, minutes=round(minutes, 6), swept=tuple(swept))

    def beside(self, candidate: Candidate) -> str:
        """What a measurement lies at, for those that are made in one go.

        A part; a colour's pin; a colour's resistors; for the finger all chips.
        """
        where = candidate.where
        if candidate.kind == "press":
            return ""
        if candidate.kind == "read":
            return where[0]
        if len(where) == 1:
            return self._colour_of.get(where, "")
        part = where[0].rpartition(".")[0]
        return where[-1] if self.traced.circuit.identified[part].kind.is_discrete else part

    def _proof(self) -> Candidate | None:
        """Where one suspect is all but certain, the measurement that would prove it."""
        (what, place), p = next(iter(self.by_group().items()))
        kind = self.proves(what, place)
        if p < SURE or kind is None:
            return None
        wanted = (kind, place.ends)
        if any((o.kind, o.where) == wanted for o in self.seen):
            return None
        return next((c for c in self.candidates() if (c.kind, c.where) == wanted), None)


def limits_of_reasoning() -> dict[str, object]:
    """The numbers that no prior gives, by name, for a script that goes on from here."""
    return {
        "sure": SURE, "most_times": MOST_TIMES, "odd": _ODD, "telling": _TELLING, "most_swept": MOST_SWEPT,
        "moment": _A_MOMENT, "negligible": _NEGLIGIBLE, "decimals": _DECIMALS, "swept": SWEPT,
    }  # fmt: skip


def entropy(probabilities: Iterable[float]) -> float:
    """Shannon's, in bits."""
    return -sum(p * math.log2(p) for p in probabilities if p > 0)
