"""The next touch, and how a rehearsed search went, as JSON: formats rgbroots-beep and rgbroots-rehearsal, version 1."""

from __future__ import annotations

from tracer.base.json_form import (
    Count,
    Document,
    Flag,
    Key,
    ListOf,
    Number,
    OrNone,
    Record,
    Text,
    Whole,
    Word,
)
from tracer.beeps.rehearsal_values import Rehearsed
from tracer.beeps.values import CAUTION, ChipGuess, Contradiction, NextTouch, Progress, SweepLeg, TouchAdvice
from tracer.bitmap.json import MAP

__all__ = ["BEEP", "REHEARSAL", "advice_as_json", "rehearsal_as_json"]

_CHANCE = Number(least=0, most=1)

_LEG = Record(
    SweepLeg,
    Key("part", Text()),
    Key("pin", Text()),
    Key("name", Text()),
    Key("chance", _CHANCE, "That it beeps."),
)
_TOUCH = Record(
    NextTouch,
    Key("kind", Word(("find", "repeat"))),
    Key("held", Text(), "Where one lead stays."),
    Key("held_words", Text()),
    Key("legs", ListOf(_LEG), "In the order to touch them; stop at the first that beeps."),
    Key("sweep_words", Text()),
    Key("why", Text()),
    Key("if_beep", Text()),
    Key("if_none", Text()),
    Key("ohms", Text(), "Why to read the ohms of a beep too; empty where a beep is a beep."),
)
_PROGRESS = Record(
    Progress,
    Key("connections", Count()),
    Key("open", Count()),
    Key("bits_closed", Count()),
    Key("bits", Count()),
    Key("touches", Count()),
    Key("touches_left", Number(least=0)),
    Key("minutes_left", Number(least=0, decimals=1)),
)
_CHIP = Record(
    ChipGuess,
    Key("part", Text()),
    Key("type", Text()),
    Key("place", Text()),
    Key("does", Text()),
    Key("chance", _CHANCE),
    Key("why", Text()),
)
_CONTRADICTION = Record(
    Contradiction,
    Key("text", Text()),
    Key("lines", ListOf(Text()), "Of the notes, on which it rests."),
)

BEEP = Document(
    "beep",
    "What to touch next on a board that is not fully known.",
    Record(
        TouchAdvice,
        Key("caution", Text(), of=lambda _: CAUTION),
        Key("board", Text()),
        Key("next", OrNone(_TOUCH), "null: nothing is left to touch."),
        Key("progress", _PROGRESS),
        Key("chips", ListOf(_CHIP), "That may be part of the colour path."),
        Key("contradictions", ListOf(_CONTRADICTION)),
        Key("unknown", ListOf(Text())),
        Key("stopped", ListOf(Text())),
        Key("untouched", ListOf(Text()), "Legs that were not tried on every colour pin."),
        Key("unsure", Text()),
    ),
)

REHEARSAL = Document(
    "rehearsal",
    "How a search by beeps went on a board that is known.",
    Record(
        Rehearsed,
        Key("touches", Count()),
        Key("connections", Count()),
        Key("plain_touches", Count(), "Of someone with the same part list who sweeps leg by leg."),
        Key("plain_knowing", Count(), "The same of someone who knows which chips are in the path."),
        Key("entropy_bits", Number(least=0, decimals=1), "log2 of the number of maps that fit."),
        Key("map_right", Flag()),
        Key("misread", Count(), "Touches that were misread on purpose."),
        Key("located", Count(), "Parts of which the search knew where they sit; 0: places were not used."),
        Key("open", ListOf(Text()), "Ends for which nothing was found.", of="stopped"),
        Key("map", OrNone(Whole(MAP)), "What the beeps gave."),
    ),
)


def advice_as_json(advice: TouchAdvice) -> str:
    """What to touch next, why, and how far along the search is."""
    return BEEP.text(advice)


def rehearsal_as_json(rehearsed: Rehearsed) -> str:
    """Touches, the plain way beside them, and whether the map came out right."""
    return REHEARSAL.text(rehearsed)
