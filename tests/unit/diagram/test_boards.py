"""The diagram of whole boards: every way of the map is a chain of lines, and no line is without a way."""

from __future__ import annotations

from functools import cache
from pathlib import Path as FilePath

import pytest

from tests.boards import board
from tests.closed_loop.random_boards import BoardMaker
from tests.unit.diagram.diagram_values import edges, svg, words
from tracer.bitmap.model import Bit, BitMap, Path
from tracer.diagram.plan import identifier
from tracer.tracing.pipeline import trace

CASES = sorted((FilePath(__file__).parents[2] / "cases" / "idioms").glob("*.txt"))


#: Name -> the file of a case, or the seed of a random board.
BOARDS: dict[str, FilePath | int] = {
    **{case.stem: case for case in CASES},
    **{f"random {seed}": seed for seed in range(20)},
}


@cache
def map_of(name: str) -> BitMap:
    made_of = BOARDS[name]
    if isinstance(made_of, int):
        return trace(BoardMaker(made_of).make().netlist)
    text = made_of.read_text(encoding="utf-8").partition("\n----\n")[0]
    return trace(board(text.partition("\n")[2], name))


def shown_ways(bit: Bit) -> list[Path]:
    return [p for p in bit.paths if p.role != "write path"] or list(bit.paths)


def stops(path: Path) -> list[tuple[str, set[str]]]:
    """The parts of a way, from the memory on, each with the legs that the data passes."""
    legs = [(step.part, {step.source_pin, step.target_pin}) for step in reversed(path.steps)]
    source = path.source
    return [(source.part, {source.pin or ""}), *legs] if source.part else legs


def part_of(node: str) -> str:
    """``chip-U4-2`` and ``part-R5-1_20_2`` stand for U4 and R5."""
    return node.partition("-")[2].split("-")[0]


@pytest.mark.parametrize("name", BOARDS)
def test_every_way_is_a_chain_of_lines(name: str) -> None:
    bit_map = map_of(name)
    lines = edges(bit_map)
    for colour in bit_map.colours:
        for bit in colour.bits:
            own = [e for e in lines if f"bit-{colour.name}-{bit.bit}" in e.classes]
            heads = {(e.tail, e.head) for e in own}
            assert (
                f"stage-{colour.name}",
                f"connector-{identifier(colour.pin.part or '')}".rstrip("-"),
            ) in heads
            for path in shown_ways(bit):
                parts = [identifier(part) for part, _ in stops(path)]
                front = {e.tail for e in own if not parts or part_of(e.tail) == parts[0]}
                for part in parts[1:]:
                    front = {head for tail, head in heads if tail in front and part_of(head) == part}
                assert any(head == f"stage-{colour.name}" for tail, head in heads if tail in front), path


@pytest.mark.parametrize("name", BOARDS)
def test_no_line_joins_what_no_way_joins(name: str) -> None:
    bit_map = map_of(name)
    joined: set[tuple[str, str, str]] = set()
    for colour in bit_map.colours:
        for bit in colour.bits:
            for path in shown_ways(bit):
                parts = [identifier(part) for part, _ in stops(path)]
                if not path.source.part:
                    parts.insert(0, "none")
                for pair in zip(parts, [*parts[1:], colour.name], strict=True):
                    joined.add((f"bit-{colour.name}-{bit.bit}", *pair))
    for line in edges(bit_map):
        if "write-path" in line.classes or line.tail.startswith("stage-"):
            continue
        for bit_class in [c for c in line.classes if c.startswith("bit-")]:
            assert (bit_class, part_of(line.tail), part_of(line.head)) in joined, line


@pytest.mark.parametrize("name", BOARDS)
def test_every_leg_of_every_way_can_be_read(name: str) -> None:
    bit_map = map_of(name)
    root = svg(bit_map)
    nodes = {n for e in edges(bit_map) for n in (e.tail, e.head)}
    read: dict[str, set[str]] = {}
    for node in nodes:
        read.setdefault(part_of(node), set()).update(words(root, node).split())
    for colour in bit_map.colours:
        for bit in colour.bits:
            for path in shown_ways(bit):
                for part, legs in stops(path):
                    assert legs <= read[identifier(part)], (part, legs)
            if not bit.is_traced:
                stopped = " ".join(words(root, n) for n in nodes if n.startswith("stop-"))
                assert "stopped:" in stopped
