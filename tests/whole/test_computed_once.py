"""A command computes what follows from the board once, however many outputs show it."""

from __future__ import annotations

import inspect
import sys
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from types import CodeType, FrameType

import pytest

from tests.boards import NETLISTS
from tracer.card.chips import chip_views
from tracer.card.make import make_card
from tracer.card.pages import lay_out
from tracer.cli.main import main
from tracer.levels.at_rest import levels_at_rest
from tracer.levels.codes import _levels
from tracer.levels.leg_paths import leg_paths
from tracer.levels.legs import _readings
from tracer.levels.loaded_stage import loaded_stage, other_pins
from tracer.suspects.listing import list_faults
from tracer.suspects.path_legs import path_legs
from tracer.suspects.picture import picture_of

WHOLE = (
    leg_paths, _levels, _readings, chip_views, make_card, lay_out, path_legs, list_faults, picture_of,
)  # fmt: skip
BY_COLOUR = (loaded_stage, other_pins, levels_at_rest)


def count_calls(run: Callable[[], object], functions: tuple[Callable[..., object], ...]) -> Counter[str]:
    """How often each function itself ran, whoever called it; answers that were kept do not count."""
    wanted: dict[CodeType, str] = {inspect.unwrap(f).__code__: f.__name__ for f in functions}
    found: Counter[str] = Counter()

    def watch(frame: FrameType, event: str, _: object) -> None:
        if event == "call" and frame.f_code in wanted:
            found[wanted[frame.f_code]] += 1

    sys.setprofile(watch)
    try:
        run()
    finally:
        sys.setprofile(None)
    return found


@pytest.mark.parametrize("board", ["wren", "dunlin", "plover"])
def test_trace_into_a_folder_computes_each_thing_once(board: str, tmp_path: Path) -> None:
    netlist = NETLISTS / board / f"{board}.net"
    found = count_calls(lambda: main(["trace", str(netlist), "-o", str(tmp_path)]), (*WHOLE, *BY_COLOUR))
    assert found == {f.__name__: 1 for f in WHOLE} | {f.__name__: 3 for f in BY_COLOUR}


def test_evidence_adds_no_second_computing(tmp_path: Path) -> None:
    notes = tmp_path / "bench.notes"
    notes.write_text("seen red missing\nseen blue fine\n", encoding="utf-8")
    argv = ["report", str(NETLISTS / "dunlin" / "dunlin.net"), str(notes), "-o", str(tmp_path / "r.html")]
    found = count_calls(lambda: main(argv), (*WHOLE, *BY_COLOUR))
    assert found == {f.__name__: 1 for f in WHOLE} | {f.__name__: 3 for f in BY_COLOUR}
