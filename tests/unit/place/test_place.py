"""Where the parts of the path sit: from pads in millimetres, from the places of the board's print, from neither."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.boards import NETLISTS
from tests.boards import board as small_board
from tracer.cli.main import main
from tracer.importers import parse_netlist, read_netlist
from tracer.netlist.join import join_boards
from tracer.netlist.spots import arc_through, turned
from tracer.place.make import place_view
from tracer.place.svg import emit, side_as_svg
from tracer.place.values import PlaceView
from tracer.tracing.pipeline import Traced, trace_fully

#: A connector, a PROM and three resistors on a board of 100 by 60 mm; the PROM is turned by a quarter, R3 sits below.
BOARD = """(kicad_pcb (version 20221018) (generator pcbnew)
  (net 0 "") (net 1 "RED") (net 2 "GREEN") (net 3 "BLUE") (net 4 "VCC") (net 5 "GND")
  (net 6 "A") (net 7 "B") (net 8 "C")
  (gr_rect (start 0 0) (end 100 60) (layer "Edge.Cuts"))
  (footprint "DIP-16" (layer "F.Cu") (at 50 30 90)
    (property "Reference" "U1") (property "Value" "82S123")
    {prom})
  (footprint "R" (layer "F.Cu") (at 80 10) (property "Reference" "R1") (property "Value" "220")
    (pad "1" thru_hole circle (at 0 0) (net 6 "A")) (pad "2" thru_hole circle (at 5 0) (net 1 "RED")))
  (footprint "R" (layer "F.Cu") (at 80 20) (property "Reference" "R2") (property "Value" "220")
    (pad "1" thru_hole circle (at 0 0) (net 7 "B")) (pad "2" thru_hole circle (at 5 0) (net 2 "GREEN")))
  (footprint "R" (layer "B.Cu") (at 80 30) (property "Reference" "R3") (property "Value" "220")
    (pad "1" thru_hole circle (at 0 0) (net 8 "C")) (pad "2" thru_hole circle (at 5 0) (net 3 "BLUE")))
  (footprint "Conn" (layer "F.Cu") (at 95 10) (property "Reference" "J1") (property "Value" "RGB")
    (pad "1" thru_hole circle (at 0 0) (net 1 "RED")) (pad "2" thru_hole circle (at 0 5) (net 2 "GREEN"))
    (pad "3" thru_hole circle (at 0 10) (net 3 "BLUE"))))
"""
_NETS = {1: "6 A", 2: "7 B", 3: "8 C", 8: "5 GND", 15: "5 GND", 16: "4 VCC"}


def _prom() -> str:
    lines = []
    for pin in range(1, 17):
        x, y = (0.0, 2.54 * (pin - 1)) if pin <= 8 else (7.62, 2.54 * (16 - pin))
        number, _, name = _NETS.get(pin, "").partition(" ")
        net = f' (net {number} "{name}")' if number else ""
        lines.append(f'(pad "{pin}" thru_hole circle (at {x} {y}){net})')
    return "\n    ".join(lines)


def _traced() -> Traced:
    return trace_fully(parse_netlist(BOARD.format(prom=_prom()), "a.kicad_pcb"))


def test_a_pad_of_a_turned_footprint_lies_where_the_board_has_it() -> None:
    """A DIP turned by 90 degrees counter-clockwise has leg 1's row along the bottom, going right (KiCad's own rule)."""
    spot = _traced().circuit.netlist.by_reference["U1"].spot
    assert spot is not None
    at = {pad.pin: (pad.x, pad.y) for pad in spot.pads}
    assert at["1"] == (50.0, 30.0)
    assert at["2"] == pytest.approx((52.54, 30.0))
    assert at["16"] == pytest.approx((50.0, 22.38))


def test_turning_goes_counter_clockwise_as_a_person_sees_it() -> None:
    assert turned(1.0, 0.0, 90.0) == pytest.approx((0.0, -1.0))


def test_an_arc_passes_its_middle_and_ends_where_it_ends() -> None:
    """A half circle: three points of the unit circle."""
    pieces = arc_through((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0))
    assert pieces[-1][1] == pytest.approx((-1.0, 0.0))
    assert any(abs(x) < 1e-9 and y == pytest.approx(1.0) for _, (x, y) in pieces)
    assert all((x * x + y * y) == pytest.approx(1.0) for _, (x, y) in pieces)


def _view() -> PlaceView:
    view = place_view(_traced())
    assert view is not None
    return view


def test_the_parts_of_the_path_carry_their_colours_and_their_legs() -> None:
    view = _view()
    assert not view.is_grid
    parts = {p.part: p for p in view.parts}
    assert parts["U1"].colours == ("red", "green", "blue")
    assert {p.pin: p.colours for p in parts["U1"].pads if p.colours} == {
        "1": ("red",), "2": ("green",), "3": ("blue",),
    }  # fmt: skip
    assert [parts[r].role for r in ("U1", "R1", "J1")] == ["chip", "stage", "connector"]
    assert [parts[r].is_below for r in ("R1", "R3")] == [False, True]
    assert view.box == (0.0, 0.0, 100.0, 60.0)


def _texts(svg: str) -> dict[str, tuple[float, float]]:
    root = ElementTree.fromstring(f'<svg xmlns:x="x">{svg}</svg>')
    return {str(t.text): (float(t.attrib["x"]), float(t.attrib["y"])) for t in root.iter("text")}


def test_the_solder_side_is_the_component_side_in_a_mirror() -> None:
    traced, view = _traced(), _view()
    front, wide, _ = side_as_svg(view, traced.bit_map, "component side")
    back, _, _ = side_as_svg(view, traced.bit_map, "solder side")
    for part in ("J1", "R1"):
        (x, y), (mirrored, same) = _texts(front)[part], _texts(back)[part]
        assert y == pytest.approx(same)
        assert x + mirrored == pytest.approx(wide, abs=0.2)
    assert _texts(front)["J1"][0] > wide / 2


def test_every_board_that_is_drawn_is_drawn_the_same_twice_and_names_its_chips() -> None:
    traced = _traced()
    svg = emit(_view(), traced.bit_map)
    assert svg == emit(_view(), _traced().bit_map)
    ElementTree.fromstring(svg)
    assert {"U1 82S123", "J1", "R1", "R2", "R3"} <= set(re.findall(r">([^<>\n]+)</text>", svg))
    assert "solder side, mirrored" in svg


def test_places_of_the_print_make_a_grid() -> None:
    traced = trace_fully(read_netlist(NETLISTS / "dunlin" / "dunlin.net"))
    view = place_view(traced)
    assert view is not None
    assert view.is_grid
    columns, rows = dict(view.columns), dict(view.rows)
    boxes = {p.part: p.box for p in view.parts}
    for part, place in (("U13", "8D"), ("U14", "8E"), ("U9", "7D")):
        left, top, right, bottom = boxes[part]
        assert left < columns[place[0]] < right
        assert top < rows[place[1]] < bottom
    # Two chips of one place share its cell.
    assert boxes["U10"][3] <= boxes["U16"][1]


def test_joined_boards_lie_side_by_side() -> None:
    one = parse_netlist(BOARD.format(prom=_prom()), "a.kicad_pcb")
    both = join_boards({"A": one, "B": one}, ["A:J1=B:J1"])
    a, b = both.by_reference["A:R1"].spot, both.by_reference["B:R1"].spot
    assert a is not None
    assert b is not None
    assert b.pads[0].x - a.pads[0].x == pytest.approx(110.0)


def test_without_positions_nothing_is_drawn_and_one_line_says_what_would_help(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert place_view(trace_fully(small_board("part J1 socket 1=RED\npart U1 82S123\npart R1 220\n"
        "VCC: U1.16\nGND: U1.8 U1.15\nU1.1 R1.1\nRED: J1.1 R1.2\n", "bare"), pins={"red": "J1.1"})) is None  # fmt: skip
    notes = tmp_path / "bare.notes"
    notes.write_text(
        "board bare\nU1 is 82S123\nR1 is 220\nred is J1.1\nU1.1 = R1.1\nJ1.1 = R1.2\nGND: U1.8\nVCC: U1.16\n",
        encoding="utf-8",
    )
    assert main(["diagram", "--place", str(notes), "-o", str(tmp_path / "p.svg")]) == 1
    assert "U9 is 74LS273 at 7E" in capsys.readouterr().err
    assert not (tmp_path / "p.svg").exists()


def test_a_name_that_looks_like_mark_up_stays_text() -> None:
    text = BOARD.format(prom=_prom()).replace('"82S123"', '"82S123"').replace('"R1"', '"R<1>&"')
    traced = trace_fully(parse_netlist(text, "a.kicad_pcb"))
    view = place_view(traced)
    assert view is not None
    ElementTree.fromstring(emit(view, traced.bit_map))
