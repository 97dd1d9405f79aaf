"""Evidence as bench notes hold it: what `tracer.suspects.evidence` reads back to the same observation."""

from __future__ import annotations

from collections.abc import Mapping

from tracer.netlist.note_words import evidence_line
from tracer.netlist.notes import Evidence
from tracer.suspects.observation import Observation, ObservationKind

__all__ = ["NOTED_KINDS", "OF_ALL", "note_line", "noted"]

#: Kind of a measurement -> that of its evidence.
NOTED_KINDS: Mapping[ObservationKind, str] = {
    "seen": "seen", "appears": "seen", "read": "read", "beep": "measured", "ohms": "measured", "press": "pressed",
    "swapped": "swapped", "exchanged": "exchanged",
}  # fmt: skip
#: Of the whole picture: said, and denied.
OF_ALL: Mapping[tuple[ObservationKind, str], tuple[str, str]] = {
    ("warmth", "changes"): ("when warm", "warm or cold"),
    ("layer", "one"): ("only one layer", "all layers"),
    ("shapes", "right"): ("shapes right", "shapes broken"),
    ("shapes", "broken"): ("shapes broken", "shapes right"),
}


def noted(observation: Observation) -> Evidence:
    """The piece of evidence that says so."""
    kind, where, word = observation.kind, observation.where, observation.word
    if kind in ("warmth", "layer", "shapes"):
        return Evidence("seen", (), OF_ALL[kind, word][observation.is_denied])
    deny = "not " if observation.is_denied else ""
    if kind == "seen":
        return Evidence("seen", (), f"{where[0]} {deny}{word}")
    if kind == "appears":
        return Evidence("seen", (), f"{where[0]} {deny}as {word}")
    if kind == "read":
        where = (".".join(where),)
    if where[-1] == "ground":
        # A word that the notes keep for itself: it is no part.
        return Evidence(NOTED_KINDS[kind], where[:1], f"to ground, {deny}{word}")
    return Evidence(NOTED_KINDS[kind], where, deny + word)


def note_line(observation: Observation) -> str:
    """One line of notes: ``measured U9.17 to U13.18 no beep``."""
    return evidence_line(noted(observation))
