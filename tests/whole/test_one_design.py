"""One design in every form: the demo boards, written by the writers of the tests and read back, are the same boards.

The same pins are together in every form, whatever the nets are called. Where the form tells what the parts are and how
their pins are called, every bit comes from the same pin; where it does not tell the names (those of a connector, which
has no type to look up), the right one is among several.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from tests.writers import eagle, edif, geda, ipc356, kicad_board, kicad_xml, orcad, pads, rinf, tango, telesis
from tracer.bitmap.model import Bit, BitMap
from tracer.bitmap.model import Path as TracedPath
from tracer.importers import FORMATS, detect, parse_netlist, read_netlist
from tracer.netlist.board import Netlist, PinRef
from tracer.netlist.spots import Pad, Spot
from tracer.tracing.pipeline import trace

NETLISTS = Path(__file__).parents[2] / "netlists"
#: Boards by themselves; the two of avocet have a map only when joined.
WHOLE = ("wren", "dunlin", "plover")
FILES = (*(f"{name}/{name}" for name in WHOLE), "avocet/avocet-main", "avocet/avocet-video")


@cache
def board(name: str) -> Netlist:
    return read_netlist(NETLISTS / f"{name}.net")


#: Form, as its format is called up to a comma -> writer.
WRITERS: dict[str, Callable[[Netlist], str]] = {
    "kicad-xml": kicad_xml.write,
    "kicad-board": kicad_board.write,
    "kicad-board, KiCad 5": lambda n: kicad_board.write(n, 5),
    "edif": edif.write,
    "edif, legs in designators": lambda n: edif.write(n, designators=True),
    "eagle-schematic": eagle.write_schematic,
    "eagle-board": eagle.write_board,
    "orcad-pcb2": orcad.write,
    "tedax": geda.write_tedax,
    "protel2": tango.write_second,
    "pads": pads.write,
    "telesis": telesis.write,
    "rinf": rinf.write,
    "ipc-d-356": ipc356.write,
    "geda": geda.write,
    "tango": tango.write,
    "geda-pcb": geda.write_pcb,
}
#: The other formats, and what holds that boards in them are the same boards.
ELSEWHERE = {
    "kicad-netlist": "the boards of this test are read from it",
    "kicad-schematic": "tests/whole/test_demo_boards.py",
    "table": "tests/whole/test_demo_boards.py",
    "bench-notes": "tests/property/test_convert.py",
    "kicad-legacy": "tests/property/test_structural_formats.py",
    "verilog": "tests/property/test_structural_formats.py",
    "spice": "tests/property/test_structural_formats.py",
}
#: Forms that do not tell a resistor's value or a chip's type.
WITHOUT_MARKINGS = {"ipc-d-356", "geda", "geda-pcb"}
#: Forms that do not tell the names of pins either.
WITHOUT_NAMES = {"kicad-board, KiCad 5", "eagle-board", "orcad-pcb2", "pads", "telesis", "rinf", "tango"}


@cache
def again(form: str, name: str) -> Netlist:
    text = WRITERS[form](board(name)).replace("\r\n", "\n")
    assert detect(text, name).name == form.split(",")[0]
    return parse_netlist(text, name)


def groups(netlist: Netlist, true: Netlist) -> set[frozenset[PinRef]]:
    """The nets of the pins that a netlist states: boards and drawn sheets say of the others that they are alone."""
    stated = true.nets_of_pins.keys()
    return {frozenset(net.pins) for net in netlist.nets if stated & set(net.pins)}


@pytest.mark.parametrize("name", FILES)
@pytest.mark.parametrize("form", WRITERS)
def test_the_same_pins_are_together(form: str, name: str) -> None:
    read, true = again(form, name), board(name)
    assert groups(read, true) == groups(true, true)
    assert {part.reference for part in read.parts} == {part.reference for part in true.parts}


@pytest.mark.parametrize("name", [f"{name}/{name}" for name in WHOLE])
@pytest.mark.parametrize("form", [form for form in WRITERS if form not in WITHOUT_MARKINGS])
def test_every_bit_comes_from_the_same_pin(form: str, name: str) -> None:
    read, true = trace(again(form, name)), trace(board(name))
    assert stages(read) == stages(true)
    if form in WITHOUT_NAMES:
        for bit, known in zip(bits(read), bits(true), strict=True):
            picture = {source(path) for path in known.paths if path.role == "picture"}
            assert picture
            assert picture <= {source(path) for path in bit.paths}
    else:
        assert [ways(bit) for bit in bits(read)] == [ways(bit) for bit in bits(true)]


def bits(bit_map: BitMap) -> list[Bit]:
    return [bit for colour in bit_map.colours for bit in colour.bits]


def source(path: TracedPath) -> tuple[str | None, str | None]:
    return path.source.part, path.source.pin


def ways(bit: Bit) -> list[object]:
    return [
        (p.role, source(p), [(step.part, step.source_pin, step.target_pin) for step in p.steps])
        for p in bit.paths
    ]


def stages(bit_map: BitMap) -> list[object]:
    """Each colour's pin, and of each bit the driver and the resistors."""
    return [
        (
            (c.name, c.pin.part, c.pin.pin),
            [(b.driver.part, b.driver.pin, [(r.part, r.ohm) for r in b.resistors]) for b in c.bits],
        )
        for c in bit_map.colours
    ]


#: Forms that tell where pads lie.
DRAWN = ("kicad-board", "kicad-board, KiCad 5", "eagle-board", "ipc-d-356")
#: IPC-D-356 counts in ten-thousandths of an inch: two ends may each be half of one off, either way.
ROUNDED_MM = 0.004


def laid_out(netlist: Netlist) -> Netlist:
    """The same with its parts in rows, legs in two rows a third of an inch apart, every fifth part below."""
    parts = []
    for at, part in enumerate(netlist.parts):
        numbers = netlist.pins_of_parts[part.reference]
        half = (len(numbers) + 1) // 2
        left, top = 30.0 * (at % 8), 40.0 * (at // 8)
        pads = [
            Pad(number, left + 7.62 * (i >= half), top + 2.54 * (i if i < half else 2 * half - 1 - i))
            for i, number in enumerate(numbers)
        ]
        parts.append(replace(part, spot=Spot(tuple(pads), is_below=at % 5 == 0) if pads else None))
    return replace(netlist, parts=tuple(parts))


def pads_of(netlist: Netlist) -> dict[PinRef, tuple[float, float]]:
    return {
        PinRef(part.reference, pad.pin): (pad.x, pad.y)
        for part in netlist.parts
        if part.spot is not None
        for pad in part.spot.pads
    }


@pytest.mark.parametrize("form", DRAWN)
def test_pads_are_as_far_apart_as_on_the_board_whatever_form_it_was_read_from(form: str) -> None:
    true = laid_out(board("wren/wren"))
    text = WRITERS[form](true)
    read = pads_of(parse_netlist(text, "wren"))
    known = pads_of(true)
    assert read.keys() == known.keys()
    assert len(known) > 100
    for a, b in itertools.pairwise(known):
        assert math.dist(read[a], read[b]) == pytest.approx(math.dist(known[a], known[b]), abs=ROUNDED_MM)
    # Not turned over either: the board is seen from the component side.
    assert all(read[pin] == pytest.approx(known[pin], abs=ROUNDED_MM) for pin in known)


def test_no_format_is_left_out() -> None:
    written = {form.split(",")[0] for form in WRITERS}
    assert written | set(ELSEWHERE) == {form.name for form in FORMATS}
    assert not written & set(ELSEWHERE)


def test_there_is_something_to_compare() -> None:
    dunlin = board("dunlin/dunlin")
    assert len(groups(dunlin, dunlin)) > 100
    assert len(bits(trace(dunlin))) == 12
