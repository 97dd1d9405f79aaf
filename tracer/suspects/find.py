"""The one door to this room: from a traced board and what was seen and read to suspects."""

from __future__ import annotations

from collections.abc import Mapping

from tracer.parts.library import Library
from tracer.suspects.answer import answer
from tracer.suspects.evidence import KINDS, observations_of, observations_told
from tracer.suspects.priors import Priors, load_priors
from tracer.suspects.reasoning import Reasoning
from tracer.suspects.values import SuspectTable
from tracer.tracing.pipeline import Traced

__all__ = ["find_suspects"]


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
    exchanged: Mapping[str, str] | None = None,
    sockets: Mapping[str, bool] | None = None,
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
    seen, read, beep, ohms, pressed, swapped, exchanged : mapping of str to str, optional
        Place -> words, as in ``rgbroots help suspects``: ``seen={"red": "missing", "white": "as blue"}``,
        ``read={"U13.19": "low"}``.
    sockets : mapping of str to bool, optional
        Part -> whether it sits in a socket, which makes a swap cheap.

    Returns
    -------
    SuspectTable
        By the priors alone where nothing is told.

    Raises
    ------
    UsageError
        Words or a place are not understood, or the place is not in the colour path.
    """
    reasoning = Reasoning(traced, priors or load_priors(), traced.bit_map.load_ohm, library, sockets)
    told = [
        observation
        for kind, values in zip(KINDS, (seen, read, beep, ohms, pressed, swapped, exchanged), strict=True)
        for where, words in (values or {}).items()
        for observation in observations_told(reasoning, kind, where, words)
    ]
    noted, unused = observations_of(reasoning, traced.circuit.netlist.notes.evidence)
    for observation in (*noted, *told):
        reasoning.observe(observation)
    return answer(reasoning, (*noted, *told), unused)
