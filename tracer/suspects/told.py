"""What was typed on the command line, held against the path: legs, places and faults that it has."""

from __future__ import annotations

from collections.abc import Sequence

from tracer.base.errors import UsageError
from tracer.base.names import natural_key, similar_names
from tracer.suspects.fault import Place
from tracer.suspects.observation import Observation
from tracer.suspects.reasoning import Reasoning
from tracer.suspects.text import fault_text, place_text

__all__ = ["check_told", "faults_called"]


def check_told(reasoning: Reasoning, told: Sequence[Observation]) -> None:
    """Refuse colours, legs, parts and connections that the path does not have: they would be taken for nothing.

    Raises
    ------
    UsageError
    """
    colours = [c.name for c in reasoning.traced.bit_map.colours]
    for observation in told:
        if observation.kind == "seen" and observation.where[0] not in colours:
            raise UsageError(
                f"{observation.where[0]} is no colour of this board",
                fix=f"its colours are: {', '.join(colours)}",
            )
        if observation.kind == "read":
            _check_leg(reasoning, *observation.where)
    for observation in told:
        _check_place(reasoning, observation)


def _check_leg(reasoning: Reasoning, part: str, pin: str) -> None:
    known = reasoning.likely.readable
    if (part, pin) in known:
        return
    legs = sorted((p for r, p in known if r == part), key=natural_key)
    raise UsageError(
        f"{part}.{pin} is no leg of the colour path, so a reading there says nothing of the colours",
        fix=f"the legs of {part} that it passes are: {' '.join(dict.fromkeys(legs))}"
        if legs
        else "`rgbroots levels BOARD --legs` lists the legs that it passes",
    )


def _check_place(reasoning: Reasoning, observation: Observation) -> None:
    parts = {Place((part,)) for part in reasoning.parts}
    known = {
        "beep": {place for what, place in reasoning.groups if what == "joint"},
        "ohms": {place for what, place in reasoning.groups if what in ("track", "resistor")},
        "press": parts,
        "swapped": parts,
    }
    places, asked = known.get(observation.kind), Place(observation.where)
    if places is None or asked in places:
        return
    named = sorted(map(place_text, places), key=natural_key)
    near = similar_names(place_text(asked), named) or named[:4]
    raise UsageError(
        f"{place_text(asked)} is not in the colour path, so it says nothing of the colours",
        fix=f"what can be told there is, for example: {'; '.join(near) or 'nothing of this kind'}",
    )


def faults_called(reasoning: Reasoning, words: str) -> list[tuple[str, dict[str, str]]]:
    """Faults whose name holds all the words, each with what the screen shows: colour -> word."""
    wanted = words.lower().split()
    named = (
        (fault_text(f), shown) for f, shown in zip(reasoning.faults, reasoning.likely.words, strict=True)
    )
    return [
        (name, shown) for name, shown in named if shown is not None and all(w in name.lower() for w in wanted)
    ]
