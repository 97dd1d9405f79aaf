"""Levels and leg readings as JSON: format rgbroots-levels, version 1; the one description of it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple, get_args

from tracer.base.finding_json import FINDINGS
from tracer.base.json_form import (
    ByName,
    Count,
    Document,
    Flag,
    Key,
    ListOf,
    Number,
    OrNone,
    Record,
    Text,
    Word,
)
from tracer.bitmap.json import FED_BITS
from tracer.bitmap.model import COLOUR_NAME
from tracer.levels.leg_values import Activity, LegReading, LegRole, OhmRange
from tracer.levels.values import CodeLevel, ColourLevels, LevelTable, LoadLevels
from tracer.levels.words import cause_text

__all__ = ["LEVELS", "levels_as_json"]

#: A microvolt, so that the same input gives the same bytes.
_VOLTS = Number(decimals=6)
_RANGE = OrNone(ListOf(_VOLTS, 2, 2))

_CODE = Record(
    CodeLevel,
    Key("code", Count(), "Bit 0 is the lightest."),
    Key("volts", Number()),
    Key("lowest", Number()),
    Key("highest", Number()),
)
_LOAD = Record(
    LoadLevels,
    Key("load_ohm", OrNone(Number(above=0, plain=True)), "null: none."),
    Key("levels", Count(), "How many of its voltages differ.", of="n_levels"),
    Key("monotonic", Flag(), of="is_monotonic"),
    Key("blanked_volts", OrNone(Number())),
    Key("codes", ListOf(_CODE)),
)
_COLOUR = Record(
    ColourLevels,
    Key("bits", Count(), of="n_bits"),
    Key("levels", Count(), "As in the map: of ideal outputs.", of="n_levels"),
    Key("coupled_by", ListOf(Text()), "Capacitors in the way."),
    Key("crossing", ListOf(ListOf(Count(), 2, 2)), "Codes whose order the tolerance can turn over."),
    Key("loads", ListOf(_LOAD), "Empty where the levels are not known."),
)
_OHMS = Record(
    OhmRange,
    Key("lowest", OrNone(Number(least=0))),
    Key("highest", OrNone(Number(least=0))),
)
_LEG = Record(
    LegReading,
    Key("part", Text()),
    Key("pin", Text()),
    Key("name", Text()),
    Key("net", OrNone(Text()), "null: not stated."),
    Key("role", Word(get_args(LegRole))),
    Key("feeds", FED_BITS),
    Key("reads", Word(get_args(Activity)), of="activity"),
    Key("why", Text(), of=lambda leg: cause_text(leg.cause)),
    Key("low_volts", _RANGE, of="low"),
    Key("high_volts", _RANGE, of="high"),
    Key("ohm_to_ground", OrNone(_OHMS), "null: not known; both ends null: open.", of="to_ground"),
    Key("neighbour", OrNone(Text()), "The leg of the next bit of the colour."),
    Key("ohm_to_neighbour", OrNone(_OHMS), of="to_neighbour"),
)

LEVELS = Document(
    "levels",
    "Volts at the colour pins by code, and what the legs of the path read.",
    Record(
        "Levels",
        Key("board", Text(), of=lambda whole: whole.table.board),
        Key("outputs", ListOf(Text()), "What was taken for them.", of=lambda whole: whole.table.chip_levels),
        Key("tolerance", Number(least=0), of=lambda whole: whole.table.tolerance),
        Key("colours", ByName(_COLOUR, "colour", COLOUR_NAME), of=lambda whole: whole.table.colours),
        Key("legs", ListOf(_LEG)),
        Key("findings", FINDINGS, of=lambda whole: whole.table.findings),
    ),
)


class _Levels(NamedTuple):
    table: LevelTable
    legs: Sequence[LegReading]


def levels_as_json(table: LevelTable, legs: Sequence[LegReading] = ()) -> str:
    """The levels of a board, its leg readings and findings."""
    return LEVELS.text(_Levels(table, legs))
