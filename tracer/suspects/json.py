"""Suspects and the next measurement as JSON: format rgbroots-suspects, version 1; the one description of it."""

from __future__ import annotations

from typing import get_args

from tracer.base.finding_json import FINDINGS
from tracer.base.json_form import Document, Group, Key, ListOf, Number, OrNone, Record, Text, Word
from tracer.suspects.fault import What
from tracer.suspects.observation import ANSWERS
from tracer.suspects.values import Measurement, Outcome, Suspect, SuspectFault, SuspectTable

__all__ = ["SUSPECTS", "suspects_as_json"]

_PROBABILITY = Number(least=0, most=1, decimals=6)

_FAULT = Record(
    SuspectFault,
    Key("text", Text(), "All that nothing so far tells apart."),
    Key("probability", _PROBABILITY),
)
_SUSPECT = Record(
    Suspect,
    Key("part", OrNone(Text()), "null: what is outside the path."),
    Key("type", OrNone(Text())),
    Key("place", OrNone(Text())),
    Key("what", Word(get_args(What))),
    Key("at", ListOf(Text()), "The part, or the two ends of the connection."),
    Key("pins", ListOf(Text()), "Legs that its likelier faults are about."),
    Key("probability", _PROBABILITY),
    Key("faults", ListOf(_FAULT), "Likeliest first."),
    Key("why", Text()),
)
_OUTCOME = Record(
    Outcome,
    Key("reading", Text()),
    Key("probability", _PROBABILITY),
    Key("means", Text()),
    Key("tell", Text(), "The option that tells it."),
)
_MEASUREMENT = Record(
    Measurement,
    Key("what", Text(), "In words."),
    Key("kind", Word(tuple(ANSWERS))),
    Key("ends", ListOf(Text()), "A part and a leg; a part; the two ends of a connection.", of="where"),
    Key("swept", ListOf(ListOf(Text())), "Places side by side, to be measured in one go."),
    Key(
        "where",
        Group(Key("part", OrNone(Text())), Key("pin", OrNone(Text())), Key("place", OrNone(Text()))),
    ),
    Key("minutes", Number(least=0)),
    Key("caution", Text()),
    Key("outcomes", ListOf(_OUTCOME), "Likeliest first."),
)

SUSPECTS = Document(
    "suspects",
    "What is likely to be wrong with a board's colours, and what to measure next.",
    Record(
        SuspectTable,
        Key("board", Text()),
        Key("evidence", ListOf(Text()), "As understood, oldest first."),
        Key("suspects", ListOf(_SUSPECT), "Likeliest first."),
        Key("next", ListOf(_MEASUREMENT), "The best first."),
        Key("afterwards", ListOf(Text()), "What is normal once it is cured."),
        Key("findings", FINDINGS),
    ),
)


def suspects_as_json(table: SuspectTable) -> str:
    """The whole answer."""
    return SUSPECTS.text(table)
