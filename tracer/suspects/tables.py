"""The reasoning as tables: all numbers from which suspects and the next measurement follow by products and sums alone.

For a reader that has no circuit and no solver, such as the script of a page: what each fault shows in words, what every
measurement gives under which faults, what each costs, and the sentences that go with it. `tracer.suspects.reasoning`
says how they are put together.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from tracer.base.names import natural_key
from tracer.suspects.afterwards import after_parts
from tracer.suspects.answer import suspect_of
from tracer.suspects.appearance import SAID
from tracer.suspects.fault import Group
from tracer.suspects.observation import ANSWERS, Candidate, Observation, ObservationKind
from tracer.suspects.reasoning import SWEPT, Reasoning
from tracer.suspects.sockets import swap_minutes
from tracer.suspects.text import fault_text, suspect_text
from tracer.suspects.told import resistor_ohm
from tracer.suspects.values import AfterParts
from tracer.suspects.volts import Scale, scale_at
from tracer.suspects.words import WORDS

__all__ = ["WANTED", "FaultRow", "Measurable", "NamedColour", "ReasoningTables", "tables_of"]

#: The colours of which a person knows that they should be there: those that need no shades. Common practice, no source.
WANTED: tuple[str, ...] = ("white", "black", "red", "green", "blue", "yellow", "cyan", "magenta")

_T = TypeVar("_T", bound=Hashable)


class _Pool(Generic[_T]):
    """Values, each once."""

    def __init__(self) -> None:
        self.at: dict[_T, int] = {}

    def put(self, value: _T) -> int:
        return self.at.setdefault(value, len(self.at))

    @property
    def all(self) -> tuple[_T, ...]:
        return tuple(self.at)


#: Chances of the answers of a kind, in the order of `ANSWERS`.
Chances = tuple[float, ...]


@dataclass(frozen=True, slots=True)
class FaultRow:
    """One fault.

    Attributes
    ----------
    text : str
    prior : float
    group : int
        Its suspect.
    words : tuple of str, or None
        What the screen shows, a word for each colour; None where that is not computed.
    shares : tuple of (int or None), or None
        Its place in `ReasoningTables.shares` for each colour; None for a colour that is not solved, or for all.
    is_unsteady : bool
    """

    text: str
    prior: float
    group: int
    words: tuple[str, ...] | None
    shares: tuple[int | None, ...] | None
    is_unsteady: bool


@dataclass(frozen=True, slots=True)
class Measurable:
    """Something that can be measured.

    Attributes
    ----------
    kind : ObservationKind
    where : tuple of str
    minutes : float
    beside : int
        Those of one kind with the same number are made in one go.
    natural : int
        Its rank by the numbers in its names.
    usual : int
        Its place in `ReasoningTables.chances` under most faults.
    differing : tuple of (int, tuple of int)
        Such a place, and the faults under which that holds instead.
    in_socket, soldered : float
        Minutes of a swap; 0 for anything else.
    scale : Scale or None
        What volts mean at a leg.
    ohm : float or None
        Of a resistor, as marked.
    """

    kind: ObservationKind
    where: tuple[str, ...]
    minutes: float
    beside: int
    natural: int
    usual: int
    differing: tuple[tuple[int, tuple[int, ...]], ...]
    in_socket: float = 0.0
    soldered: float = 0.0
    scale: Scale | None = None
    ohm: float | None = None


@dataclass(frozen=True, slots=True)
class NamedColour:
    """What persons call what shows where a colour should be: for each fault a place in `ReasoningTables.named`."""

    wanted: str
    of_faults: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class ReasoningTables:
    """All of it.

    Attributes
    ----------
    colours : tuple of str
    faults : tuple of FaultRow
    groups : tuple of Group
        Suspects, in the order in which those of equal probability stand.
    group_names : tuple of str
    group_parts : tuple of (str or None)
    proofs : tuple of (int or None)
        The measurement that would prove each suspect.
    shares : tuple of tuple of float
        Shares of persons by `WORDS`.
    usual_words : mapping of str to tuple of float
        Colour -> chance of each word under a fault that is not listed.
    chances : tuple of tuple of float
        Chances of answers.
    measurables : tuple of Measurable
        By kind and place.
    appears : tuple of NamedColour
        Empty where mixed colours cannot be told of the board.
    named : tuple of tuple of int
        Per cent of the persons, by `tracer.suspects.appearance.SAID`.
    afterwards : mapping of str to AfterParts
        By part: what is said before and after its cure.
    places : mapping of str to str
        Where parts sit, where that is known.
    seen : tuple of Observation
        What the reasoning has taken in.
    reasoning : Reasoning
        Whose numbers these are.
    """

    colours: tuple[str, ...]
    faults: tuple[FaultRow, ...]
    groups: tuple[Group, ...]
    group_names: tuple[str, ...]
    group_parts: tuple[str | None, ...]
    proofs: tuple[int | None, ...]
    shares: tuple[Chances, ...]
    usual_words: Mapping[str, Chances]
    chances: tuple[Chances, ...]
    measurables: tuple[Measurable, ...]
    appears: tuple[NamedColour, ...]
    named: tuple[tuple[int, ...], ...]
    afterwards: Mapping[str, AfterParts]
    places: Mapping[str, str]
    seen: tuple[Observation, ...]
    reasoning: Reasoning


def tables_of(reasoning: Reasoning) -> ReasoningTables:
    """The tables of a board's reasoning; what it has taken in so far is told as `seen` and changes no table."""
    likely = reasoning.likely
    colours = tuple(c.name for c in reasoning.traced.bit_map.colours)
    groups = tuple(sorted(set(reasoning.groups)))
    at = {group: i for i, group in enumerate(groups)}
    shares: _Pool[Chances] = _Pool()
    rows = tuple(
        FaultRow(
            fault_text(fault),
            fault.prior,
            at[fault.group],
            None if words is None else tuple(words.get(c, "") for c in colours),
            None
            if own is None
            else tuple(shares.put(_by(WORDS, own[c])) if c in own else None for c in colours),
            likely.is_unsteady(fault),
        )
        for fault, words, own in zip(reasoning.faults, likely.words, likely.shares, strict=True)
    )
    chances: _Pool[Chances] = _Pool()
    measurables = _measurables(reasoning, chances)
    places = {(m.kind, m.where): i for i, m in enumerate(measurables)}
    proofs = tuple(
        places.get((kind, group[1].ends)) if (kind := reasoning.proves(*group)) else None for group in groups
    )
    appears, named = _appears(reasoning)
    parts = {f.group: f.part or None for f in reversed(reasoning.faults)}
    return ReasoningTables(
        colours,
        rows,
        groups,
        tuple(suspect_text(suspect_of(reasoning, group, 0.0, (), "")) for group in groups),
        tuple(parts[group] for group in groups),
        proofs,
        shares.all,
        {colour: _by(WORDS, own) for colour, own in likely.usual_words.items()},
        chances.all,
        measurables,
        appears,
        named,
        {part: after_parts(reasoning, part) for part in dict.fromkeys(parts.values()) if part is not None},
        {
            part: place
            for part in dict.fromkeys(m.where[0] for m in measurables)
            if (own := reasoning.traced.circuit.identified.get(part)) and (place := own.part.place)
        },
        tuple(reasoning.seen),
        reasoning,
    )


def _by(words: Sequence[str], shares: Mapping[str, float]) -> Chances:
    return tuple(shares.get(word, 0.0) for word in words)


def _measurables(reasoning: Reasoning, chances: _Pool[Chances]) -> tuple[Measurable, ...]:
    candidates = sorted(reasoning.all_candidates(), key=lambda c: (c.kind, c.where))
    natural = sorted(
        range(len(candidates)), key=lambda i: [natural_key(name) for name in candidates[i].where]
    )
    ranks = {i: rank for rank, i in enumerate(natural)}
    beside: _Pool[tuple[str, ...]] = _Pool()
    return tuple(
        _measurable(
            reasoning, candidate, beside.put((candidate.kind, *_beside(reasoning, candidate))), ranks[i], chances
        )
        for i, candidate in enumerate(candidates)
    )  # fmt: skip


def _beside(reasoning: Reasoning, candidate: Candidate) -> tuple[str, ...]:
    """What a measurement lies at; one that is made alone lies at its own place."""
    return (reasoning.beside(candidate),) if candidate.kind in SWEPT else candidate.where


def _measurable(
    reasoning: Reasoning, candidate: Candidate, beside: int, natural: int, chances: _Pool[Chances]
) -> Measurable:
    kind, where, traced = candidate.kind, candidate.where, reasoning.traced
    usual, differing = reasoning.likely.differing(kind, where)
    together: dict[int, list[int]] = {}
    for fault, own in differing.items():
        together.setdefault(chances.put(_by(ANSWERS[kind], own)), []).append(fault)
    part = where[0] if kind == "swapped" else None
    return Measurable(
        kind,
        where,
        candidate.minutes,
        beside,
        natural,
        chances.put(_by(ANSWERS[kind], usual)),
        tuple((own, tuple(sorted(faults))) for own, faults in together.items()),
        swap_minutes(traced, part, {part: True}, reasoning.priors) if part else 0.0,
        swap_minutes(traced, part, {part: False}, reasoning.priors) if part else 0.0,
        scale_at(reasoning, where) if kind == "read" else None,
        resistor_ohm(reasoning, where[0]) if kind == "ohms" and len(where) == 1 else None,
    )


def _appears(reasoning: Reasoning) -> tuple[tuple[NamedColour, ...], tuple[tuple[int, ...], ...]]:
    appearance = reasoning.likely.appearance
    if not appearance.is_known:
        return (), ()
    named: _Pool[tuple[int, ...]] = _Pool()
    found = []
    for wanted in WANTED:
        shares = appearance.shares(wanted, SAID[0])
        rows = tuple(named.put(tuple(round(100 * own.get(word, 0.0)) for word in SAID)) for own in shares)
        found.append(NamedColour(wanted, rows))
    return tuple(found), named.all
