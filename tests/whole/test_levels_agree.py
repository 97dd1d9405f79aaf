"""`trace`, `levels` and the diagram say the same number of levels for each colour."""

from __future__ import annotations

import itertools
import re

import pytest

from tests.boards import NETLISTS
from tests.closed_loop.built.make import built_board, random_recipe
from tracer.bitmap.terminal import emit as as_text
from tracer.diagram.diagram import emit as as_diagram
from tracer.importers import read_netlist
from tracer.levels.codes import bench_levels
from tracer.levels.text import levels_as_text
from tracer.netlist.join import join_boards, parse_join
from tracer.tracing.load import MONITOR_OHM
from tracer.tracing.pipeline import Traced, trace_fully

DEMOS = ("wren", "dunlin", "plover", "avocet")
SEEDS = tuple(range(40))


def traced(board: str | int) -> Traced:
    if isinstance(board, int):
        true = built_board(random_recipe(board), board)
        return trace_fully(true.netlist, pins=true.told or None)
    if board == "avocet":
        halves = {n: read_netlist(NETLISTS / board / f"{n}.net") for n in ("avocet-main", "avocet-video")}
        return trace_fully(join_boards(halves, [parse_join("avocet-main:J3=avocet-video:J1")]))
    return trace_fully(read_netlist(NETLISTS / board / f"{board}.net"))


def in_trace(text: str) -> dict[str, int]:
    return {c.lower(): int(n) for c, n in re.findall(r"^([A-Z]+)  .*, (\d+) levels", text, re.MULTILINE)}


def in_levels(text: str) -> dict[str, int]:
    found: dict[str, int] = {}
    for names, n in re.findall(
        r"^([A-Z, ]+(?:and [A-Z]+ alike)?)  \d+ bits?, (\d+) levels", text, re.MULTILINE
    ):
        found |= {name.lower(): int(n) for name in re.split(r", | and ", names.removesuffix(" alike"))}
    return found


def in_diagram(svg: str) -> dict[str, int]:
    words = re.findall(r">([^<>]+)</text>", svg)
    return {
        a.strip().lower(): int(b.split()[0])
        for a, b in itertools.pairwise(words)
        if a.strip() in ("RED", "GREEN", "BLUE") and re.fullmatch(r"\s*(&#160;)*\d+ levels", b)
    }


@pytest.mark.parametrize("board", [*DEMOS, *SEEDS])
def test_the_number_of_levels_is_the_same_wherever_it_is_said(board: str | int) -> None:
    whole = traced(board)
    said = {c.name: c.levels for c in whole.bit_map.colours if c.levels and c.bits}
    table = bench_levels(whole, MONITOR_OHM)
    assert in_trace(as_text(whole.bit_map)) == {
        **said,
        **{c.name: c.levels for c in whole.bit_map.colours if not c.bits},
    }
    assert in_diagram(str(as_diagram(whole.bit_map, "svg"))) == said
    known = {c.colour for c in table.colours if c.loads}
    assert in_levels(levels_as_text(table)) == {name: n for name, n in said.items() if name in known}


@pytest.mark.parametrize("board", SEEDS)
def test_where_real_outputs_part_or_join_levels_it_is_said(board: int) -> None:
    table = bench_levels(traced(board), MONITOR_OHM)
    apart = {c.colour for c in table.colours if c.loads and c.loads[0].n_levels != c.n_levels}
    named = [f for f in table.findings if f.code == "levels-differ"]
    assert bool(apart) == bool(named)
