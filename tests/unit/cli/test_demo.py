"""`rgbroots demo`: the boards that come with the program, listed and written."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from tracer.base.demo_boards import DEMOS
from tracer.cli.main import main

NETLISTS = Path(__file__).parents[3] / "netlists"


def test_every_demo_board_is_listed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["demo"]) == 0
    out = capsys.readouterr().out
    assert {demo.name for demo in DEMOS} == {folder.name for folder in NETLISTS.iterdir()}
    assert all(f"\n  {demo.name} " in out for demo in DEMOS)
    assert max(map(len, out.splitlines())) <= 80


def test_all_files_are_written_as_they_are_and_a_second_time_does_no_harm(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for _ in range(2):
        assert main(["demo", "-o", str(tmp_path)]) == 0
        assert capsys.readouterr().err == f"wrote 30 files in {tmp_path}\n"
    written = {p.relative_to(tmp_path): p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()}
    assert written == {p.relative_to(NETLISTS): p.read_bytes() for p in NETLISTS.rglob("*") if p.is_file()}


def test_another_file_of_that_name_stays_and_nothing_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own = tmp_path / "wren" / "wren.net"
    own.parent.mkdir()
    own.write_text("my own", encoding="utf-8")
    assert main(["demo", "-o", str(tmp_path)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith(f"{own}: it is there already, and differs")
    assert [p for p in tmp_path.rglob("*") if p.is_file()] == [own]
    assert own.read_text(encoding="utf-8") == "my own"


def test_what_it_says_to_type_next_works(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "demo boards"
    main(["demo", "-o", str(folder)])
    said = capsys.readouterr().out
    lines = [shlex.split(line) for line in re.findall(r"^  (.+)$", said, re.MULTILINE)]
    assert lines[0] == ["cd", str(folder / "dunlin")]
    commands = [line[1:] for line in lines if line[0] == "rgbroots"]
    assert len(commands) == len(DEMOS)
    for demo, command in zip(DEMOS, commands, strict=True):
        monkeypatch.chdir(folder / demo.name)
        assert main(command) == 0
        assert "bits traced to a memory pin" in capsys.readouterr().out
    assert (folder / "dunlin" / "out" / "report.html").is_file()
