"""What the page shows of a map leaves nothing out that the terminal says."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.boards import board
from tracer.bitmap import terminal
from tracer.tracing.pipeline import trace
from tracer.web.shown import map_shown

CASES = sorted((Path(__file__).parents[2] / "cases" / "idioms").glob("*.txt"))


def test_a_colour_behind_a_selector_has_its_bits_in_each_state() -> None:
    text = (CASES[0].parent / "selector_before.txt").read_text(encoding="utf-8").partition("\n----\n")[0]
    red = map_shown(trace(board(text.partition("\n")[2], "selector")))["colours"][0]
    assert [(s["when"], [b["source"] for b in s["bits"]]) for s in red["sets"]] == [
        ("U5.9 C low", ["U3.9 D0"]), ("U5.9 C high", ["U4.11 D0"])
    ]  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=lambda path: path.stem)
def test_every_bit_of_every_idiom_is_shown_with_where_it_ends_or_why_not(case: Path) -> None:
    text = case.read_text(encoding="utf-8").partition("\n----\n")[0]
    bit_map = trace(board(text.partition("\n")[2], case.stem))
    shown = map_shown(bit_map)
    for colour, row in zip(bit_map.colours, shown["colours"], strict=True):
        sets = [colour.bits, *(state.bits for state in colour.states)]
        assert [len(bits) for bits in sets] == [len(one["bits"]) for one in row["sets"]]
        for bit, of_bit in zip(
            (b for bits in sets for b in bits), (b for s in row["sets"] for b in s["bits"]), strict=True
        ):
            assert of_bit["is_traced"] == bit.is_traced
            assert of_bit["source"] or of_bit["because"]
            assert bit.is_traced or of_bit["because"]
    said = " ".join(terminal.emit(bit_map, width=10_000).split())
    assert all(" ".join(finding["text"].split()) in said for finding in shown["findings"])
    assert f"{shown['verdict']}." in said
