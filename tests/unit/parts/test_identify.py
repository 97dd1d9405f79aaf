"""What a placed part is, where its words point two ways."""

from __future__ import annotations

import pytest

from tracer.netlist.board import Part, Pin
from tracer.parts.identify import Identified, identify
from tracer.parts.library import load_library


@pytest.mark.parametrize("symbol", ["S11", "S15", "LS00", "6116", "HC04"])
def test_a_resistor_is_one_whatever_chip_its_symbol_is_named_like(symbol: str) -> None:
    known = identify(Part("R1", "220", symbol=symbol), ("1", "2"), load_library(), frozenset())
    assert (known.kind, known.ohm) == ("resistor", 220.0)


def test_a_chip_called_r_with_its_legs_is_a_chip() -> None:
    legs = tuple(str(i) for i in range(1, 25))
    assert identify(Part("R3", "6116", symbol="6116"), legs, load_library(), frozenset()).kind == "ram"


def known(reference: str, marking: str, legs: str, symbol: str = "", supplies: str = "") -> Identified:
    """A part with legs written ``1=IN 2 3=OUT:output``."""
    pins, numbers = [], []
    for word in legs.split():
        number, _, rest = word.partition("=")
        name, _, kind = rest.partition(":")
        numbers.append(number)
        if rest:
            pins.append(Pin(number, name, kind))
    part = Part(reference, marking, symbol=symbol, pins=tuple(pins))
    return identify(part, tuple(numbers), load_library(), frozenset(supplies.split()))


@pytest.mark.parametrize(
    ("marking", "sold_as"),
    [
        ("SN74LS273N", "74LS273"),
        ("74xx273", "74x273"),
        ("SN7404N", "7404"),
        ("74HCT04", "74HCT04"),
        ("6116", "6116"),
    ],
)
def test_a_chip_is_sold_by_its_family_and_number(marking: str, sold_as: str) -> None:
    legs = tuple(str(i) for i in range(1, 25 if marking == "6116" else 15 if "04" in marking else 21))
    found = identify(Part("U1", marking), legs, load_library(), frozenset())
    assert (found.known_by, found.sold_as) == ("library", sold_as)


def ways(found: Identified) -> list[tuple[str, str]]:
    return [(arc.source, arc.target) for arc in found.type.arcs]


@pytest.mark.parametrize(
    ("reference", "marking", "ohm"),
    [
        ("RV43", "22K", 22e3), ("VR1", "470", 470), ("VR2", "101", 100), ("P1", "10k", 10e3), ("R7", "1k", 1e3),
        ("TR1", "4k7", 4700), ("VOL1", "B10K", 10e3), ("RV2", "B103", 10e3), ("SVR1", "1kB", 1e3), ("RV9", "", None),
    ],
)  # fmt: skip
def test_three_legs_and_a_resistance_are_a_trimmer(reference: str, marking: str, ohm: float | None) -> None:
    """Letters of references: common practice, no source."""
    found = known(reference, marking, "1 2 3")
    assert (found.kind, found.ohm) == ("trimmer", ohm)
    assert not any(found.type.drives(number) for number in "123")


@pytest.mark.parametrize(("legs", "ohm"), [("1 3", 470.0), ("1 2", 235.0), ("2 3", 235.0)])
def test_a_trimmer_with_a_leg_on_no_net_is_still_one(legs: str, ohm: float) -> None:
    """Between its ends it is whole; from an end to the wiper it is taken as half."""
    found = known("VR1", "470", legs)
    assert (found.kind, [arc.ohm for arc in found.type.arcs]) == ("trimmer", [ohm])
    assert [f.code for f in found.findings] == ([] if legs == "1 3" else ["trimmer-middle"])


@pytest.mark.parametrize(
    ("reference", "marking", "kind"),
    [("VR1", "LM7805", "power"), ("VR1", "7805", "power"), ("TR1", "2SC1815", "transistor"), ("RN1", "1k", "resistor pack"),
     ("P1", "AUDIO", "connector"), ("R1", "1k", "trimmer")],
)  # fmt: skip
def test_three_legs_alone_are_none(reference: str, marking: str, kind: str) -> None:
    assert known(reference, marking, "1 2 3").kind == kind


@pytest.mark.parametrize(
    ("legs", "supplies", "joined"),
    [
        ("1 2 3", "2", [("1", "3")]),
        ("1 2 3", "3", [("1", "2")]),
        ("1=IN 2=OUT 3=G", "", [("1", "2")]),
        ("IN OUT G", "", [("IN", "OUT")]),
        ("1 2 3 4", "2 4", [("1", "3")]),
        ("1=IN1 2=IN2 3=OUT2 4=OUT1", "", [("1", "4"), ("2", "3")]),
        ("1 2 3", "", [("1", "3")]),
    ],
)
@pytest.mark.parametrize(
    ("reference", "marking"), [("FL1", "NFM61R"), ("FB3", "DSS306-55"), ("EMI1", "FILTER")]
)
def test_a_filter_passes_its_signal_past_its_ground(
    reference: str, marking: str, legs: str, supplies: str, joined: list[tuple[str, str]]
) -> None:
    found = known(reference, marking, legs, supplies=supplies)
    assert ways(found) == joined
    nothing_says = legs == "1 2 3" and not supplies
    assert [f.code for f in found.findings] == (["way-assumed"] if nothing_says else [])


def test_legs_of_a_diode_that_are_called_a_and_k_tell_its_way() -> None:
    assert ways(known("D1", "1N4148", "A K")) == [("A", "K")]
    assert ways(known("D1", "1N4148", "1 2")) == [("2", "1")]


@pytest.mark.parametrize(
    ("marking", "kind", "joined"),
    [
        ("jumper 1-2", "link", [("1", "2")]),
        ("Jumper 2-3", "link", [("2", "3")]),
        ("switch 1-4, 2-3", "link", [("1", "4"), ("2", "3")]),
        ("jumper open", "link", []),
        ("connector", "connector", []),
        ("plug", "connector", []),
        ("header", "connector", []),
        ("other", "other", []),
        ("cpu", "cpu", []),
        ("custom", "custom", []),
    ],
)
def test_a_kind_can_be_told_in_a_word(marking: str, kind: str, joined: list[tuple[str, str]]) -> None:
    found = known("U5", marking, "1 2 3 4")
    assert (found.kind, ways(found), found.findings) == (kind, joined, ())


def test_a_trimmer_or_an_amplifier_can_be_told() -> None:
    assert known("X5", "trimmer 1k", "1 2 3").ohm == 1000.0
    found = known("X5", "amplifier", "1=+ 2=- 3=OUT:output 4=V+ 5=V-")
    assert (found.kind, ways(found)) == ("amplifier", [("1", "3"), ("2", "3")])


@pytest.mark.parametrize(
    ("marking", "says"),
    [
        ("jumper 1-9", "U5 is told to join 1-9, but it has no such legs; they are 1, 2, 3, 4"),
        ("ram", "U5 is told to be a ram, which tells nothing of its legs"),
    ],
)
def test_what_is_told_in_vain_is_said(marking: str, says: str) -> None:
    (finding,) = known("U5", marking, "1 2 3 4").findings
    assert finding.code == "told-in-vain"
    assert finding.text.startswith(says)


def test_a_told_type_is_checked_against_the_legs() -> None:
    found = known("U5", "74LS273", "2=A0 24=VCC")
    assert (found.kind, [f.code for f in found.findings]) == ("unknown", ["pins-disagree"])


def test_a_table_of_the_user_wins_over_the_symbol_of_a_part() -> None:
    mine = """
["LM1886"]
what = "my own"
kind = "custom"
pins = "A B GND VCC"
sections = [ { out = "B", data = "A" } ]
cite = "beeped"
"""
    part = Part("U5", "LM1886", symbol="Conn_01x04", pins=(Pin("1", "X"), Pin("2", "Y")))
    found = identify(part, ("1", "2"), load_library([("mine.toml", mine)]), frozenset())
    assert found.type.what == "my own"


@pytest.mark.parametrize(
    "legs", ["1=IN1 2=OUT1 3=IN2 4=OUT2", "1=RIN 2=ROUT 3=GIN 4=GOUT", "1=VIN_1 2=VOUT_1 3=VIN_2 4=VOUT_2"]
)
def test_a_module_hands_each_input_on_and_says_that_this_is_assumed(legs: str) -> None:
    found = known("M1", "VID-99", f"{legs} 5=GND 6=VCC", symbol="M99")
    assert (found.kind, ways(found)) == ("amplifier", [("1", "2"), ("3", "4")])
    assert [f.code for f in found.findings] == ["by-pin-names"]
    assert "assumed" in found.findings[0].text


@pytest.mark.parametrize("legs", ["1=IN 2=OUT", "1=VIDEO_IN 2=VIDEO_OUT", "1=IN1 2=OUT1"])
def test_a_hybrid_of_one_colour_hands_its_input_on_unless_it_feeds_a_supply(legs: str) -> None:
    assert ways(known("HY1", "VID-9", f"{legs} 3=GND 4=VCC", symbol="M99", supplies="3 4")) == [("1", "2")]
    regulator = known("HY1", "REX-9", f"{legs} 3=GND", symbol="M99", supplies="2 3")
    assert (regulator.kind, ways(regulator)) == ("unknown", [])


def test_of_an_amplifier_more_legs_than_its_channels_may_be_anything() -> None:
    legs = "1=IN1 2=OUT1 3=IN2 4=OUT2 5=MUTE 6=BIAS 7=C1"
    assert ways(known("U1", "BA7660", legs, symbol="BA7660")) == [("1", "2"), ("3", "4")]
    assert ways(known("U1", "VID-99", legs, symbol="M99")) == []


@pytest.mark.parametrize(("ground", "ends"), [("2", ("1", "3")), ("3", ("1", "2"))])
def test_a_capacitor_of_three_legs_is_a_way_past_the_one_on_ground(
    ground: str, ends: tuple[str, str]
) -> None:
    found = known("C1", "100n", "1 2 3", supplies=ground)
    assert (found.kind, ways(found)) == ("inductor", [ends])


def test_a_capacitor_of_three_legs_none_of_which_is_on_ground_stays_one() -> None:
    found = known("C1", "100n", "1 2 3")
    assert (found.kind, ways(found)) == ("capacitor", [])
    assert found.farad == pytest.approx(100e-9)


@pytest.mark.parametrize(
    "legs", ["1=DIN 2=DOUT", "1=IN1 2=OUT1 3=IN2 4=OUT3", "1=IN1 2=OUT1 3=IN2 4=OUT2 5=A 6=B 7=C"]
)
def test_no_module_is_made_of_few_or_many_other_legs(legs: str) -> None:
    assert known("M1", "VID-99", legs, symbol="M99").kind == "unknown"


def test_drawn_outputs_overrule_the_letter_of_a_reference() -> None:
    assert known("K1", "XYZ", "1=A:input 2=Q:output 3=Z:output", symbol="BLOB").kind == "unknown"
    assert known("K1", "XYZ", "1=A 2=Q 3=Z", symbol="BLOB").kind == "connector"
    # An edge connector is often drawn with the directions of the board.
    assert known("J1", "XYZ", "1=A:input 2=Q:output 3=Z:output", symbol="BLOB").kind == "connector"


def test_a_marking_that_was_understood_but_not_taken_says_why() -> None:
    """That the library lacks it would not be true."""
    (finding,) = known("U5", "74LS245 (74LS244)", "1 2 3").findings
    assert "was not read: 74LS244: not the 74x245 that 74LS245 is" in finding.text


HEADERS = [
    "IDC34R",
    "IDC-10MS",
    "BH34R",
    "BH-10",
    "PLD-34",
    "PLS-10",
    "PLD34R",
    "PBS",
    "PBD-20",
    "PBS-10R",
    "BOX HEADER 2x5",
]


@pytest.mark.parametrize("marking", HEADERS)
@pytest.mark.parametrize("symbol", ["", "P34"])
def test_a_part_marked_like_a_header_is_one_whatever_it_is_called(marking: str, symbol: str) -> None:
    assert known("BRD1", marking, "1=D0:output 2=D1:output 3=D2 4", symbol=symbol).kind == "connector"
    assert known("BRD1", "", "1 2 3 4", symbol=marking).kind == "connector"


@pytest.mark.parametrize(
    "marking", ["PLS153", "PLS100N", "BH7660FV", "PLUS153", "BHX34", "PBX-1", "DS1000Z-25"]
)
def test_a_chip_whose_marking_begins_like_a_header_is_none(marking: str) -> None:
    assert known("BRD1", marking, "1=X:output 2=Y 3=Z 4=W").kind != "connector"


def test_what_else_is_known_of_a_part_goes_before_the_name_of_a_header() -> None:
    assert known("SW1", "PBS-11", "1 2").kind == "switch"
    assert known("U1", "74LS273", "1=CLR 2=Q0", symbol="PLS-20").kind != "connector"


@pytest.mark.parametrize("marking", ["74x174", "74x604"])
def test_a_chip_of_any_family_is_no_pack_of_74_resistors(marking: str) -> None:
    assert known("U1", marking, " ".join(map(str, range(1, 17)))).kind != "resistor pack"


def test_a_pack_that_says_how_many_it_has_is_read_by_the_value_behind() -> None:
    [finding] = [f for f in known("RN1", "4x604", "1 2 3 4 5 6 7 8").findings if f.code == "value-doubtful"]
    assert "read as 604 ohm" in finding.text
    assert "--part RN1=604R" in finding.text
