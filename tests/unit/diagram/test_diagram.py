"""The diagram: what stands in it, by names of nodes, ports and classes; never by places of pixels."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

from tests.unit.diagram.diagram_values import (
    SVG,
    a_bit,
    a_map,
    edges,
    ends,
    group,
    latch,
    lines_of,
    prom,
    svg,
    texts,
    way,
    words,
)
from tracer.base.findings import note, warning
from tracer.bitmap.model import BitMap, Chip, Colour, ColourPin, Control, Source, StageResistor, Step, When
from tracer.diagram.styles import GREY_TEXT, SHARED, WRITE, styles_of
from tracer.netlist.board import Input

ONE_BIT = a_map(red=(a_bit(0, way(prom("12"), latch("13", "12")), resistors=(StageResistor("R5", 470.0),)),))


# -- one bit, leg by leg ----------------------------------------------------------------------------


def test_a_bit_runs_from_the_memory_leg_over_the_latch_and_its_resistor_to_the_connector() -> None:
    assert ends(lines_of(ONE_BIT, "red-0")) == [
        ("chip-U4", "out-12", "chip-U9", "in-13"),
        ("chip-U9", "out-12", "stage-red", "bit-0"),
        ("stage-red", "to-pin-0", "connector-J1", "pin-0"),
    ]


def test_boxes_say_reference_place_type_legs_and_controls() -> None:
    chips = (Chip("U4", "82S129", "7E", "palette", ()), Chip("U9", "74x273", "8D", "latch", ()))
    root = svg(replace(ONE_BIT, chips=chips))
    assert texts(group(root, "chip-U4")) == ["U4", "82S129", "7E", "palette", "red 0", "O12", "12"]
    assert texts(group(root, "chip-U9")) == [
        "U9", "74x273", "8D", "latch", "13", "red 0", "Q", "12", "11 CLK: PIXCLK",
    ]  # fmt: skip
    assert texts(group(root, "stage-red")) == ["RED", "2 levels", "red 0", "R5 470R", "14.3%"]


def test_groups_carry_the_classes_of_their_bits() -> None:
    root = svg(ONE_BIT)
    assert (group(root, "chip-U4").get("class") or "").split() == ["node", "chip", "memory", "bit-red-0"]
    line = next(e for e in root.iter(f"{SVG}g") if (e.findtext(f"{SVG}title") or "").startswith("chip-U4:"))
    assert (line.get("class") or "").split() == ["edge", "line", "picture", "bit-red-0"]
    assert group(root, "connector-J1").get("class") == "node connector"
    identities = [e.get("id") for e in root.iter(f"{SVG}g")]
    assert len(set(identities)) == len(identities)


def test_the_head_names_board_files_verdict_and_warnings() -> None:
    found = (note("clamp", "a note"), *(warning("odd-weight", f"R{i} is odd") for i in range(5)))
    files = (Input("a.net", "kicad-net", "0"), Input("b.csv", "table", "0"))
    root = svg(replace(ONE_BIT, inputs=files, findings=found, colours_possible=4096, colours_at_once=256))
    shown = texts(root)
    assert root.findtext(f"{SVG}g/{SVG}title") == "wader"
    assert "wader" in shown
    assert (
        "from a.net, b.csv: 1 of 1 bits traced to a memory pin; 4,096 colours possible, 256 at once" in shown
    )
    assert [t for t in shown if t.startswith("!")] == [
        "! R0 is odd", "! R1 is odd", "! R2 is odd", "! 2 more warnings are in the map",
    ]  # fmt: skip
    assert "a note" not in shown


def test_a_colour_that_nothing_drives_says_so() -> None:
    assert words(svg(ONE_BIT), "stage-green") == "GREEN 1 levels nothing drives it"


def test_a_resistor_without_value_and_a_bit_without_resistor() -> None:
    bits = (
        a_bit(1, way(prom("1")), resistors=(StageResistor("R1", None), StageResistor("R2", 1000.0))),
        a_bit(0, way(prom("2"))),
    )
    shown = words(svg(a_map(red=bits)), "stage-red")
    assert "R1 ? + R2 1k" in shown
    assert "no resistor" in shown


def test_without_a_connector_the_nets_stand_in_its_place() -> None:
    colour = Colour("red", ColourPin(None, None, "RED", "/video/RED", "shape"), 2, ONE_BIT.colours[0].bits)
    root = svg(replace(ONE_BIT, colours=(colour,)))
    assert words(root, "connector") == "no connector drawn net /video/RED red found by shape: a guess"


def test_two_connectors_are_two_boxes() -> None:
    green = replace(ONE_BIT.colours[1], pin=ColourPin("J2", "7", "G", "G", "told"))
    root = svg(replace(ONE_BIT, colours=(ONE_BIT.colours[0], green)))
    assert words(root, "connector-J1") == "J1 1 red found by name"
    assert words(root, "connector-J2") == "J2 7 G green as told"


# -- what tells lines apart -------------------------------------------------------------------------


def test_colours_differ_in_name_kind_of_line_and_shade() -> None:
    bits = [(a_bit(0, way(prom(pin))),) for pin in ("1", "2", "3")]
    found = {e.tail: e.attributes for e in edges(a_map(*bits)) if e.tail.startswith("stage")}
    assert [found[f"stage-{c}"]["style"] for c in ("red", "green", "blue")] == ["solid", "dashed", "dotted"]
    assert [style.name for style in styles_of(a_map(*bits))] == ["red", "green", "blue"]


def test_a_bit_is_never_called_like_a_resistor() -> None:
    bits = tuple(
        a_bit(i, way(prom(str(i + 1))), resistors=(StageResistor(f"R{i}", 470.0),)) for i in (2, 1, 0)
    )
    shown = texts(svg(a_map(red=bits, green=bits)))
    assert [t for t in shown if re.match(r"R\d", t)] == [f"R{i} 470R" for i in (2, 1, 0)] * 2
    assert {"red 2", "green 0", "red 2-0", "green 2-0"} <= set(shown)


def test_further_colours_get_letters_of_their_own() -> None:
    names = ("red", "red_low", "intensity", "Red", "r", "bit 1", "", "RE", "REX")
    colours = tuple(Colour(n, ONE_BIT.colours[0].pin, 2, ()) for n in names)
    letters = [style.letters for style in styles_of(replace(ONE_BIT, colours=colours))]
    assert letters[:4] == ["R", "RL", "I", "RE"]
    assert len(set(letters)) == len(names)
    assert not any(x[-1].isdigit() for x in letters)


def _luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it (formula from memory)."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return sum(weight * c for weight, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def _luma(colour: str) -> float:
    """Grey of a colour as ITU-R BT.601 weighs it (weights from memory), 0 to 255."""
    return sum(w * int(colour[i : i + 2], 16) for w, i in zip((0.299, 0.587, 0.114), (1, 3, 5), strict=True))


def test_lines_and_letters_stand_out_from_white_paper() -> None:
    # WCAG 2.2: 1.4.11 asks 3:1 of graphics, 1.4.3 asks 4.5:1 of text (figures from memory).
    names = ("red", "green", "blue", "x", "y", "z")
    looks = styles_of(replace(ONE_BIT, colours=tuple(replace(ONE_BIT.colours[0], name=n) for n in names)))
    for style in (*looks, SHARED, WRITE):
        assert 1.05 / (_luminance(style.colour) + 0.05) >= 3
        assert 1.05 / (_luminance(style.ink) + 0.05) >= 4.5
    assert 1.05 / (_luminance(GREY_TEXT) + 0.05) >= 4.5
    greys = sorted(_luma(style.colour) for style in looks[:3])
    assert min(b - a for a, b in pairwise(greys)) >= 30


def test_a_line_that_brings_bits_of_several_colours_is_black_and_named_by_all() -> None:
    serial = [(a_bit(0, way(prom("1"), latch("3", "2"))),) for _ in range(3)]
    shared = next(e for e in edges(a_map(*serial)) if e.tail == "chip-U4")
    assert shared.classes == ["line", "picture", "bit-red-0", "bit-green-0", "bit-blue-0"]
    assert shared.attributes["color"] == "#000000"
    assert "red 0, green 0, blue 0" in words(svg(a_map(*serial)), "chip-U4")


def test_the_legend_has_what_occurs_and_no_more() -> None:
    shown = texts(svg(ONE_BIT))
    assert "small print: control legs" in shown
    assert not any("hollow arrow" in t or "ring:" in t or "write path" in t for t in shown)


# -- alternatives, inversion, write paths -----------------------------------------------------------


def _mux_bit() -> BitMap:
    def leg(pin: str) -> Step:
        return Step("U5", "74x157", pin, "4", "multiplexer", controls=(Control("1", "S", "BANK"),))

    def when(level: int) -> tuple[When, ...]:
        return (When("U5", "1", "S", level),)

    low = way(prom("12", "U2"), latch("7", "6"), leg("2"), role="alternative", when=when(0))
    high = way(prom("12", "U3"), latch("7", "6"), leg("3"), role="alternative", when=when(1))
    return a_map(red=(a_bit(0, low, high),))


def test_alternatives_stand_at_the_leg_with_their_condition() -> None:
    root = svg(_mux_bit())
    assert texts(group(root, "chip-U5")) == [
        "U5", "74x157", "2", "if S low", "red 0", "4", "3", "if S high", "1 S: BANK",
    ]  # fmt: skip
    assert any("hollow arrow" in t for t in texts(root))


def test_only_the_branches_of_an_alternative_are_marked() -> None:
    heads = {(e.tail, e.head): e.attributes.get("arrowhead") for e in lines_of(_mux_bit(), "red-0")}
    assert heads == {
        ("chip-U2", "chip-U5"): "onormal",
        ("chip-U3", "chip-U5"): "onormal",
        ("chip-U5", "chip-U9"): None,
        ("chip-U9", "stage-red"): None,
        ("stage-red", "connector-J1"): None,
    }


def test_a_condition_that_all_legs_share_stands_in_the_foot_once() -> None:
    def bank(part: str) -> tuple[When, ...]:
        return (When(part, "13", "~{CE}", 0),)

    bits = tuple(
        a_bit(n, *(way(prom(pin, part), role="alternative", when=bank(part)) for part in ("U2", "U3")))
        for n, pin in ((1, "12"), (0, "11"))
    )
    assert words(svg(a_map(red=bits)), "chip-U3").endswith("red 1 O12 12 red 0 O11 11 only if /CE low")


def test_a_condition_of_another_chip_names_it() -> None:
    path = way(prom("12"), latch("3", "2"), role="alternative", when=(When("U7", "15", "Y0", 0),))
    other = way(prom("12", "U5"), latch("3", "2"), role="alternative", when=(When("U7", "14", "Y1", 0),))
    assert words(svg(a_map(red=(a_bit(0, path, other),))), "chip-U4").endswith("only if U7.15 Y0 low")


def test_an_inverting_part_has_a_ring_at_its_output() -> None:
    inverter = Step("U7", "74x04", "1", "2", "inverter", inverts=True)
    found = {e.tail: e.attributes for e in edges(a_map(red=(a_bit(0, way(prom("12"), inverter)),)))}
    assert found["chip-U7"]["arrowtail"] == "odot"
    assert "arrowtail" not in found["chip-U4"]


def test_one_inverting_leg_of_two_says_so_at_the_leg() -> None:
    legs = [
        Step("U7", "74x51", pin, "8", "gate", inverts=turned) for pin, turned in (("1", True), ("2", False))
    ]
    bit_map = a_map(red=(a_bit(0, *(way(prom(leg.source_pin), leg) for leg in legs)),))
    assert words(svg(bit_map), "chip-U7") == "U7 74x51 1 turned over red 0 Q 8 2"
    assert all("arrowtail" not in e.attributes for e in edges(bit_map))


def test_a_write_path_is_thin_grey_and_meets_the_memory_leg() -> None:
    ram = Source("U4", "6116", "9", "D0", "ram", "7E")
    transceiver = Step("U3", "74x245", "2", "18", "transceiver", controls=(Control("1", "DIR", "RD"),))
    cpu = Source("U6", "Z80", "14", "D0", "cpu")
    bit_map = a_map(
        red=(a_bit(0, way(ram, latch("3", "2")), way(cpu, latch("3", "2"), transceiver, role="write path")),)
    )
    [line] = [e for e in edges(bit_map) if "write-path" in e.classes]
    assert ends([line]) == [("write-U3", "out-18", "chip-U4", "leg-9")]
    assert line.attributes["color"] == WRITE.colour
    assert float(line.attributes["penwidth"]) < 1
    assert words(svg(bit_map), "write-U3") == "U3 74x245 2 red 0 18 1 DIR: RD written from U6 Z80 (cpu)"
    # The processor is named, not drawn.
    assert "U6" not in str([e.tail for e in edges(bit_map)])


def test_a_write_path_without_a_memory_on_its_net_meets_the_leg_it_writes() -> None:
    custom = Source("U8", "GATE", "5", "P", "custom")
    cpu = Source("U6", "Z80", "14", "D0", "cpu")
    bit_map = a_map(
        red=(
            a_bit(
                0,
                way(custom, latch("3", "2"), because="no more is known"),
                way(cpu, latch("3", "2"), role="write path"),
            ),
        )
    )
    [line] = [e for e in edges(bit_map) if "write-path" in e.classes]
    assert ends([line]) == [("write-U6", "out-14", "chip-U9", "in-3")]


def test_small_parts_in_the_way_are_drawn_between_the_chips() -> None:
    transistor = Step("Q3", "BC547", "2", "1", "transistor", inverts=True)
    bit_map = a_map(red=(a_bit(0, way(prom("12"), transistor, Step("R20", "33R", "1", "2", "resistor"))),))
    assert [e.tail for e in lines_of(bit_map, "red-0")] == [
        "chip-U4",
        "part-R20-1_20_2",
        "part-Q3-2_20_1",
        "stage-red",
    ]
    assert words(svg(bit_map), "part-R20-1_20_2") == "1 red 0 R20 33R 2"
