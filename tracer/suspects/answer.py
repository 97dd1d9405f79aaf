"""From the reasoning to the answer: suspects with their faults and why, what to measure next, what comes after."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from tracer.base.findings import Finding, note, warning
from tracer.base.names import natural_key
from tracer.parts.identify import Identified
from tracer.suspects.afterwards import afterwards, donor_texts
from tracer.suspects.doubts import contradictions, odd_evidence
from tracer.suspects.evidence import observations_of
from tracer.suspects.fault import Fault, Group, Leg
from tracer.suspects.index_faults import index_nets
from tracer.suspects.observation import Candidate, Observation
from tracer.suspects.priors import load_priors
from tracer.suspects.reasoning import Reasoning
from tracer.suspects.text import (
    CAUTIONS,
    against_text,
    faults_text,
    legs_text,
    meaning_text,
    measurement_text,
    observation_text,
    odd_text,
    tell_text,
    why_text,
)
from tracer.suspects.values import Measurement, Outcome, Suspect, SuspectFault, SuspectTable
from tracer.tracing.pipeline import Traced

__all__ = ["answer", "answer_notes", "reason_on_notes", "shown_without", "suspect_of", "unread_lines"]

#: Suspects below this are not listed one by one.
LEAST = 0.01
MOST_SUSPECTS, MOST_FAULTS = 8, 4
#: Pieces of evidence that are named as odd.
MOST_ODD = 3


def answer(
    reasoning: Reasoning, evidence: Sequence[Observation], findings: Sequence[Finding] = ()
) -> SuspectTable:
    """Everything there is to say after the evidence; the reasoning must have taken it in."""
    suspects = tuple(
        _suspect(reasoning, group, p)
        for group, p in list(reasoning.by_group().items())[:MOST_SUSPECTS]
        if p >= LEAST
    )
    return SuspectTable(
        reasoning.traced.bit_map.name,
        tuple(_said(reasoning, o) for o in evidence),
        suspects,
        tuple(_measurement(reasoning, c) for c in reasoning.best_next()),
        afterwards(reasoning, suspects),
        (*findings, *_doubts(reasoning)),
    )


def _doubts(reasoning: Reasoning) -> Iterator[Finding]:
    """Evidence that cannot all be right, and evidence that does not fit."""
    against = contradictions(reasoning.seen)
    for first, second in against:
        yield warning("evidence-against", against_text(_said(reasoning, first), _said(reasoning, second)))
    known = {observation for pair in against for observation in pair}
    for odd in odd_evidence(reasoning)[:MOST_ODD]:
        if odd.observation not in known:
            yield note("evidence-odd", odd_text(_said(reasoning, odd.observation), odd.chance))


def reason_on_notes(
    traced: Traced, load_ohm: float | None = 75.0
) -> tuple[Reasoning, SuspectTable | None] | None:
    """The reasoning after the evidence of the board's notes, and what that speaks for; None for a map without bits.

    The table is None where the notes hold no evidence.
    """
    if not any(c.bits for c in traced.bit_map.colours):
        return None
    evidence = traced.circuit.netlist.notes.evidence
    reasoning = Reasoning(traced, load_priors(), load_ohm)
    observations, unused = observations_of(reasoning, evidence)
    for observation in observations:
        reasoning.observe(observation)
    return reasoning, answer(reasoning, observations, unused) if evidence else None


def answer_notes(traced: Traced, load_ohm: float | None = 75.0) -> SuspectTable | None:
    """What the evidence of the board's notes speaks for; None without any."""
    reasoned = reason_on_notes(traced, load_ohm)
    return reasoned[1] if reasoned else None


def shown_without(reasoning: Reasoning, part: str) -> dict[str, str]:
    """What the screen shows with a chip pulled: colour -> word; empty for a part off the path."""
    for fault, words in zip(reasoning.faults, reasoning.likely.words, strict=True):
        if fault.part == part and fault.manner == "loose" and words is not None:
            return words
    return {}


def _known(reasoning: Reasoning, part: str | None) -> Identified | None:
    return reasoning.traced.circuit.identified.get(part or "")


def _leg(reasoning: Reasoning, part: str, pin: str) -> Leg:
    known = _known(reasoning, part)
    return reasoning.legs.leg(part, pin) if known else Leg(part, pin)


def _said(reasoning: Reasoning, observation: Observation) -> str:
    at = _leg(reasoning, *observation.where) if observation.kind == "read" else None
    return observation_text(observation, at)


# -- suspects -----------------------------------------------------------------------------------------


def _suspect(reasoning: Reasoning, group: Group, probability: float) -> Suspect:
    """A suspect with its faults and why."""
    members = [i for i, g in enumerate(reasoning.groups) if g == group]
    members.sort(key=lambda i: -reasoning.posterior[i])
    # Faults that all evidence so far treats alike are one line.
    lines: dict[tuple[float, ...], list[int]] = {}
    for i in members:
        alike = tuple(round(reasoning.likelihood(i, o), 9) for o in reasoning.seen)
        lines.setdefault(alike, []).append(i)
    faults = [_alike(reasoning, together) for together in list(lines.values())[:MOST_FAULTS]]
    faults.sort(key=lambda f: -f.probability)
    pins = dict.fromkeys(leg.pin for i in members[:MOST_FAULTS] for leg in reasoning.faults[i].legs)
    suspect = suspect_of(reasoning, group, probability, tuple(faults), _why(reasoning, members[0]))
    return replace(suspect, pins=tuple(pins))


def suspect_of(
    reasoning: Reasoning, group: Group, probability: float, faults: tuple[SuspectFault, ...], why: str
) -> Suspect:
    """A suspect by its name; the legs that its faults are about are left out."""
    part = reasoning.faults[reasoning.groups.index(group)].part
    known = _known(reasoning, part)
    return Suspect(
        part or None,
        known.sold_as if known else None,
        (known.part.place or None) if known else None,
        group[0],
        group[1].ends,
        (),
        probability,
        faults,
        why,
    )


def _alike(reasoning: Reasoning, members: Sequence[int]) -> SuspectFault:
    faults: tuple[Fault, ...] = tuple(reasoning.faults[i] for i in members)
    return SuspectFault(faults, sum(reasoning.posterior[i] for i in members), faults_text(faults))


def _why(reasoning: Reasoning, fault: int) -> str:
    """What the likeliest fault of a suspect explains and what speaks against it."""
    words = reasoning.likely.words[fault]
    fitting: list[Observation] = []
    against: list[Observation] = []
    for o in reasoning.seen:
        if o.kind not in ("warmth", "layer", "shapes"):
            (fitting if reasoning.likely.fits(fault, o) else against).append(o)
    explained, odd = (_said_together(reasoning, each) for each in (fitting, against))
    return why_text(reasoning.faults[fault], words, explained, odd, unread_lines(reasoning))


def unread_lines(reasoning: Reasoning) -> list[Leg]:
    """The address legs of the first memory that has some which nobody has read."""
    read = {o.where for o in reasoning.seen if o.kind == "read"}
    legs = [key for net in index_nets(reasoning.legs) for key in net.legs if key not in read]
    own = [key for key in legs if key[0] == legs[0][0]]
    return [_leg(reasoning, *key) for key in sorted(own, key=lambda key: natural_key(key[1]))]


def _said_together(reasoning: Reasoning, observations: Sequence[Observation]) -> list[str]:
    """In words; legs of one chip that read alike are named together."""
    alike: dict[tuple[object, ...], list[Observation]] = {}
    for o in dict.fromkeys(observations):
        key = (o.where[0], o.word, o.is_denied) if o.kind == "read" else (o,)
        alike.setdefault(key, []).append(o)
    return [_said(reasoning, own[0]) if len(own) == 1 else legs_text(own) for own in alike.values()]


# -- measurements -------------------------------------------------------------------------------------


def _measurement(reasoning: Reasoning, candidate: Candidate) -> Measurement:
    kind, where = candidate.kind, candidate.where
    outcomes = []
    for word, (probability, groups) in reasoning.outcomes(candidate).items():
        group, p = max(groups.items(), key=lambda item: (item[1], item[0]))
        outcomes.append(
            Outcome(word, probability, group, p, meaning_text(*group, p), tell_text(kind, where, word))
        )
    outcomes.sort(key=lambda o: -o.probability)
    at = _leg(reasoning, *where) if kind == "read" else None
    part = where[0] if kind in ("read", "press", "swapped") else None
    swept = sorted(
        candidate.swept, key=lambda ends: [natural_key(end) for end in ends], reverse=kind == "read"
    )
    known = _known(reasoning, part)
    return Measurement(
        kind,
        where,
        part,
        at.pin if at else None,
        (known.part.place or None) if known else None,
        candidate.minutes,
        tuple(outcomes),
        measurement_text(
            kind,
            where,
            at,
            _beside(reasoning, at) if at else (),
            swept,
            donor_texts(reasoning, part),
            is_junction=kind == "ohms" and len(where) == 1 and not _is_resistor(reasoning, where[0]),
            is_between_colours=set(where) <= _colour_pins(reasoning),
            is_socket_told=part
            in {**dict(reasoning.traced.circuit.netlist.notes.sockets), **reasoning.sockets},
        ),
        CAUTIONS[kind],
        outcomes[0].tell,
        tuple(swept),
    )


def _is_resistor(reasoning: Reasoning, part: str) -> bool:
    known = _known(reasoning, part)
    return known is None or known.kind.is_resistor


def _colour_pins(reasoning: Reasoning) -> set[str]:
    pins = (colour.pin for colour in reasoning.traced.bit_map.colours)
    return {f"{pin.part}.{pin.pin}" if pin.part else pin.net for pin in pins}


def _beside(reasoning: Reasoning, leg: Leg) -> tuple[Leg, ...]:
    """The legs next to a leg, so that the probe can be counted to its place."""
    known = _known(reasoning, leg.part)
    if known is None or not leg.pin.isdecimal():
        return ()
    near = (str(int(leg.pin) - 1), str(int(leg.pin) + 1))
    return tuple(Leg(leg.part, n, known.type.by_number[n].name) for n in near if n in known.type.by_number)
