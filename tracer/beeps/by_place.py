"""What nearness says of each candidate, and how far it is to be believed on the board at hand.

A connection joins near parts (a guess, and what short tracks ask for): a candidate counts by a weight that falls to 1/e at
`scale`, divided by the mean of all candidates, so that nearness moves chances and makes none. That is mixed with a weight
of 1, by how sure it is that nearness tells anything here: Bayes' rule over the parts that were found, each with how likely
nearness had made it. Where positions say nothing, or are wrong, the first few parts that are found show it.

Which resistor stands on a colour pin is not asked of nearness: on random boards, laid out for short wires, values and
references find it with fewer touches than with the places of parts mixed in.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence

from tracer.base.toml_numbers import NumberTables
from tracer.beeps.nearness import Nearness
from tracer.beeps.wanted import Connection, Want
from tracer.netlist.board import PinRef

__all__ = ["ByPlace", "nearness_weight"]

#: So sure at most, either way.
SUREST = 0.98
#: However many were tried, something is left: a touch may have been misread.
LEAST_LEFT = 0.05
#: Logarithms of odds beyond this are certain, and no more of them is computed.
_CERTAIN = 50.0


def nearness_weight(
    nearness: Nearness, a: str | PinRef, b: str | PinRef, numbers: NumberTables
) -> float | None:
    """1 for the same place, falling to 1/e at the scale; None where it is not known."""
    far = nearness.between(a, b)
    return None if far is None else math.exp(-far / numbers("near", "scale"))


class ByPlace:
    """Nearness among the candidates of one kind.

    `weights` has each with its weight before nearness counts. Where a held part has no place, as resistors have none on the
    grid that a board prints, the connector stands for it: `colours` has the pin of each colour.
    """

    def __init__(
        self,
        nearness: Nearness,
        weights: Mapping[str, float],
        colours: Mapping[str, PinRef],
        numbers: NumberTables,
    ) -> None:
        self.nearness, self.weights, self.colours, self.numbers = nearness, weights, colours, numbers
        self._claims: dict[tuple[PinRef, frozenset[str]], dict[str, float]] = {}

    def factors(
        self, want: Want, found: Sequence[Connection], in_vain: Mapping[str, float]
    ) -> dict[str, float]:
        """Part -> how much likelier its place makes it, 1 on the mean; parts without a place are left out.

        `found` is what was found so far: the parts among which a further one is, and what nearness was worth there.
        `in_vain` has the share of each part's legs that were tried and did not beep.
        """
        if not self.nearness.located:
            return {}
        on = frozenset(c.end.part for c in found) & self.weights.keys()
        vain = {r: share for r, share in in_vain.items() if r in self.weights and r not in on}
        sure = self._sure([*self._tests(found), self._test_in_vain(want, on, vain)])
        return {r: 1 + sure * (claim - 1) for r, claim in self._claim(self._where(want), on).items()}

    def _where(self, want: Want) -> PinRef:
        """From where it is near to a candidate."""
        return want.held if self.nearness.knows(want.held) else self.colours.get(want.colour, want.held)

    def _claim(self, held: PinRef, on: Collection[str]) -> dict[str, float]:
        """The same if nearness were certain to tell."""
        key = held, frozenset(on)
        if key not in self._claims:
            near = {r: n for r in self.weights if (n := self._near(r, held, key[1])) is not None}
            total = sum(self.weights[r] for r in near)
            mean = sum(self.weights[r] * n for r, n in near.items()) / total if total else 0.0
            self._claims[key] = {r: n / mean for r, n in near.items()} if mean else {}
        return self._claims[key]

    def _near(self, reference: str, held: PinRef, on: Collection[str]) -> float | None:
        """To the held leg, and to the nearest of the parts that were found; None where neither is known."""
        to_held = nearness_weight(self.nearness, held, reference, self.numbers)
        to_found = [
            n
            for other in on
            if (n := nearness_weight(self.nearness, other, reference, self.numbers)) is not None
        ]
        if to_held is None and not to_found:
            return None
        return (1.0 if to_held is None else to_held) * max(to_found, default=1.0)

    def _tests(self, found: Sequence[Connection]) -> Iterable[float]:
        """For each part that was found, how much likelier nearness had made it before."""
        on: set[str] = set()
        for connection in found:
            end = connection.end.part
            if end in self.weights and end not in on:
                yield self._claim(self._where(connection.want), on).get(end, 1.0)
                on.add(end)

    def _test_in_vain(self, want: Want, on: Collection[str], vain: Mapping[str, float]) -> float:
        """How much likelier nearness had made it that none of what was tried beeps."""
        claim, total = self._claim(self._where(want), on), sum(self.weights.values())
        without = sum(self.weights[r] * share for r, share in vain.items()) / total if total else 0.0
        by_place = sum(self.weights[r] * claim.get(r, 1.0) * share for r, share in vain.items())
        by_place = by_place / total if total else 0.0
        return max(1 - by_place, LEAST_LEFT) / max(1 - without, LEAST_LEFT)

    def _sure(self, tests: Iterable[float]) -> float:
        start = self.numbers("near", "sure")
        odds = math.log(start / (1 - start))
        odds += sum(math.log(max(test, math.exp(-_CERTAIN))) for test in tests)
        sure = 1 / (1 + math.exp(-max(min(odds, _CERTAIN), -_CERTAIN)))
        return min(max(sure, 1 - SUREST), SUREST)
