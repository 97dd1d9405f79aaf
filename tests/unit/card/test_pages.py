"""The card: what stands on it, nothing over anything else, chips whole, names harmless."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from functools import cache
from itertools import pairwise
from xml.etree import ElementTree as ET

import pytest

from tests.boards import board
from tests.card_reading import faults_of_page, read_chips
from tests.closed_loop.random_boards import BoardMaker
from tracer.card.blocks import Column, Row, table
from tracer.card.chip_blocks import draw_chip
from tracer.card.chip_values import LegMark
from tracer.card.html import pages_as_html
from tracer.card.make import card_of_map, make_card
from tracer.card.pages import lay_out
from tracer.card.shapes import Box, Line, Look, Page, Shape, Text, moved
from tracer.card.svg import pages_as_svg
from tracer.card.values import BoardCard
from tracer.importers import parse_netlist, read_netlist
from tracer.netlist.board import Netlist
from tracer.netlist.join import join_boards, parse_join
from tracer.netlist.merge import merge_netlists
from tracer.parts.library import load_library
from tracer.tracing.pipeline import trace, trace_fully

DEMOS = ("dunlin", "plover", "wren", "avocet")


def netlist_of(name: str) -> Netlist:
    if name != "avocet":
        return read_netlist(f"netlists/{name}/{name}.net")
    halves = {h: read_netlist(f"netlists/avocet/avocet-{h}.net") for h in ("main", "video")}
    return join_boards(halves, [parse_join("main:J3=video:J1")])


@cache
def card_of(name: str) -> BoardCard:
    return make_card(trace_fully(netlist_of(name)))


def texts(pages: tuple[Page, ...]) -> list[str]:
    return [s.text for p in pages for s in p.shapes if isinstance(s, Text)]


def flowing(pages: tuple[Page, ...]) -> str:
    return " ".join(texts(pages))


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", DEMOS)
def test_nothing_overlaps_or_is_cut(name: str, paper: str) -> None:
    pages = lay_out(card_of(name), paper)
    assert [f for page in pages for f in faults_of_page(page)] == []
    assert not [t for t in texts(pages) if "…" in t]
    assert not [t for t in texts(pages) if "  " in t], "SVG and HTML make two spaces one"


def test_what_overlaps_or_is_cut_would_be_found() -> None:
    apart = Page(100.0, 100.0, (Text(10, 50, "R1", 4), Text(10, 55, "R2", 4), Box(9, 40, 20, 20)))
    assert faults_of_page(apart) == []
    shapes = (Text(10, 50, "R1", 4), Text(14, 52, "R2", 4), Box(9, 40, 7, 20), Text(96, 90, "470", 4))
    found = faults_of_page(Page(100.0, 100.0, shapes))
    assert found == ["'R1' meets 'R2'", "'R2' crosses a box", "'470' leaves the page"]


@pytest.mark.parametrize("seed", range(0, 60, 2))
def test_random_boards_do_not_overlap(seed: int) -> None:
    pages = lay_out(make_card(trace_fully(BoardMaker(seed).make().netlist)))
    assert [f for page in pages for f in faults_of_page(page)] == []


@pytest.mark.parametrize(
    ("name", "n"), [("dunlin", [3, 3]), ("wren", [2, 2]), ("plover", [3, 4]), ("avocet", [3, 4])]
)
def test_pages(name: str, n: list[int]) -> None:
    assert [len(lay_out(card_of(name), paper)) for paper in ("a4", "letter")] == n


#: 8 points of 1/72 inch (ISO 32000-1), in millimetres.
EIGHT_POINTS = 8 / 72 * 25.4


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", DEMOS)
def test_no_letter_is_smaller_than_eight_points(name: str, paper: str) -> None:
    sizes = {s.size for page in lay_out(card_of(name), paper) for s in page.shapes if isinstance(s, Text)}
    assert min(sizes) >= EIGHT_POINTS


def test_a_sheet_asks_which_board_it_was_and_takes_notes() -> None:
    first, *_, last = lay_out(card_of("dunlin"))
    shown = [s.text for s in first.shapes if isinstance(s, Text)]
    assert {"Board", "Revision", "Serial", "Date"} <= set(shown)
    assert "From dunlin.net (kicad-netlist" in " ".join(shown)
    assert "Notes" in [s.text for s in last.shapes if isinstance(s, Text)]


@pytest.mark.parametrize("name", DEMOS)
def test_every_step_has_a_box_to_tick_and_a_line_to_write_on(name: str) -> None:
    card = card_of(name)
    page = next(p for p in lay_out(card) if "what was read" in texts((p,)))
    left = min(s.x for s in page.shapes if isinstance(s, Text))
    boxes = [s for s in page.shapes if isinstance(s, Box) and s.x == left and s.w == s.h]
    assert len(boxes) == len(card.order)
    head = next(s for s in page.shapes if isinstance(s, Text) and s.text == "what was read")
    rules = [s for s in page.shapes if isinstance(s, Line) and s.points[0][0] == head.x]
    for above, below in pairwise([*(b.y for b in boxes), page.height]):
        assert [r for r in rules if above < r.points[0][1] < below]


def test_a_pins_letter_does_not_stand_before_a_colours_name() -> None:
    shown = texts(lay_out(card_of("dunlin")))
    assert [t for t in shown if "J1: red at leg 12, green at leg N, blue at leg 13" in t]
    assert not [t for t in shown if re.search(r"\bN (G|green)\b", t)]


def test_a_head_over_two_columns_stands_over_both() -> None:
    head, _ = table(
        [
            Column("bit"),
            Column("low V", True, over="driver reads"),
            Column("high V", True, over="driver reads"),
        ],
        [Row(("red 3", "0.1", "3.4"))],
        80.0,
        Look(),
    )
    shown = {s.text: s for s in head.shapes if isinstance(s, Text)}
    assert set(shown) == {"bit", "low V", "high V", "driver reads"}
    over = shown["driver reads"]
    assert over.y < shown["low V"].y == shown["high V"].y == shown["bit"].y
    rule = next(s for s in head.shapes if isinstance(s, Line))
    assert rule.points[0][0] <= shown["low V"].x
    assert rule.points[1][0] == pytest.approx(shown["high V"].x + shown["high V"].width)


@pytest.mark.parametrize("room", [30.0, 45.0, 80.0])
def test_no_head_is_cut_however_narrow_the_table(room: float) -> None:
    columns = [Column("memory leg", gives=True), Column("board off, to\nnext bit's leg", gives=True)]
    head, _ = table(columns, [Row(("main:U17.10 O3 and more", "4k75-5k25"))], room, Look())
    words = " ".join(s.text for s in sorted(_texts(head.shapes), key=lambda t: (t.x, t.y)))
    assert words == "memory leg board off, to next bit's leg"


def _texts(shapes: Iterable[Shape]) -> list[Text]:
    return [s for s in shapes if isinstance(s, Text)]


def test_legs_are_counted_from_either_side() -> None:
    shown = flowing(lay_out(card_of("wren")))
    assert "Leg 1 is left of the notch" in shown
    assert "From the solder side the rows change places" in shown


def test_supplies_clocks_and_donors_stand_on_the_card() -> None:
    shown = flowing(lay_out(card_of("plover")))
    assert "+5V 5 V U1.14" in shown
    assert "X1 10.000MHz 1C" in shown
    assert "62256 (U26 at 6E, U27 at 6F): U4 at 4B, U5 at 5B; or exchange them: the fault moves" in shown
    assert "82S123 holds a content of its own" in flowing(lay_out(card_of("wren")))


def test_the_record_fills_itself_from_the_notes() -> None:
    notes = "seen red missing\nread U13.19 low\nmeasured R1.1 to R1.2 220 ohm\nswapped U13, no change\nswapped U9, fixed it\n"
    netlist = merge_netlists([netlist_of("dunlin"), parse_netlist(notes, "bench.notes")])
    shown = flowing(lay_out(make_card(trace_fully(netlist))))
    record = shown.partition("Repair record")[2].partition("Notes")[0]
    assert "seen red missing read U13.19 low measured R1.1 to R1.2 220 ohm" in record
    assert "swapped U13 74LS273 at 8D no change swapped U9 6116 at 7D fixed it" in record
    assert "cured by U9 6116 at 7D" in record


def test_a_board_without_notes_has_a_blank_record() -> None:
    pages = lay_out(card_of("dunlin"))
    record = flowing(pages).partition("Repair record")[2].partition("Notes")[0]
    assert record.split() == ["done", "where", "what", "it", "showed", "cured", "by"]


def test_every_bit_has_its_row() -> None:
    shown = flowing(lay_out(card_of("dunlin")))
    for colour in card_of("dunlin").bit_map.colours:
        for bit in colour.bits:
            step = bit.paths[0].steps[0]
            source = bit.paths[0].source
            row = (
                f"{colour.name} {bit.bit} {100 * bit.weight:.1f} % {bit.resistors[0].part} "
                f".*?{step.part}.{step.target_pin}/{step.source_pin} {source.part}.{source.pin} {source.name} "
            )
            assert re.search(row, shown), row


def test_levels_at_two_loads() -> None:
    card = card_of("wren")
    shown = flowing(lay_out(card))
    assert card.levels
    blue = card.levels.of("blue")
    assert blue
    for load, words in zip(blue.loads, ("75 ohm", "1k"), strict=True):
        assert f"{words}: all off {load.volts[0]:.2f} V, all on {load.volts[3]:.2f} V" in shown
        assert f"{load.volts[1]:.2f}" in shown
        assert f"{load.volts[2]:.2f}" in shown


def test_chips_are_drawn_as_seen_from_above() -> None:
    chips = {c.title.split()[0]: c for c in read_chips(pages_as_svg(lay_out(card_of("dunlin")), "x"))}
    assert set(chips) == {"U9", "U10", "U13", "U14"}
    assert chips["U13"].title == "U13 74LS273 at 8D"
    # Counter-clockwise from the notch: JEDEC MS-001, from memory.
    assert [n for n, _ in chips["U13"].sides[0]] == [str(n) for n in range(1, 11)]
    assert [n for n, _ in chips["U13"].sides[1]] == [str(n) for n in range(20, 10, -1)]
    assert chips["U13"].names["11"] == "CLK"
    assert chips["U13"].beside["19"] == ["red 3"]
    assert chips["U13"].beside["11"] == ["U21.5"]
    assert chips["U9"].beside["18"] == ["tied low"]
    assert chips["U9"].beside["24"] == ["+5V"]


def test_tags_and_table_agree_on_every_chip() -> None:
    card = card_of("dunlin")
    chips = {c.title.split()[0]: c for c in read_chips(pages_as_svg(lay_out(card), "x"))}
    for colour in card.bit_map.colours:
        for bit in colour.bits:
            mark = f"{colour.name} {bit.bit}"
            for step in bit.paths[0].steps:
                assert chips[step.part].beside[step.target_pin] == [mark]
                assert chips[step.part].beside[step.source_pin] == [mark]
            source = bit.paths[0].source
            assert chips[source.part or ""].beside[source.pin or ""] == [mark]


def test_a_long_board_flows_without_cutting_a_chip() -> None:
    pages = lay_out(card_of("avocet"))
    per_page = [read_chips(pages_as_svg([page], "x")) for page in pages]
    drawn = [c for chips in per_page for c in chips]
    assert len(drawn) == 11
    assert all(len(c.names) == 16 for c in drawn)
    assert "(continued)" in flowing(pages)


def test_a_stopped_bit_says_why() -> None:
    netlist = board(
        """
        part J1 plug symbol=Conn_01x03 1=RED 2=GREEN 3=BLUE
        part U1 XC1234
        part R1 220
        part R2 220
        part R3 220
        J1.1 R1.1
        J1.2 R2.1
        J1.3 R3.1
        R1.2 U1.9
        R2.2 U1.10
        R3.2 U1.11
        """
    )
    shown = flowing(lay_out(make_card(trace_fully(netlist))))
    assert "0 of 3 bits" in shown
    assert "U1.9 (unknown part)" in shown
    assert "red 0, green 0, blue 0: the library has no entry for U1 (XC1234)" in shown
    assert "not all legs of U1 are known" in shown


def test_a_saved_map_shows_what_it_has_and_says_what_it_lacks() -> None:
    bit_map = trace(netlist_of("dunlin"))
    card = card_of_map(bit_map, load_library())
    pages = lay_out(card)
    shown = flowing(pages)
    assert "made from a saved map" in shown
    assert "all on" not in shown
    chips = {c.title.split()[0]: c for c in read_chips(pages_as_svg(pages, "x"))}
    assert len(chips["U13"].names) == 20, "legs of the part library, by the map's type"
    assert chips["U9"].beside["8"] == ["U11.4"]
    assert chips["U9"].beside["22"] == ["tied low"]


def test_a_saved_map_with_types_of_its_own_shows_only_its_legs() -> None:
    bit_map = trace(netlist_of("dunlin"))
    chips = tuple(replace(c, type="MY273") if c.part == "U13" else c for c in bit_map.chips)
    pages = lay_out(card_of_map(replace(bit_map, chips=chips), load_library()))
    assert "the map has no leg table of U13: only the legs it names are shown" in flowing(pages)
    drawn = {c.title.split()[0]: c for c in read_chips(pages_as_svg(pages, "x"))}
    assert len(drawn["U13"].names) == 18


def hostile() -> Netlist:
    return board(
        """
        part J1 <img/src=x> symbol=Conn_01x03 1=RED 2=GREEN 3=BLUE
        part U1 \u30b2\u30fc\u30e0\u30b2\u30fc\u30e0\u30b2\u30fc\u30e0\u30b2\u30fc\u30e0 place=<b>&"' 9=<script>alert(1)</script>:output 10=A_VERY_LONG_NAME_OF_A_PIN_THAT_NO_CHIP_CAN_HOLD:output 11=]]>:output
        part R1 220
        part R2 220
        part R3 220
        J1.1 R1.1
        J1.2 R2.1
        J1.3 R3.1
        R1.2 U1.9
        R2.2 U1.10
        R3.2 U1.11
        """,
        name="<script>alert('card')</script>\x1b[2J&amp;",
    )


def test_names_from_files_do_no_harm() -> None:
    pages = lay_out(make_card(trace_fully(hostile())))
    assert [f for page in pages for f in faults_of_page(page)] == []
    html = pages_as_html(pages, "<script>x</script>")
    assert "<script" not in html
    assert "\x1b" not in html
    assert "<img" not in html
    ET.fromstring(pages_as_svg(pages, "<&>"))


def test_svg_and_html_are_self_contained() -> None:
    html = pages_as_html(lay_out(card_of("wren")), "wren")
    assert not re.search(r"(?:src|href)=|@import|url\(", html)
    assert [u for u in re.findall(r"https?://[^\s\"'<]+", html) if u != "http://www.w3.org/2000/svg"] == []
    assert "@page { size: 210mm 297mm" in html


def test_same_board_same_bytes() -> None:
    one, two = (
        pages_as_svg(lay_out(make_card(trace_fully(netlist_of("plover")))), "plover") for _ in range(2)
    )
    assert one == two


def test_more_than_three_colours_and_shared_legs() -> None:
    netlist = read_netlist("netlists/dunlin/dunlin.net")
    traced = trace_fully(
        netlist, pins={"red": "J1.12", "red_low": "J1.12", "intensity": "J1.N", "blue": "J1.13"}
    )
    pages = lay_out(make_card(traced))
    assert [f for page in pages for f in faults_of_page(page)] == []
    shown = texts(pages)
    assert "red_low 3" in shown
    assert "intensity 0" in shown
    # R3 and the like are resistors, which stand with their values.
    assert not [t for t in shown if re.fullmatch(r"[RGB]L?\d(-\d)?", t)]


def test_no_connector_in_the_drawing() -> None:
    netlist = netlist_of("wren")
    net = netlist.nets_of_pins[netlist.find_pin("R1", "2")][0]
    pages = lay_out(make_card(trace_fully(netlist, pins={"red": f"net:{net}"})))
    assert f"RED net {net.rsplit('/', 1)[-1]}" in flowing(pages)
    assert "Connector" not in flowing(pages).replace("Connector J1", "")


@pytest.mark.parametrize("room", [56.0, 70.0, 190.0])
@pytest.mark.parametrize("n_bits", [1, 4])
def test_a_leg_of_all_colours_names_every_bit_however_narrow_the_chip_is(room: float, n_bits: int) -> None:
    chip = next(c for c in card_of("wren").chips if c.part == "U9")
    marks = tuple(LegMark(c, bit) for c in ("red", "green", "blue") for bit in reversed(range(n_bits)))
    legs = tuple(replace(g, marks=marks if g.number in ("1", "2", "15", "16") else ()) for g in chip.legs)
    drawn = draw_chip(replace(chip, legs=legs, marks=marks), Look(), room)
    page = Page(room + 20, drawn.height + 20, moved(drawn.shapes, 10.0, 10.0))
    assert faults_of_page(page) == []
    beside = " ".join(s.text for s in drawn.shapes if isinstance(s, Text)).replace(",", "")
    for colour in ("red", "green", "blue"):
        # Once under the chip's title, and at each of the four legs.
        bits = "0" if n_bits == 1 else "3-0"
        assert len(re.findall(rf"\b{colour} {bits}", beside)) == 5
