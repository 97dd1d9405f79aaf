"""The one door to this room: from a traced board and what was seen and read to suspects."""

from __future__ import annotations

from collections.abc import Callable, Mapping

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
from tracer.suspects.observation import Observation
from tracer.suspects.priors import Priors, load_priors
from tracer.suspects.reasoning import Reasoning
from tracer.suspects.told import check_told
from tracer.suspects.values import SuspectTable
from tracer.tracing.pipeline import Traced

__all__ = ["KINDS", "find_suspects", "observations_told"]

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
