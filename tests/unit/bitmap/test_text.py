"""What sets an address line, in words."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from tracer.bitmap.model import Driver, IndexLine, SetBy
from tracer.bitmap.older import fill_in
from tracer.bitmap.text import driven_by_text

MUX = Driver("U11", "74x157", "4", "1Y", "74LS157")
LATCH = Driver("U2", "74x174", "2", "1Q")
NAMELESS = Driver("U3", "CUS-14", "7", "")
EDGE = Driver("J2", "edge", "5", "AB3")

WORDS: list[tuple[SetBy, int | None, tuple[Driver, ...], str | None, str]] = [
    ("rail", 0, (), None, "tied low"),
    ("rail", 1, (), None, "tied high"),
    ("pull", 0, (), None, "pulled low"),
    ("pull", 1, (), None, "pulled high"),
    ("nothing", None, (), None, "nothing"),
    ("not stated", None, (), None, "not stated"),
    ("output", None, (MUX,), None, "U11.4 (74LS157 1Y)"),
    ("output", None, (NAMELESS,), None, "U3.7 (CUS-14)"),
    ("output", None, (MUX, LATCH, NAMELESS), None, "U11.4 (74LS157 1Y), U2.2 (74x174 1Q), U3.7 (CUS-14)"),
    (
        "output",
        None,
        (MUX, LATCH, NAMELESS, MUX, MUX),
        None,
        "U11.4 (74LS157 1Y), U2.2 (74x174 1Q), U3.7 (CUS-14), and 2 more",
    ),
    ("output", None, (MUX,), "R7", "U11.4 over R7"),
    ("connector", None, (EDGE,), None, "J2.5 (connector)"),
]


@pytest.mark.parametrize(("set_by", "level", "drivers", "over", "words"), WORDS)
def test_what_sets_a_line_is_worded_from_its_fields(
    set_by: SetBy, level: int | None, drivers: tuple[Driver, ...], over: str | None, words: str
) -> None:
    assert driven_by_text(IndexLine("5", "A0", "MA0", set_by, level, drivers, over)) == words


@pytest.mark.parametrize(("set_by", "level", "drivers", "over", "words"), WORDS)
def test_a_map_without_those_fields_gives_them_by_its_words(
    set_by: SetBy, level: int | None, drivers: tuple[Driver, ...], over: str | None, words: str
) -> None:
    # Those maps called a chip by the library's type.
    words, drivers = words.replace("74LS157", "74x157"), tuple(replace(d, sold_as=d.type) for d in drivers)
    line: dict[str, Any] = {"pin": "5", "name": "A0", "net": "MA0", "driven_by": words}
    fill_in({"index": [{"part": "U4", "lines": [line]}]})
    assert (line["set_by"], line["level"], line["over"]) == (set_by, level, over)
    legs = [Driver(**leg) for leg in line["drivers"]]
    # Of a connector and of what lies behind a resistor the words name the leg alone; of many outputs the first three.
    if set_by == "connector" or over is not None:
        drivers = tuple(Driver(leg.part, "", leg.pin, "") for leg in drivers)
    assert legs == list(drivers[:3])
