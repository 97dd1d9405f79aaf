"""The one door to this room: from a traced board and what was seen and read to suspects."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from tracer.base.errors import UsageError
from tracer.base.names import natural_key, similar_names
from tracer.parts.library import Library
from tracer.suspects.answer import answer
from tracer.suspects.evidence import (
    observations_of,
    parse_beep,
    parse_manner,
    parse_ohms,
    parse_pressed,
    parse_read,
    parse_seen,
    parse_swapped,
)
from tracer.suspects.priors import Priors, load_priors
from tracer.suspects.reasoning import Observation, Reasoning
from tracer.suspects.values import SuspectTable
from tracer.tracing.pipeline import Traced

__all__ = ["KINDS", "check_told", "find_suspects", "observations_told"]

#: What can be told -> what reads its place and its words.
KINDS: Mapping[str, Callable[[str, str], Observation]] = {
    "seen": parse_seen,
    "read": parse_read,
    "beep": parse_beep,
    "ohms": parse_ohms,
    "pressed": parse_pressed,
    "swapped": parse_swapped,
}


def find_suspects(
    traced: Traced,
    library: Library | None = None,
    priors: Priors | None = None,
    *,
    seen: Mapping[str, str] | None = None,
    read: Mapping[str, str] | None = None,
    beep: Mapping[str, str] | None = None,
    ohms: Mapping[str, str] | None = None,
    pressed: Mapping[str, str] | None = None,
    swapped: Mapping[str, str] | None = None,
) -> SuspectTable:
    """Rank what can be wrong with a board, and say what to measure next.

    Parameters
    ----------
    traced : Traced
        From `tracer.trace_fully`; the evidence in its notes counts.
    library : Library, optional
        Part types, for what fits in a suspect's place.
    priors : Priors, optional
        From `tracer.suspects.priors.load_priors`.
    seen, read, beep, ohms, pressed, swapped : mapping of str to str, optional
        Place -> words, as in ``rgbroots help suspects``: ``seen={"red": "missing"}``, ``read={"U13.19": "low"}``.

    Returns
    -------
    SuspectTable
        By the priors alone where nothing is told.

    Raises
    ------
    UsageError
        Words or a place are not understood, or the place is not in the colour path.
    """
    told = [
        observation
        for kind, values in zip(KINDS, (seen, read, beep, ohms, pressed, swapped), strict=True)
        for where, words in (values or {}).items()
        for observation in observations_told(kind, where, words)
    ]
    reasoning = Reasoning(traced, priors or load_priors(), traced.bit_map.load_ohm, library)
    noted, unused = observations_of(reasoning, traced.circuit.netlist.notes.evidence)
    check_told(reasoning, told)
    for observation in (*noted, *told):
        reasoning.observe(observation)
    return answer(reasoning, (*noted, *told), unused)


def observations_told(kind: str, where: str, words: str) -> list[Observation]:
    """What one piece of evidence says; `kind` is one of `KINDS`.

    Raises
    ------
    UsageError
        The words are none of the kind's.
    """
    found = [KINDS[kind](where, words)]
    return [*found, *parse_manner(words)] if kind == "seen" else found


def check_told(reasoning: Reasoning, told: Sequence[Observation]) -> None:
    """Colours, legs, parts and connections that the path does not have would be taken for nothing.

    Raises
    ------
    UsageError
        One is not in the colour path; says which are.
    """
    colours = [c.name for c in reasoning.traced.bit_map.colours]
    for observation in told:
        if observation.kind == "seen" and observation.where[0] not in colours:
            raise UsageError(
                f"{observation.where[0]} is no colour of this board",
                fix=f"its colours are: {', '.join(colours)}",
            )
        if observation.kind == "read" and observation.where not in (*reasoning.uses, *reasoning.controls):
            raise _no_leg(reasoning, *observation.where)
    parts = {part for part, _ in reasoning.uses}
    known = {
        "beep": {place for what, place in reasoning.groups if what == "joint"},
        "ohms": {place for what, place in reasoning.groups if what in ("track", "resistor")},
        "press": parts,
        "swapped": parts,
    }
    for observation in told:
        places = known.get(observation.kind)
        if places is not None and observation.where[0] not in places:
            named = sorted(places, key=natural_key)
            near = similar_names(observation.where[0], named) or named[:4]
            raise UsageError(
                f"{observation.where[0]} is not in the colour path, so it says nothing of the colours",
                fix=f"what can be told there is, for example: {'; '.join(near) or 'nothing of this kind'}",
            )


def _no_leg(reasoning: Reasoning, part: str, pin: str) -> UsageError:
    legs = sorted((p for r, p in (*reasoning.uses, *reasoning.controls) if r == part), key=natural_key)
    return UsageError(
        f"{part}.{pin} is no leg of the colour path, so a reading there says nothing of the colours",
        fix=f"the legs of {part} that it passes are: {' '.join(dict.fromkeys(legs))}"
        if legs
        else "`rgbroots levels BOARD --legs` lists the legs that it passes",
    )
