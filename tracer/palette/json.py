"""A palette as JSON: format rgbroots-palette, version 1; the one description of it. Same input, same bytes."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from tracer.base.finding_json import FINDINGS
from tracer.base.json_form import ByName, Count, Document, Flag, Key, ListOf, Number, OrNone, Record, Text
from tracer.bitmap.json import FED_BITS
from tracer.bitmap.model import COLOUR_NAME
from tracer.palette.values import (
    Difference,
    Entry,
    EntryBit,
    LegDifference,
    Palette,
    PaletteColour,
    PaletteMemory,
    Sought,
    as_hex,
)

__all__ = ["PALETTE", "emit"]


class _Inside(NamedTuple):
    """A value with the palette that it is of: codes and volts stand under the names of that one's colours."""

    palette: Palette
    value: Any

    def by_colour(self, values: tuple[Any, ...]) -> Iterator[tuple[str, Any]]:
        return zip((colour.name for colour in self.palette.colours), values, strict=True)


def _inside(palette: Palette, value: object | None) -> _Inside | None:
    return None if value is None else _Inside(palette, value)


def _entries(palette: Palette) -> list[_Inside]:
    return [_Inside(palette, entry) for entry in palette.entries]


_HEX = Text("#[0-9a-f]{6}")
_CODES = ByName(Count(), names=COLOUR_NAME)
#: A microvolt, so that the same input gives the same bytes.
_VOLTS = ByName(OrNone(Number(decimals=6)), names=COLOUR_NAME)

_COLOUR = Record(
    PaletteColour,
    Key("bits", Count(), of="n_bits"),
)
_MEMORY = Record(
    PaletteMemory,
    Key("part", Text()),
    Key("type", Text()),
    Key("place", OrNone(Text())),
    Key("depth", Count(), "Words."),
    Key("width", Count(), "Bits of a word."),
    Key("file", Text()),
    Key("form", Text()),
    Key("sha256", Text("([0-9a-f]{64})?")),
)
_ENTRY_BIT = Record(
    EntryBit,
    Key("bit", Count()),
    Key("legs", ListOf(Text())),
    Key("net", OrNone(Text()), "null: not stated."),
    Key("driven_by", Text(), "What sets it, in words."),
)
_ENTRY = Record(
    Entry,
    Key("entry", Count(), "Levels of the address lines that change, A0 first.", of=lambda x: x.value.entry),
    Key("codes", _CODES, "Bit 0 is the lightest.", of=lambda x: x.by_colour(x.value.codes)),
    Key("volts", _VOLTS, "null: not known.", of=lambda x: x.by_colour(x.value.volts)),
    Key("colour", _HEX, of=lambda x: x.value.colour),
)
_OTHER_DUMP = Record(
    "OtherDump",
    Key("part", Text(), of=lambda pair: pair[0]),
    Key("file", Text(), of=lambda pair: pair[1]),
)
_LEG_DIFFERENCE = Record(
    LegDifference,
    Key("part", Text()),
    Key("pin", Text()),
    Key("name", Text()),
    Key("feeds", FED_BITS),
    Key("entries", Count(), "In how many it differs.", of="n_entries"),
    Key("level", OrNone(Count(most=1)), "The one that the other dump has everywhere; null: it has both."),
)
_TWO_ENTRIES = Record(
    "TwoEntries",
    Key("entry", Count(), of=lambda two: two[0].value.entry),
    Key("given", _ENTRY, of=lambda two: two[0]),
    Key("other", _ENTRY, of=lambda two: two[1]),
)
_DIFFERENCE = Record(
    Difference,
    Key("other", ListOf(_OTHER_DUMP), of=lambda x: x.value.files),
    Key("legs", ListOf(_LEG_DIFFERENCE), of=lambda x: x.value.legs),
    Key(
        "entries",
        ListOf(_TWO_ENTRIES),
        of=lambda x: [[_Inside(x.palette, one) for one in two] for two in x.value.pairs],
    ),
    Key("unseen_words", Count(), "Of which no colour is read.", of=lambda x: x.value.n_unseen_words),
)
_WORD = Record(
    "MemoryWord",
    Key("part", Text(), of=lambda word: word[0]),
    Key("bits", Text("[01-]*"), "Heaviest first; - feeds no colour.", of=lambda word: word[1]),
)
_SOUGHT = Record(
    Sought,
    Key("asked", _HEX, of=lambda x: as_hex(x.value.asked)),
    Key("nearest", _HEX, "That the board can show.", of=lambda x: as_hex(x.value.shown)),
    Key("exact", Flag(), of=lambda x: x.value.is_exact),
    Key("codes", _CODES, of=lambda x: x.by_colour(x.value.codes)),
    Key("words", ListOf(_WORD), of=lambda x: x.value.words),
    Key("entries", ListOf(Count()), "Those that show it.", of=lambda x: x.value.entries),
    Key("nearest_entries", ListOf(Count()), "Where none does.", of=lambda x: x.value.nearest),
    Key(
        "nearest_entries_colour",
        OrNone(_HEX),
        of=lambda x: as_hex(x.value.nearest_shown) if x.value.nearest_shown else None,
    ),
)

PALETTE = Document(
    "palette",
    "The colours that the contents of a board's memories show.",
    Record(
        Palette,
        Key("board", Text()),
        Key("load_ohm", OrNone(Number(above=0, plain=True)), "The monitor's input in ohms; null for none."),
        Key("colours", ByName(_COLOUR, "name", COLOUR_NAME)),
        Key("memories", ListOf(_MEMORY)),
        Key("index", ListOf(_ENTRY_BIT), "Bits of an entry's number, lightest first."),
        Key("different_colours", Count(), of="n_distinct"),
        Key("entries", ListOf(_ENTRY), of=_entries),
        Key("difference", OrNone(_DIFFERENCE), of=lambda palette: _inside(palette, palette.difference)),
        Key("sought", OrNone(_SOUGHT), of=lambda palette: _inside(palette, palette.sought)),
        Key("findings", FINDINGS),
    ),
)


def emit(palette: Palette) -> str:
    """The palette as JSON text."""
    return PALETTE.text(palette)
