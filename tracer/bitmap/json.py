"""The map as JSON, format ``rgbroots-map``, version 1: the one description of the saved form.

`emit` writes by it, `tracer.bitmap.read` reads by it, and ``map.schema.json`` beside this module is made from it
(``python -m tests.schemas``). Keys stand in this order, lists in the order of the map, there are no timestamps: the
same board gives the same bytes, and a map that is read back is the map that was saved.
"""

from __future__ import annotations

from typing import get_args

from tracer.base.finding_json import FINDINGS_WITH_CODES
from tracer.base.json_form import (  # fmt: skip
    ByName,
    Count,
    Document,
    Flag,
    Group,
    Key,
    ListOf,
    Number,
    OrNone,
    Record,
    Text,
    Word,
)
from tracer.bitmap.model import (
    COLOUR_NAME,
    Bit,
    BitMap,
    Chip,
    Colour,
    ColourPin,
    ColourState,
    Control,
    Driver,
    FoundBy,
    IndexLine,
    MemoryIndex,
    Path,
    Role,
    SetBy,
    Source,
    SourceKind,
    StageResistor,
    Step,
    When,
)
from tracer.bitmap.text import driven_by_text, status_text
from tracer.netlist.board import Input

__all__ = ["FED_BITS", "INPUT", "MAP", "emit"]

INPUT = Record(
    Input,
    Key("file", Text()),
    Key("format", Text()),
    Key("sha256", Text("[0-9a-f]{64}")),
)
#: Pairs of a colour's name and a bit, as other documents list them.
FED_BITS = ListOf(
    Record(
        "FedBit",
        Key("colour", Text(), of=lambda fed: fed[0]),
        Key("bit", Count(), of=lambda fed: fed[1]),
    )
)
_SOLD_AS = Key(
    "sold_as", Text(), "What to buy: the type with its family, or the type where that is not known."
)
_DRIVER = Record(
    Driver,
    Key("part", Text()),
    Key("type", Text()),
    _SOLD_AS,
    Key("pin", Text()),
    Key("name", Text()),
)
_SOURCE = Record(
    Source,
    Key("part", OrNone(Text())),
    Key("type", OrNone(Text())),
    Key("sold_as", OrNone(Text())),
    Key("pin", OrNone(Text())),
    Key("name", Text()),
    Key("kind", Word(get_args(SourceKind))),
    Key("place", OrNone(Text())),
)
_WHEN = Record(
    When,
    Key("part", Text()),
    Key("pin", Text()),
    Key("name", Text()),
    Key("level", Count(most=1)),
)
_CONTROL = Record(
    Control,
    Key("pin", Text()),
    Key("name", Text()),
    Key("net", OrNone(Text())),
)
_STEP = Record(
    Step,
    Key("part", Text()),
    Key("type", Text()),
    _SOLD_AS,
    Key("from", Text(), "The pin that data enters by.", of="source_pin"),
    Key("to", Text(), "The pin that data leaves by.", of="target_pin"),
    Key("how", Text()),
    Key("inverts", Flag()),
    Key("controls", ListOf(_CONTROL)),
)
_PATH = Record(
    Path,
    Key("role", Word(get_args(Role))),
    Key("when", ListOf(_WHEN), "Levels under which the path is open."),
    Key("steps", ListOf(_STEP), "From the driver back."),
    Key("source", _SOURCE),
    Key("because", OrNone(Text()), "Why the path ends where it does, when that is no memory."),
)
_RESISTOR = Record(
    StageResistor,
    Key("part", Text()),
    Key("ohm", OrNone(Number(least=0, plain=True)), "null: the value is not known."),
)
_BIT = Record(
    Bit,
    Key("bit", Count(), "0 is the lightest."),
    Key(
        "weight",
        Number(least=-1, most=1),
        "Share of the colour's full scale; negative where a high at the driver darkens it.",
    ),
    Key("resistors", ListOf(_RESISTOR)),
    Key("driver", _DRIVER),
    Key("status", Word(("traced", "stopped")), of=status_text, told_twice=True),
    Key("because", OrNone(Text()), "Why the bit is not traced.", of=lambda bit: bit.because),
    Key("paths", ListOf(_PATH, least=1)),
    rules={
        "oneOf": [
            {"properties": {"status": {"const": "traced"}, "because": {"type": "null"}}},
            {"properties": {"status": {"const": "stopped"}, "because": {"type": "string"}}},
        ]
    },
)
_COLOUR_PIN = Record(
    ColourPin,
    Key("part", OrNone(Text()), "null: no connector is drawn."),
    Key("pin", OrNone(Text())),
    Key("name", Text()),
    Key("net", Text()),
    Key("found_by", Word(get_args(FoundBy))),
)
_STATE = Record(
    ColourState,
    Key("when", ListOf(_WHEN)),
    Key("levels", Count(), "0: not known."),
    Key("bits", ListOf(_BIT), "Heaviest first."),
)
_COLOUR = Record(
    Colour,
    Key("pin", _COLOUR_PIN),
    Key("levels", Count(), "0: not known."),
    Key("bits", ListOf(_BIT), "Heaviest first."),
    Key("when", ListOf(_WHEN), "Levels under which an analogue selector shows these bits."),
    Key("states", ListOf(_STATE), "What it shows else, each a whole set of bits."),
)
_CHIP = Record(
    Chip,
    Key("part", Text()),
    Key("type", Text()),
    _SOLD_AS,
    Key("place", OrNone(Text())),
    Key("does", Text()),
    Key("feeds", ByName(ListOf(Count()), names=COLOUR_NAME), "Bits of each colour that pass it."),
)
_INDEX_LINE = Record(
    IndexLine,
    Key("pin", Text()),
    Key("name", Text()),
    Key("net", OrNone(Text()), "null: not stated."),
    Key("driven_by", Text(), "What sets it, in words.", of=driven_by_text),
    Key("set_by", Word(get_args(SetBy))),
    Key("level", OrNone(Count(most=1)), "At which a rail or a pull holds it; null where it can change."),
    Key("drivers", ListOf(_DRIVER), "The outputs, or the connector's pin."),
    Key("over", OrNone(Text()), "The part through which the outputs reach it, if not straight."),
)
_MEMORY_INDEX = Record(
    MemoryIndex,
    Key("part", Text()),
    Key("lines", ListOf(_INDEX_LINE)),
)
_BIT_MAP = Record(
    BitMap,
    Key(
        "board",
        Group(
            Key("name", Text()),
            Key("inputs", ListOf(INPUT)),
            Key("parts", Count(), of="n_parts"),
            Key("nets", Count(), of="n_nets"),
        ),
    ),
    Key("load_ohm", OrNone(Number(above=0, plain=True)), "The monitor's input in ohms; null for none."),
    Key(
        "colours",
        ByName(_COLOUR, "name", COLOUR_NAME),
        "red, green, blue, and further ones that were told.",
    ),
    Key("chips", ListOf(_CHIP)),
    Key("index", ListOf(_MEMORY_INDEX), "Address lines of the memories that hold the colours."),
    Key("colours_possible", Count(), "0: not known."),
    Key("colours_at_once", Count()),
    Key("findings", FINDINGS_WITH_CODES),
)

MAP = Document(
    "map",
    "Which memory pin feeds which bit of which colour of a raster-video board.",
    _BIT_MAP,
    indent=2,
)


def emit(bit_map: BitMap) -> str:
    """The map as JSON text."""
    return MAP.text(bit_map)
