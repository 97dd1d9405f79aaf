"""Which package a drawn part has, and what speaks against a type."""

from __future__ import annotations

import pytest

from tracer.netlist.board import Part, Pin
from tracer.parts.fit import disagreement, fitting_package
from tracer.parts.identify import identify
from tracer.parts.library import Library, load_library
from tracer.parts.model import PartType

LIBRARY = load_library()


def known(name: str) -> PartType:
    found = LIBRARY.find(name)
    assert found is not None
    return found


def legs(*numbers: int) -> tuple[str, ...]:
    return tuple(map(str, numbers))


@pytest.mark.parametrize(
    ("name", "footprint", "numbers", "supplies", "package"),
    [
        ("7130", "", legs(1, 27, 52), (), "PLCC52"),
        ("7130", "", legs(1, 27, 48), (), ""),
        ("7130", "Package_LCC:PLCC-52_SMD-Socket", legs(1, 27, 28), (), "PLCC52"),
        ("7130", "DIP-48_W15.24mm", legs(1, 27, 28), (), ""),
        ("7130", "", legs(1, 26, 27), ("26",), "PLCC52"),
        ("7130", "", legs(1, 24, 27), ("24",), ""),
        ("27512", "", legs(13, 14, 32), (), "PLCC32"),
        ("27512", "", legs(11, 12, 14, 28), ("14", "28"), ""),
        ("LM741", "SOT-23-5", legs(1, 3, 4), (), "SOT23-5"),
        ("LM741", "", legs(1, 2, 3, 4, 5), ("2", "5"), "SOT23-5"),
        ("LM741", "", legs(2, 3, 4, 6, 7), ("4", "7"), ""),
    ],
)
def test_footprint_legs_and_supplies_tell_the_package(
    name: str, footprint: str, numbers: tuple[str, ...], supplies: tuple[str, ...], package: str
) -> None:
    part = Part("U1", name, footprint=footprint)
    assert fitting_package(part, numbers, known(name), frozenset(supplies)).package == package


@pytest.mark.parametrize(
    ("name", "pins", "says"),
    [
        ("7130", {"53": "X"}, "it has a pin 53"),
        ("74x273", {"20": "VCC", "1": "GND"}, "pin 1 is drawn as GND, the library has /CLR"),
        (
            "LM741",
            {"1": "+", "2": "-", "3": "OUT"},
            "it is drawn with an input on pin 1 and its output on pin 3",
        ),
    ],
)
def test_what_speaks_against_a_type(name: str, pins: dict[str, str], says: str) -> None:
    part = Part("U1", name, pins=tuple(Pin(number, text) for number, text in pins.items()))
    assert disagreement(part, tuple(pins), known(name)) == says


def test_a_leg_that_stands_on_a_net_alone_counts_too() -> None:
    found = identify(Part("U1", "74LS273"), legs(2, 24), LIBRARY, frozenset())
    assert (found.kind, found.findings[0].code) == ("unknown", "pins-disagree")
    assert "it has a pin 24" in found.findings[0].text


def test_an_amplifier_of_another_case_is_read_as_it_is_drawn() -> None:
    """A data sheet's case of ten pads, as drawn in Debian's kicad-symbols 6.0.10 (ADA4807-2ACP)."""
    pins = {"1": "", "2": "-", "3": "+", "4": "V-", "7": "+", "8": "-", "9": "", "10": "V+"}
    part = Part(
        "U1", "ADA4807-2", symbol="ADA4807-2ACP",
        pins=tuple(Pin(n, text, "output" if not text else "input") for n, text in pins.items()),
    )  # fmt: skip
    found = identify(part, tuple(pins), Library(), frozenset())
    assert found.known_by == "pin names"
    assert {(a.source, a.target) for a in found.type.arcs} == {("2", "1"), ("3", "1"), ("7", "9"), ("8", "9")}


@pytest.mark.parametrize(
    ("footprint", "joined"),
    [
        ("RESCAV80P320X160X70-8", ("1", "8")),
        ("Resistor_SMD:R_Array_Convex_4x0603", ("1", "8")),
        ("R_Array_SIP8", ("1", "2")),
    ],
)
def test_the_land_pattern_of_a_chip_array_tells_its_resistors(
    footprint: str, joined: tuple[str, str]
) -> None:
    """IPC-7351 names of land patterns; Debian's kicad-symbols 6.0.10, R_Pack04, has 1-8 2-7 3-6 4-5."""
    found = identify(Part("RN1", "470", footprint=footprint), legs(*range(1, 9)), LIBRARY, frozenset())
    assert (found.type.arcs[0].source, found.type.arcs[0].target) == joined
