"""What real boards do, each as a small board: `tests/cases/idioms/*.txt`.

A case is a title, a board in the form of `tests/boards.py`, a line of dashes,
and what the map must say: a line a bit (colour, bit, weight, resistors, driver,
then role and source of each path) and the codes of the findings.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.boards import board
from tracer.bitmap.model import Bit, BitMap
from tracer.tracing.pipeline import trace

CASES = sorted((Path(__file__).parents[2] / "cases" / "idioms").glob("*.txt"))


def report(bit_map: BitMap) -> str:
    """The map in the form of the cases."""
    lines = []
    for colour in bit_map.colours:
        lines += [f"{colour.name} {_bit(bit)}" for bit in colour.bits]
        for state in colour.states:
            when = ",".join(f"{w.part}.{w.pin}={w.level}" for w in state.when)
            lines += [f"{colour.name} at {when}: {_bit(bit)}" for bit in state.bits]
    lines.append(f"colours {bit_map.colours_possible}")
    codes = sorted({f.code for f in bit_map.findings} - {"colour-by-name", "from-memory"})
    lines.append("findings " + " ".join(codes) if codes else "findings none")
    return "\n".join(lines) + "\n"


def _bit(bit: Bit) -> str:
    resistors = "+".join(r.part for r in bit.resistors) or "-"
    ends = []
    for path in bit.paths:
        when = ",".join(f"{w.part}.{w.pin}={w.level}" for w in path.when)
        source = path.source
        where = f"{source.part}.{source.pin}" if source.part else "-"
        ends.append(f"{path.role}{'[' + when + ']' if when else ''} {where} {source.kind}")
    state = "" if bit.is_traced else " STOPPED"
    return (
        f"{bit.bit} {bit.weight:.3f} {resistors} {bit.driver.part}.{bit.driver.pin}{state}; {'; '.join(ends)}"
    )


@pytest.mark.parametrize("case", CASES, ids=lambda p: p.stem)
def test_the_map_says_what_the_board_does(case: Path) -> None:
    text, expected = case.read_text(encoding="utf-8").split("\n----\n")
    assert report(trace(board(text.partition("\n")[2], case.stem))) == expected


def test_there_are_cases() -> None:
    assert len(CASES) >= 35
