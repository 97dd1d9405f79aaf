"""Colours of nets in a project, for the board editor."""

from __future__ import annotations

import json

import pytest

from tests.unit.mark.marked import STYLES
from tracer.base.errors import EmitError
from tracer.mark.project import local_settings, net_colours, project_with
from tracer.mark.values import BoardMarks
from tracer.netlist.board import PinRef

BOARD = b"""(kicad_pcb (version 20241229) (net 0 "") (net 1 "/D0") (net 2 "/D1") (net 3 "GND")
  (footprint "x:R" (property "Reference" "R1") (pad "1" smd rect (net 1 "/D0")) (pad "2" smd rect (net 3 "GND")))
  (footprint "x:R" (property "Reference" "R2") (pad "1" smd rect (net 2 "/D1")) (pad "2" smd rect (net 3 "GND"))))
"""
RED, SEVERAL = frozenset({(0, 3)}), frozenset({(0, 3), (1, 0)})
MARKS = BoardMarks(STYLES, {PinRef("R1", "1"): RED, PinRef("R2", "1"): SEVERAL}, {}, {})


def test_the_nets_of_the_path_get_their_colour_and_shared_ones_black() -> None:
    colours = net_colours(BOARD, "x.kicad_pcb", MARKS)
    assert colours == {"/D0": "rgb(200, 32, 42)", "/D1": "rgb(0, 0, 0)"}


def test_a_board_that_was_joined_is_asked_by_its_name() -> None:
    joined = BoardMarks(STYLES, {PinRef("B:R1", "1"): RED}, {}, {})
    assert set(net_colours(BOARD, "x.kicad_pcb", joined, "B")) == {"/D0"}


def test_all_else_in_the_project_stays() -> None:
    before: dict[str, dict[str, object]] = {
        "meta": {"version": 1},
        "net_settings": {"classes": [1], "net_colors": {"/Q": "rgb(1, 2, 3)"}},
    }
    after = json.loads(project_with(json.dumps(before).encode(), "x.kicad_pro", {"/D0": "rgb(4, 5, 6)"}))
    assert after["net_settings"].pop("net_colors") == {"/Q": "rgb(1, 2, 3)", "/D0": "rgb(4, 5, 6)"}
    before["net_settings"].pop("net_colors")
    assert after == before


def test_a_board_without_a_project_gets_one_and_shows_the_colours_on_copper() -> None:
    assert json.loads(project_with(None, "x", {"/D0": "rgb(4, 5, 6)"}))["net_settings"]["net_colors"]
    assert json.loads(local_settings(b'{"board": {"x": 1}}', "x")) == {"board": {"x": 1, "net_color_mode": 0}}


@pytest.mark.parametrize(
    "data", [b"", b"[1]", b"update=1\n[general]", b"\xff\xfe", b'{"net_settings": 3}', b"[" * 100_000]
)
def test_what_is_no_project_is_refused(data: bytes) -> None:
    with pytest.raises(EmitError, match="no project of KiCad 6"):
        project_with(data, "x.kicad_pro", {})
