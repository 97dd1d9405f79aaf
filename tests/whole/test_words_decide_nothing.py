"""Sentences are for people: with nonsense in their place, everything that is computed stays the same."""

from __future__ import annotations

import hashlib
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from types import FunctionType

import pytest

from tests.palettes import PROM
from tests.palettes import traced as small_board
from tracer.bitmap import text
from tracer.bitmap.csv import emit as as_csv
from tracer.bitmap.model import Bit, BitMap
from tracer.bitmap.terminal import emit as as_terminal
from tracer.bitmap.text import driven_by_text
from tracer.card.chips import chip_views_of_map
from tracer.card.make import probe_order
from tracer.diagram.plan import make_plan
from tracer.importers import read_netlist
from tracer.levels.codes import compute_levels
from tracer.levels.legs import read_legs
from tracer.netlist.board import Netlist
from tracer.netlist.merge import merge_netlists
from tracer.palette.entry_index import entry_index, used_words
from tracer.palette.word_bits import memories_of
from tracer.parts.library import load_library
from tracer.suspects.answer import answer_notes
from tracer.tracing.pipeline import Traced, trace_fully

NETLISTS = Path(__file__).parents[2] / "netlists"
NOTES = "seen red missing\nseen green fine\nseen blue fine\n"
LIBRARY = load_library()


def with_notes(file: str) -> Netlist:
    from tracer.importers import parse_netlist

    return merge_netlists([read_netlist(NETLISTS / file), parse_netlist(NOTES, "bench.notes")])


#: Held, pulled, driven and loose address lines stand in one of them; the video board stops at its connector.
PULLED = PROM.replace("IDX3: U1.13 U2.10", "IDX3: U1.13 R9.1\npart R9 4k7\nVCC: R9.2").replace(
    "IDX2: U1.12 U2.7", ""
)
BOARDS = {
    "dunlin": lambda: trace_fully(with_notes("dunlin/dunlin.net")),
    "plover": lambda: trace_fully(with_notes("plover/plover.net")),
    "video board alone": lambda: trace_fully(with_notes("avocet/avocet-video.net")),
    "pulled and loose lines": lambda: small_board(PULLED),
}


def nonsense(sentence: str | None) -> str | None:
    """Another text for each text."""
    return sentence if sentence is None else f"mumble {hashlib.sha256(sentence.encode()).hexdigest()[:9]}"


def mumbled(bit: Bit) -> Bit:
    return replace(bit, paths=tuple(replace(path, because=nonsense(path.because)) for path in bit.paths))


def with_nonsense(traced: Traced) -> Traced:
    """The map with nonsense for the reasons of its paths and for its findings."""
    bit_map = traced.bit_map
    colours = tuple(replace(c, bits=tuple(mumbled(bit) for bit in c.bits)) for c in bit_map.colours)
    findings = tuple(replace(finding, text=nonsense(finding.text) or "") for finding in bit_map.findings)
    return replace(traced, bit_map=replace(bit_map, colours=colours, findings=findings))


def map_facts(bit_map: BitMap) -> Iterator[object]:
    yield bit_map.is_complete, bit_map.n_traced, bit_map.colours_at_once
    yield [[bit.is_traced for bit in colour.bits] for colour in bit_map.colours]
    yield [[(line.is_live, line.level) for line in memory.lines] for memory in bit_map.index]
    chips = chip_views_of_map(bit_map, LIBRARY)
    yield [[(leg.number, leg.tied, leg.driver, leg.is_control) for leg in chip.legs] for chip in chips]
    yield probe_order(bit_map, chips)
    plan = make_plan(bit_map)
    yield [(box.node, box.bits, [(row.ins, row.out, row.inverts) for row in box.rows]) for box in plan.boxes]
    yield plan.lines


def facts(traced: Traced) -> list[object]:
    """What is computed on from a map, without the sentences that stand beside it."""
    found = [*map_facts(traced.bit_map)]
    shapes = memories_of(traced)
    index = entry_index(traced.circuit, shapes.values())
    found += [[bit.legs for bit in index.bits], index.lines, [finding.code for finding in index.findings]]
    found += [used_words(traced.circuit, shape) for shape in shapes.values()]
    levels = compute_levels(traced, (75.0,))
    found += [levels.colours, [finding.code for finding in levels.findings]]
    found += [[(leg.part, leg.pin, leg.activity, leg.low, leg.high) for leg in read_legs(traced)]]
    answer = answer_notes(traced)
    if answer is not None:
        found += [[(s.part, s.what, s.pins, s.probability) for s in answer.suspects]]
        found += [[(m.part, m.pin, m.minutes, [o.probability for o in m.outcomes]) for m in answer.next]]
    return found


def mumble(monkeypatch: pytest.MonkeyPatch, function: FunctionType) -> None:
    """Nonsense for a function's words, wherever it was imported to."""
    for module in [m for name, m in sys.modules.items() if name.startswith("tracer.")]:
        for name, value in list(vars(module).items()):
            if value is function:
                monkeypatch.setattr(module, name, lambda *_, **__: "mumble")


@pytest.mark.parametrize("board", BOARDS)
def test_nonsense_for_reasons_and_findings_changes_nothing_that_is_computed(board: str) -> None:
    traced = BOARDS[board]()
    said = with_nonsense(traced)
    assert said.bit_map != traced.bit_map
    assert facts(said) == facts(traced)


@pytest.mark.parametrize("board", BOARDS)
def test_nonsense_for_the_words_of_a_map_changes_nothing_that_is_computed(
    board: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = facts(BOARDS[board]())
    # Names of colours, references and legs are no sentences.
    for name in text.__all__:
        function = getattr(text, name)
        if isinstance(function, FunctionType):
            mumble(monkeypatch, function)
    traced = BOARDS[board]()
    assert facts(traced) == before
    assert "mumble" in as_terminal(traced.bit_map)
    assert "mumble" in as_csv(traced.bit_map)


def test_the_words_of_an_address_line_are_made_in_one_place(monkeypatch: pytest.MonkeyPatch) -> None:
    mumble(monkeypatch, driven_by_text)  # type: ignore[arg-type]
    shown = as_terminal(BOARDS["pulled and loose lines"]().bit_map)
    assert not any(word in shown for word in ("tied", "pulled", "not stated", "(74x174 1Q)"))
