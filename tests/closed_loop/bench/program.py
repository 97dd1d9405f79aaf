"""The door to what is judged: the program's reasoning, told in its own words.

The only module of this package that imports `tracer.suspects`.
"""

from __future__ import annotations

from dataclasses import dataclass

from tracer.suspects.evidence import observations_told
from tracer.suspects.priors import load_priors
from tracer.suspects.reasoning import Reasoning
from tracer.tracing.pipeline import Traced

__all__ = ["Program", "Step", "Top"]

#: Kinds of measurement whose option has another name.
_TOLD = {"press": "pressed"}


@dataclass(frozen=True)
class Top:
    """The first suspect."""

    what: str
    ends: tuple[str, ...]
    probability: float


@dataclass(frozen=True)
class Step:
    """A measurement that the program asks for; `swept` are places side by side, measured in one go."""

    kind: str
    where: tuple[str, ...]
    swept: tuple[tuple[str, ...], ...] = ()


class Program:
    """The program before one board; `begin` forgets what was told."""

    def __init__(self, traced: Traced) -> None:
        self._reasoning = Reasoning(traced, load_priors(), traced.bit_map.load_ohm)

    def begin(self) -> None:
        """Start with the priors alone."""
        self._reasoning.begin_anew()

    @property
    def suspects(self) -> list[tuple[str, tuple[str, ...]]]:
        """All that it can name."""
        return list(dict.fromkeys((what, tuple(place.ends)) for what, place in self._reasoning.groups))

    def tell(self, kind: str, where: tuple[str, ...], words: str) -> None:
        """One piece of evidence, as on the command line."""
        between = {"read": ".", "exchanged": " and "}
        place = between.get(kind, " to ").join(where)
        for observation in observations_told(self._reasoning, kind, place, words):
            self._reasoning.observe(observation)

    def top(self) -> Top:
        """The first suspect."""
        (what, place), p = next(iter(self._reasoning.by_group().items()))
        return Top(what, tuple(place.ends), p)

    def next(self) -> Step | None:
        """The measurement that it proposes first; None when there is none left."""
        found = self._reasoning.best_next(1)
        return (
            Step(_TOLD.get(found[0].kind, found[0].kind), found[0].where, found[0].swept) if found else None
        )
