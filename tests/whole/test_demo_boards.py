"""The demo boards: every form gives the map that the board was designed with.

The truth is in `tests/drawing/truth.py`, written from the designs. The maps in `netlists/` are what the program
prints for the KiCad netlists; write one anew with ``rgbroots trace netlists/wren/wren.net --json > ...``.
"""

from __future__ import annotations

import json
from dataclasses import replace

import jsonschema
import pytest

from tests.boards import NETLISTS
from tests.drawing.truth import COLOUR_PINS, TRUTH
from tracer.bitmap.json import emit
from tracer.bitmap.model import BitMap
from tracer.bitmap.read import read_map
from tracer.importers import read_netlist
from tracer.netlist.join import join_boards, parse_join
from tracer.tracing.pipeline import trace

SCHEMA = json.loads((NETLISTS.parent / "tracer" / "bitmap" / "map.schema.json").read_text(encoding="utf-8"))
BOARDS = ("wren", "dunlin", "plover", "avocet")
FORMS = ("net", "csv", "kicad_sch")


def traced(board: str, form: str) -> BitMap:
    if board != "avocet":
        return trace(read_netlist(NETLISTS / board / f"{board}.{form}"))
    halves = {n: read_netlist(NETLISTS / board / f"{n}.{form}") for n in ("avocet-main", "avocet-video")}
    return trace(join_boards(halves, [parse_join("avocet-main:J3=avocet-video:J1")]))


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("board", BOARDS)
def test_every_bit_is_where_the_design_put_it(board: str, form: str) -> None:
    bit_map = traced(board, form)
    assert bit_map.is_complete
    assert {c.name: f"{c.pin.part}.{c.pin.pin}" for c in bit_map.colours} == COLOUR_PINS[board]
    for colour in bit_map.colours:
        truth = TRUTH[board][colour.name]
        assert len(colour.bits) == len(truth)
        for bit, true in zip(colour.bits, truth, strict=True):
            assert f"{bit.driver.part}.{bit.driver.pin}" == true.driver
            assert bit.resistors[0].part == true.resistors[0]
            assert bit.resistors[0].ohm == true.ohm[0]
            picture = [p for p in bit.paths if p.role != "write path"]
            assert tuple(f"{p.source.part}.{p.source.pin}" for p in picture) == true.sources
            for path in picture:
                assert [f"{s.part}.{s.target_pin}" for s in path.steps] == [out for out, _ in true.path]
                for step, (_, inputs) in zip(path.steps, true.path, strict=True):
                    assert f"{step.part}.{step.source_pin}" in inputs


@pytest.mark.parametrize("board", BOARDS)
def test_every_form_gives_the_same_map_to_the_byte(board: str) -> None:
    assert len({emit(replace(traced(board, form), inputs=())) for form in FORMS}) == 1


@pytest.mark.parametrize("board", BOARDS)
def test_the_map_in_the_folder_is_what_the_program_prints_and_fits_the_schema(board: str) -> None:
    saved = (NETLISTS / board / f"{board}.map.json").read_text(encoding="utf-8")
    bit_map = traced(board, "net")
    assert emit(bit_map) == saved
    jsonschema.Draft202012Validator(SCHEMA).validate(json.loads(saved))
    assert read_map(saved, "saved") == bit_map
    assert [f.code for f in read_map(saved, "saved").findings] == [f.code for f in bit_map.findings]


def test_the_video_board_alone_stops_at_the_ribbon() -> None:
    bit_map = trace(read_netlist(NETLISTS / "avocet" / "avocet-video.net"))
    assert bit_map.n_traced == 0
    for colour in bit_map.colours:
        ends = [f"{b.paths[0].source.part}.{b.paths[0].source.pin}" for b in colour.bits]
        assert ends == [true.sources[0] for true in TRUTH["avocet-video"][colour.name]]
        assert all(b.paths[0].source.kind == "connector" for b in colour.bits)
        assert all("join the other board with --join" in (b.because or "") for b in colour.bits)


def test_a_cable_the_wrong_way_round_is_said() -> None:
    halves = {n: read_netlist(NETLISTS / "avocet" / f"{n}.net") for n in ("avocet-main", "avocet-video")}
    joined = join_boards(halves, [parse_join("avocet-main:J3=avocet-video:J1,mirror")])
    assert any(f.code == "rails-joined" for f in joined.findings)
