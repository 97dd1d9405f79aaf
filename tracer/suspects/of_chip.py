"""Faults that any chip can have at its outputs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tracer.suspects.fault import Effect, Fault, Manner, Place
from tracer.suspects.hits import by_bit
from tracer.suspects.path_legs import LegKey, PathLegs

__all__ = ["MIXES", "all_at", "frozen", "of_chip", "one_output"]

#: A chip whose outputs stand mixed stands in one of 2^n ways; these stand for all: every second one, the other ones,
#: and by pairs.
MIXES = ((0, 1), (1, 0), (0, 0, 1, 1), (1, 1, 0, 0))


def of_chip(
    manner: Manner,
    part: str,
    legs: PathLegs,
    keys: Sequence[LegKey],
    prior: float,
    effect: Effect,
    level: int | None = None,
) -> Fault:
    """A fault inside a chip, at some of its legs."""
    return Fault("chip", manner, part, Place((part,)), legs.legs(keys), effect, level, prior)


def one_output(
    legs: PathLegs,
    part: str,
    outputs: Sequence[LegKey],
    stuck: float,
    weak: float,
    floating: float,
    unstable: float = 0.0,
) -> Iterator[Fault]:
    """One output that stands, is weak, holds nothing or is unstable; the priors are those of all outputs together."""
    share = 1.0 / len(outputs) if outputs else 0.0
    for key in outputs:
        for level in (0, 1):
            hits = Effect(by_bit(legs.held([key], level)))
            yield of_chip("stuck", part, legs, [key], stuck * share / 2, hits, level)
        unsteady = Effect(by_bit(legs.held([key], None)))
        yield of_chip("weak", part, legs, [key], weak * share, unsteady)
        if unstable:
            yield of_chip("unstable", part, legs, [key], unstable * share, unsteady)
        yield of_chip("floating", part, legs, [key], floating * share, Effect(by_bit(legs.opened([key]))))


def all_at(legs: PathLegs, part: str, outputs: Sequence[LegKey], level: int | None, prior: float) -> Fault:
    """All outputs at one level, or none of them holding anything."""
    hits = legs.opened(outputs) if level is None else legs.held(outputs, level)
    return of_chip("dead", part, legs, outputs, prior, Effect(by_bit(hits)), level)


def frozen(legs: PathLegs, part: str, outputs: Sequence[LegKey], prior: float) -> Iterator[Fault]:
    """The outputs stand, each at a level of its own."""
    if len(outputs) < 2:
        return
    for mix in MIXES:
        hits = (hit for i, key in enumerate(outputs) for hit in legs.held([key], mix[i % len(mix)]))
        effect = Effect(by_bit(hits), is_mixed=True)
        yield of_chip("frozen", part, legs, outputs, prior / len(MIXES), effect)
