"""Inputs that once broke a reader, as the fuzzing found them: each is read or refused in time, with a sentence."""

from __future__ import annotations

import gzip
from pathlib import Path

import pytest

from tests.fuzz.engine import replay
from tests.fuzz.targets import target, target_names

FOLDER = Path(__file__).parent.parent / "cases" / "fuzz"
INPUTS = sorted(FOLDER.glob("*/*.gz"))
TARGETS = {name.replace(" ", "-"): name for name in target_names()}


@pytest.mark.parametrize("path", INPUTS, ids=lambda p: f"{p.parent.name}-{p.stem}")
def test_what_broke_a_reader_once_is_read_or_refused_in_time(path: Path, tmp_path: Path) -> None:
    reader = target(TARGETS[path.parent.name])
    assert replay(reader, gzip.decompress(path.read_bytes()), tmp_path) in ("read", "refused")


def test_every_folder_is_one_of_a_reader() -> None:
    assert {path.parent.name for path in INPUTS} <= set(TARGETS)
    assert len(INPUTS) >= 9
