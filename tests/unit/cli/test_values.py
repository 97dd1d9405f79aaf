"""Which load a command takes: told, else noted, else the heaviest that is usual."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tracer import map_file
from tracer.cli.main import main

DUNLIN = "netlists/dunlin/dunlin.net"


@pytest.fixture
def noted(tmp_path: Path) -> str:
    """Notes of a bench with a monitor made for game boards."""
    file = tmp_path / "bench.notes"
    file.write_text("load 1k\nseen red missing\n", encoding="utf-8")
    return str(file)


def run(capsys: pytest.CaptureFixture[str], *argv: str) -> str:
    assert main(argv) == 0
    return capsys.readouterr().out


def loads(text: str) -> list[float | None]:
    return [x["load_ohm"] for x in json.loads(text)["colours"]["red"]["loads"]]


def test_a_noted_load_is_the_first_of_the_levels_and_a_told_one_counts_more(
    capsys: pytest.CaptureFixture[str], noted: str
) -> None:
    assert loads(run(capsys, "levels", DUNLIN, "--json")) == [75, 1000, None]
    assert loads(run(capsys, "levels", DUNLIN, noted, "--json")) == [1000, 75, None]
    assert loads(run(capsys, "levels", DUNLIN, noted, "--load", "470", "--json")) == [470, 75, 1000, None]


@pytest.mark.parametrize(
    ("more", "ohm"),
    [((), 1000), (("--load", "none"), None), (("--load", "75"), 75), (("--load", "2k2"), 2200)],
)
def test_a_map_is_traced_at_it(
    capsys: pytest.CaptureFixture[str], noted: str, more: tuple[str, ...], ohm: float | None
) -> None:
    assert json.loads(run(capsys, "trace", DUNLIN, noted, "--json", *more))["load_ohm"] == ohm


def test_nothing_plugged_in_can_be_noted(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    (tmp_path / "bare.notes").write_text("load none\n", encoding="utf-8")
    assert loads(run(capsys, "levels", DUNLIN, str(tmp_path / "bare.notes"), "--json")) == [None, 75, 1000]


#: Command lines with FILES; what they write here tells the load.
_SAME = (
    "trace FILES -o OUT",
    "report FILES -o OUT.html",
    "card FILES -o OUT.svg",
    "export FILES --spice",
    "suspect FILES --json",
)


@pytest.mark.parametrize("line", _SAME)
def test_a_noted_load_does_what_the_told_one_does(
    capsys: pytest.CaptureFixture[str], noted: str, tmp_path: Path, line: str
) -> None:
    def outcome(folder: str, *more: str) -> list[str]:
        place = tmp_path / folder
        place.mkdir()
        words = line.replace("OUT", str(place / "out")).replace("FILES", f"{DUNLIN} {noted}").split()
        texts = [run(capsys, *words, *more)]
        written = [p for p in sorted(place.rglob("*")) if p.suffix in (".html", ".svg", ".json")]
        return texts + [p.read_text(encoding="utf-8") for p in written]

    by_notes = outcome("one")
    assert by_notes == outcome("two", "--load", "1k")
    if not line.startswith("suspect"):
        assert by_notes != outcome("three", "--load", "75"), "the load is seen in what is written"


def test_a_pool_of_boards_takes_the_noted_load_too(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    board = tmp_path / "board.notes"
    main(["convert", DUNLIN, "-o", str(board)])
    board.write_text(board.read_text(encoding="utf-8") + "load 1k\n", encoding="utf-8")
    capsys.readouterr()
    assert map_file(board)["load_ohm"] == 1000
    assert map_file(board, load_ohm=None)["load_ohm"] is None
    assert map_file(board) == json.loads(run(capsys, "trace", str(board), "--json"))
