"""What a probe finds where something stands still: the patterns that an old hand knows."""

from __future__ import annotations

import pytest

from tracer.importers import parse_netlist, read_netlist
from tracer.suspects.answer import answer
from tracer.suspects.control_faults import controls_of
from tracer.suspects.observation import Observation
from tracer.suspects.priors import load_priors
from tracer.suspects.reasoning import Reasoning
from tracer.tracing.pipeline import Traced, trace_fully


@pytest.fixture(scope="module")
def wren() -> Traced:
    return trace_fully(read_netlist("netlists/wren/wren.net"))


@pytest.fixture(scope="module")
def dunlin() -> Traced:
    return trace_fully(read_netlist("netlists/dunlin/dunlin.net"))


def reads(found: Reasoning, part: str, words: dict[str, str]) -> None:
    for pin, word in words.items():
        found.observe(Observation("read", (part, pin), word))


def test_an_enable_of_a_good_board_never_stands_where_it_silences_the_chip(wren: Traced) -> None:
    found = Reasoning(wren, load_priors())
    control = next(c for c in controls_of(found.legs) if c.role == "enable")
    for key in control.legs:
        healthy = found.likely.readable[key]
        assert healthy["high"] < 0.05 < healthy["low"] < healthy["pulsing"]


#: One latch gives all address lines of a PROM.
LATCHED = """board latched
U1 is 74LS273
U2 is 82S123
U3 is 74LS04
J1 is plug
[R1 R2 R3] is 220
red is J1.1
green is J1.2
blue is J1.3
U1.[2 5 6 9 12] = U2.[10 11 12 13 14]
CLK: U1.11 = U3.2
U2.[1 2 3] = [R1 R2 R3].1
J1.[1 2 3] = [R1 R2 R3].2
GND: U1.10 = U2.8 = U2.15 = U3.7
+5V: U1.20 = U2.16 = U1.1 = U3.14
"""


def test_a_memory_without_a_moving_address_gives_one_word_and_is_not_dead() -> None:
    """Its outputs stand, and so do its address legs: what gives them is at fault, the memory is innocent."""
    found = Reasoning(trace_fully(parse_netlist(LATCHED, "latched.notes")), load_priors())
    reads(found, "U2", {"1": "low", "2": "high", "3": "low"})
    reads(found, "U2", {"10": "low", "11": "high", "12": "low", "13": "low", "14": "high"})
    assert at_part(found, "U2") < 0.005
    assert at_part(found, "U1", "U3", "U3.2") > 0.9, "the latch, or its clock"


def at_part(found: Reasoning, *named: str) -> float:
    return sum(p for (_, place), p in found.by_group().items() if set(named) & set(place.ends))


def test_a_frozen_chip_is_known_by_legs_that_stand_whatever_their_levels(dunlin: Traced) -> None:
    for levels in ("low high low high high low low low", "high high high low low low high low"):
        found = Reasoning(dunlin, load_priors())
        outputs = [pin for _, pin in found.legs.outputs_of("U13")]
        reads(found, "U13", dict(zip(outputs, levels.split(), strict=False)))
        blame = found.by_group()
        standing = {"U13", "U21", "U21.5", "U13.11"}
        assert sum(p for (_, place), p in blame.items() if standing & set(place.ends)) > 0.9, (
            "it or its clock"
        )


def test_a_driver_of_the_palettes_address_that_holds_nothing_is_named(dunlin: Traced) -> None:
    found = Reasoning(dunlin, load_priors())
    for colour in ("red", "green", "blue"):
        found.observe(Observation("seen", (colour,), "flickers"))
    net = next(
        key for f in found.faults if f.manner == "floating" and f.part == "U11" for key in f.effect.floats
    )
    reads(found, net[0], {net[1]: "floating"})
    assert next(iter(found.by_group()))[1].ends == ("U11",)


def test_legs_that_read_alike_are_named_together_and_the_way_on_is_told(dunlin: Traced) -> None:
    found = Reasoning(dunlin, load_priors())
    for colour in ("red", "green", "blue"):
        found.observe(Observation("seen", (colour,), "wrong"))
    reads(found, "U13", {pin: "pulsing" for _, pin in found.legs.outputs_of("U13")})
    table = answer(found, found.seen)
    assert any("U13.2 5 6 9 12 15 16 19 read pulsing" in s.why for s in table.suspects)
    outside = next(s for s in table.suspects if s.what == "outside")
    assert "sweep U9 1 2 3 4 5 6 7 8" in outside.why
