"""A net's name that a program made holds names of parts and pins, and none of these is a colour, a supply or sync.

Boards are traced with made names that are full of such words, and the result is what it is without them.
"""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from tests.boards import NETLISTS, board
from tests.unit.tracing.test_idioms import CASES, report
from tests.whole.test_demo_boards import BOARDS
from tracer.base.errors import ColourPinError
from tracer.bitmap.json import emit
from tracer.card.chips import connector_views
from tracer.circuit.graph import build_circuit
from tracer.importers import read_netlist
from tracer.levels.legs import read_legs
from tracer.netlist.board import Netlist, make_netlist
from tracer.netlist.join import join_boards, parse_join
from tracer.parts.library import load_library
from tracer.tracing.pipeline import trace, trace_fully

#: As a name of a pin: colours, bits of colours, supplies, sync and blanking, a net's path.
WORDS = (
    "R",
    "GREEN",
    "B0",
    "GND",
    "+5V",
    "R3",
    "CSYNC",
    "RED_2",
    "VCC",
    "BLANK",
    "VIDEO_B",
    "/video/BLUE",
    "0V",
)
#: How programs write it: number of the net and a word.
FORMS = ("Net-(Z{:03}-{})", "NET-(Z{:03}-{})", "Net-_Z{:03}-{}_", "$abc${:03}${}")


def with_made_names(netlist: Netlist, form: str, words: tuple[str, ...]) -> Netlist:
    """The board with other words in every name that a program made, in the order in which they were."""
    nets = [
        net if net.is_named else (form.format(number, words[number % len(words)]), net.pins, net.origin)
        for number, net in enumerate(netlist.nets)
    ]
    return make_netlist(netlist.name, netlist.parts, nets, inputs=netlist.inputs, findings=netlist.findings)


@pytest.mark.parametrize("case", CASES, ids=lambda p: p.stem)
def test_no_word_in_a_made_name_changes_what_a_board_does(case: Path) -> None:
    text, expected = case.read_text(encoding="utf-8").split("\n----\n")
    drawn = board(text.partition("\n")[2], case.stem)
    for start, form in enumerate(FORMS):
        words = WORDS[3 * start :] + WORDS[: 3 * start]
        assert report(trace(with_made_names(drawn, form, words))) == expected, form


def demo(name: str) -> Netlist:
    if name != "avocet":
        return read_netlist(NETLISTS / name / f"{name}.net")
    halves = {n: read_netlist(NETLISTS / name / f"avocet-{n}.net") for n in ("main", "video")}
    return join_boards(halves, [parse_join("main:J3=video:J1")])


def everything(netlist: Netlist, form: str, words: tuple[str, ...]) -> list[str]:
    """Map, legs and connectors, with the names that were made left out."""
    traced = trace_fully(with_made_names(netlist, form, words))
    bit_map = replace(traced.bit_map, inputs=())
    said = [
        emit(bit_map),
        str(read_legs(traced)),
        str(connector_views(bit_map, traced.circuit)),
        str(traced.circuit.rails),
    ]
    numbers = re.escape(form).replace(r"\{:03\}", r"(\d{3})").replace(r"\{\}", rf"(?:{_one_of(words)})")
    return [re.sub(numbers, r"made \1", text) for text in said]


def _one_of(words: tuple[str, ...]) -> str:
    return "|".join(sorted(map(re.escape, words), key=len, reverse=True))


@pytest.mark.parametrize("name", BOARDS)
def test_no_word_in_a_made_name_changes_a_demo_board(name: str) -> None:
    netlist = demo(name)
    for form in FORMS[:2]:
        assert everything(netlist, form, WORDS) == everything(netlist, form, ("X",))


def test_three_made_names_are_no_colours() -> None:
    """Without a connector the colours are found by the names of nets, if a person gave them."""
    parts = "part U1 82S123\npart R1 1k\npart R2 1k\npart R3 1k\nU1.1 R1.1\nU1.2 R2.1\nU1.3 R3.1\nGND: U1.8\n"
    named = trace(board(parts + "VIDEO_R: R1.2\nVIDEO_G: R2.2\nVIDEO_B: R3.2"))
    assert [c.pin.found_by for c in named.colours] == ["name"] * 3
    with pytest.raises(ColourPinError, match="no red, green and blue pins were found"):
        trace(board(parts + "NET-(U5-R): R1.2\nNET-(U5-G): R2.2\nNET-(U5-B): R3.2"))


def test_a_counters_bit_called_5v_is_no_supply_on_a_joined_board() -> None:
    """Lines of a picture's counter are called 1V, 2V, 4V ... and 5V too; the board's name in front changes nothing."""
    drawn = board("part U1 74LS161\npart U2 74LS04\n5V: U1.14 U2.1\nGND: U1.8 U2.7\nVCC: U1.16 U2.14")
    alone, joined = (rails_of(b) for b in (drawn, join_boards({"A": drawn, "B": board("X: J1.1 J2.1")}, [])))
    assert alone == {"GND", "VCC"}
    assert joined == {"A:GND", "A:VCC"}


def rails_of(netlist: Netlist) -> set[str]:
    return set(build_circuit(netlist, load_library()).rails)
