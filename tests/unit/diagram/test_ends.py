"""The diagram where a way stops, where one output brings a word, and where a chip is passed twice."""

from __future__ import annotations

from tests.unit.diagram.diagram_values import (
    CLOCK,
    a_bit,
    a_map,
    edges,
    ends,
    group,
    latch,
    lines_of,
    prom,
    svg,
    way,
    words,
)
from tracer.bitmap.model import Driver, Source, Step

# -- what stops -------------------------------------------------------------------------------------


def test_a_stopped_bit_ends_in_a_marked_box_with_its_sentence() -> None:
    sentence = "the library has no entry for U31 (GAL16V8); tell its type with --part U31=TYPE"
    source = Source("U31", "GAL16V8", "19", "O7", "unknown part", "2B")
    bit_map = a_map(red=(a_bit(0, way(source, latch("3", "2"), because=sentence)),))
    root = svg(bit_map)
    assert words(root, "stop-U31") == f"STOPPED U31 GAL16V8 2B unknown part red 0 O7 19 stopped: {sentence}"
    assert (group(root, "stop-U31").get("class") or "").split() == ["node", "stopped", "bit-red-0"]
    assert ends(lines_of(bit_map, "red-0"))[0] == ("stop-U31", "out-19", "chip-U9", "in-3")


def test_reasons_that_differ_only_by_the_leg_are_said_once() -> None:
    def leaving(pin: str) -> Source:
        return Source("J3", "plug", pin, "", "connector")

    bits = tuple(
        a_bit(n, way(leaving(pin), because=f"the way leaves the board at J3.{pin}; join it"))
        for n, pin in ((2, "5"), (1, "6"))
    )
    odd = a_bit(0, way(leaving("7"), because="J3.7 is bent"))
    shown = words(svg(a_map(red=(*bits, odd))), "stop-J3")
    assert shown.count("stopped:") == 2
    assert "at J3.5; join it (the other legs above likewise)" in shown
    assert shown.endswith("red 0 7 stopped: J3.7 is bent")


def test_ways_that_end_at_no_part_name_the_net_or_the_leg() -> None:
    nothing = Source(None, None, None, "", "nothing")
    rail = Source(None, None, None, "VCC", "rail")
    bits = (
        a_bit(2, way(nothing, latch("3", "2"), because="the netlist does not say what U9.3 is joined to")),
        a_bit(1, way(nothing, latch("4", "5"), because="the netlist does not say what U9.4 is joined to")),
        a_bit(0, way(rail, latch("7", "6"), because="U9.7 is tied high (VCC)")),
    )
    bit_map = a_map(red=bits)
    root = svg(bit_map)
    assert words(root, "stop-none-nothing").startswith(
        "STOPPED red 2 U9.3 red 1 U9.4 stopped: the netlist does not say"
    )
    assert words(root, "stop-none-rail") == "STOPPED red 0 VCC stopped: U9.7 is tied high (VCC)"
    assert [e.head_port for e in edges(bit_map) if e.tail.startswith("stop")] == ["in-3", "in-4", "in-7"]


def test_a_bit_without_any_way_back_stops_at_its_driver() -> None:
    bit_map = a_map(red=(a_bit(0, driver=Driver("U7", "74x04", "4", "2Y")),))
    assert words(svg(bit_map), "stop-U7").endswith("red 0 2Y 4 stopped: no way back was found")


def test_a_bit_that_only_a_write_path_reaches_is_drawn_to_its_end_and_stops() -> None:
    cpu = Source("U6", "Z80", "14", "D0", "cpu")
    bit_map = a_map(red=(a_bit(0, way(cpu, latch("3", "2"), role="write path")),))
    assert "stopped: only a write path leads here" in words(svg(bit_map), "stop-U6")
    assert ("stop-U6", "out-14", "chip-U9", "in-3") in ends(edges(bit_map))


# -- words and parts passed twice -------------------------------------------------------------------


def _shift(pin: str) -> Step:
    return Step("U7", "74x166", pin, "13", "shift register", controls=(CLOCK,))


def test_a_word_is_one_line_with_its_legs_in_one_order() -> None:
    legs = {"2": "19", "3": "18", "4": "17", "5": "16", "10": "15", "11": "13", "12": "12", "14": "11"}
    ways = [way(prom(source, "U5"), _shift(pin)) for pin, source in reversed(legs.items())]
    bit_map = a_map(red=(a_bit(0, *ways),))
    [line] = [e for e in edges(bit_map) if e.tail == "chip-U5"]
    assert (line.head, line.tail_port, line.head_port) == ("chip-U7", "out-19", "in-2")
    assert float(line.attributes["penwidth"]) > 2
    assert words(svg(bit_map), "chip-U5").endswith("red 0 19 18 17 16 15 13 12 11")
    assert "2 3 4 5 10 11 12 14" in words(svg(bit_map), "chip-U7")


def test_a_word_keeps_its_order_through_a_latch() -> None:
    ways = [
        way(prom(s, "U5"), _shift(pin), latch(d, q))
        for pin, q, d, s in (("2", "5", "4", "9"), ("3", "2", "3", "8"))
    ]
    bit_map = a_map(red=(a_bit(0, *ways),))
    root = svg(bit_map)
    assert words(root, "chip-U9") == "U9 74x273 4 3 red 0 5 2 11 CLK: PIXCLK"
    assert words(root, "chip-U5").endswith("red 0 9 8")
    assert len([e for e in edges(bit_map) if e.tail == "chip-U9"]) == 1


def test_a_word_out_of_two_memories_keeps_them_apart() -> None:
    ways = [way(prom("14", part), _shift(pin)) for part, pin in (("U2", "14"), ("U3", "12"))]
    found = {e.tail: e.head_port for e in edges(a_map(red=(a_bit(0, *ways),))) if e.head == "chip-U7"}
    assert found == {"chip-U2": "in-14", "chip-U3": "in-12"}


def test_a_leg_that_also_feeds_elsewhere_is_no_part_of_a_bundle() -> None:
    ways = [way(prom(source), _shift(pin)) for source, pin in (("9", "2"), ("10", "3"), ("11", "4"))]
    bit_map = a_map(red=(a_bit(0, *ways),), green=(a_bit(0, way(prom("9"))),))
    assert [(e.tail_port, e.head_port) for e in edges(bit_map) if e.tail == "chip-U4"] == [
        ("out-9", "in-2"), ("out-10", "in-3"), ("out-9", "bit-0"),
    ]  # fmt: skip


def test_a_chip_passed_twice_is_two_boxes_and_all_lines_run_one_way() -> None:
    twice = way(prom("12"), latch("13", "12"), latch("3", "2"))
    bit_map = a_map(red=(a_bit(0, twice),))
    assert [(e.tail, e.head) for e in lines_of(bit_map, "red-0")][:3] == [
        ("chip-U4", "chip-U9-2"), ("chip-U9-2", "chip-U9"), ("chip-U9", "stage-red"),
    ]  # fmt: skip
    root = svg(bit_map)
    assert "box 2 of 2" in words(root, "chip-U9")
    assert "box 1 of 2" in words(root, "chip-U9-2")


def test_an_input_that_serves_two_outputs_has_a_cell_in_each_row() -> None:
    def flop(target: str, inverts: bool) -> Step:
        return Step("U7", "74x175", "4", target, "register", inverts)

    bits = (a_bit(1, way(prom("12"), flop("2", False))), a_bit(0, way(prom("12"), flop("3", True))))
    assert [(e.tail_port, e.head_port) for e in edges(a_map(red=bits)) if e.head == "chip-U7"] == [
        ("out-12", "in-4"), ("out-12", "in-4-to-3"),
    ]  # fmt: skip
    assert words(svg(a_map(red=bits)), "chip-U7") == "U7 74x175 4 red 1 Q 2 4 red 0 Q 3"
