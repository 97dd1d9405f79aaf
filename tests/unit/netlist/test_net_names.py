"""Which names of nets a person gave: what programs make up says neither a colour nor a supply.

The forms that programs make: KiCad's from netlists, boards and exports of its demos, Lepton's from its keylist, yosys'
from netlists that it writes; those of Eagle, Protel, PADS, OrCAD and KiCad before 2013 from memory.
"""

from __future__ import annotations

import pytest

from tracer.netlist.board import Net, PinRef, make_netlist
from tracer.netlist.net_names import is_made, is_no_connect, name_of_alone, name_of_joined, says_alone
from tracer.netlist.rail_names import named_rail

PIN = PinRef("U5", "R")

#: As programs write it -> who does.
MADE = {
    "Net-(U5-R)": "KiCad 7 and later, after a pin's name",
    "Net-(RN3A-R1.1)": "KiCad, a section of a pack",
    "Net-(U5-Pad3)": "KiCad 5 and 6",
    "Net-(U5-A/B)": "a pin's name with a slash",
    "Net-(U5-+5V)_1": "KiCad, a second net of one name",
    "NET-(U5-GND)": "KiCad's Telesis, in upper case",
    "Net-_U5-R_": "KiCad's SPICE, without brackets",
    "unconnected-(U5-BLUE-Pad3)": "KiCad, a pin joined to nothing",
    "N-000012": "KiCad before 2013",
    "N$12": "Eagle",
    "N$12_": "Eagle, a second net of one name",
    "MODULE:N$3": "Eagle, in a module",
    "/video/N$3": "on a sheet",
    "NetU5_R": "Protel, Altium",
    "unnamed_net7": "Lepton",
    "$$$1234": "PADS",
    "$1N77": "Mentor",
    "N00123": "OrCAD",
    "$abc$2874$new_n24_": "yosys with abc",
    "_0123_": "yosys",
    "_12_[3]": "yosys, a wire of a bundle",
}

GIVEN = [
    "RED", "/video/RED", "R", "VCC", "+5V", "N", "N1", "N100", "NET_RED", "NETWORK", "Network_1", "NetRed_1", "NetU9_1",
    "net-red", "unnamed", "_RED_", "RED_2", "$RD", "D$1", "1", "unconnected", "N/C",
]  # fmt: skip


@pytest.mark.parametrize("name", MADE)
def test_a_name_that_a_program_made_says_nothing(name: str) -> None:
    [net] = make_netlist("b", [], [(name, [PIN], None)]).nets
    assert not net.is_named
    assert net.given_name == ""
    assert named_rail(net) is None


@pytest.mark.parametrize("name", GIVEN)
def test_a_name_that_a_person_gave(name: str) -> None:
    [net] = make_netlist("b", [], [(name, [PIN], None)]).nets
    assert net.is_named
    assert net.given_name


def test_the_name_without_its_sheets() -> None:
    assert Net("/video/{slash}RED", ()).given_name == "/RED"


def test_a_name_after_a_pin_of_the_net_alone() -> None:
    """``NetU5_R`` is Protel's for a net with the leg R of U5 on it, and a person's word elsewhere."""
    assert is_made("NetU5_R", [PinRef("U1", "2"), PIN])
    assert not is_made("NetU5_R", [PinRef("U1", "2")])


@pytest.mark.parametrize("pin", [PIN, PinRef("A:RN3", "R1.1"), PinRef("X", "")])
def test_the_names_that_we_make_ourselves(pin: PinRef) -> None:
    assert is_made(name_of_joined(pin), [])
    assert is_made(name_of_alone(pin), [])
    assert says_alone(name_of_alone(pin))
    assert not says_alone(name_of_joined(pin))


def test_a_net_that_one_input_names_is_named() -> None:
    told = [Net("X", (PIN,), is_named=False), Net("X", (PinRef("U1", "2"),))]
    for nets in (told, told[::-1]):
        [net] = make_netlist("b", [], nets).nets
        assert net.is_named
        assert len(net.pins) == 2


@pytest.mark.parametrize("word", ["", " ", "N/C", "n/c", "NC", "n.c.", "?", "-", "open", "No Connect"])
def test_words_for_no_connection(word: str) -> None:
    assert is_no_connect(word)
    assert says_alone(word)


@pytest.mark.parametrize(
    "word", ["NC1", "NCO", "N", "open1", "GND", "unconnected", "Net-(U1-Pad3)", "--", "0"]
)
def test_names_that_are_connections(word: str) -> None:
    assert not is_no_connect(word)
    assert not says_alone(word)
