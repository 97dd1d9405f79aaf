"""The command `mark`: where it writes, and what it never writes over."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tracer.cli.main import main
from tracer.cli.mark import RECORD

NETLISTS = Path(__file__).parents[3] / "netlists"


@pytest.fixture
def wren(tmp_path: Path) -> Path:
    (tmp_path / "board").mkdir()
    return Path(shutil.copy(NETLISTS / "wren" / "wren.kicad_sch", tmp_path / "board"))


def test_it_says_what_it_marked_and_which_line_is_which_colour(
    wren: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["mark", str(wren), "-o", str(wren.parent / "out")]) == 0
    said = capsys.readouterr().err
    assert "46 wires" in said
    assert "lines: red solid, green dashed, blue dotted" in said
    assert wren.read_bytes() == (NETLISTS / "wren" / "wren.kicad_sch").read_bytes()


def test_it_never_writes_into_the_folder_of_the_drawing(
    wren: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["mark", str(wren), "-o", str(wren.parent)]) == 2
    assert "a drawing is never written over" in capsys.readouterr().err
    assert [file.name for file in wren.parent.iterdir()] == ["wren.kicad_sch"]


def test_its_own_copies_are_replaced_and_those_that_somebody_changed_are_kept(
    wren: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = wren.parent / "out"
    command = ["mark", str(wren), "-o", str(out)]
    assert main(command) == 0
    wren.write_text(wren.read_text(encoding="utf-8").replace('"470"', '"560"'), encoding="utf-8")
    assert main(command) == 0
    copy = out / "wren.kicad_sch"
    assert '"560"' in copy.read_text(encoding="utf-8")
    copy.write_text(copy.read_text(encoding="utf-8") + "\n", encoding="utf-8")
    changed = copy.read_bytes()
    wren.write_text(wren.read_text(encoding="utf-8").replace('"560"', '"680"'), encoding="utf-8")
    assert main(command) == 2
    assert "is not as `rgbroots mark` left it; nothing was written" in capsys.readouterr().err
    assert copy.read_bytes() == changed


def test_a_drawing_of_somebody_else_is_not_replaced(wren: Path) -> None:
    out = wren.parent / "out"
    out.mkdir()
    (out / "wren.kicad_sch").write_bytes(b"mine")
    assert main(["mark", str(wren), "-o", str(out)]) == 2
    assert [(file.name, file.read_bytes()) for file in out.iterdir()] == [("wren.kicad_sch", b"mine")]


def test_a_netlist_is_no_drawing(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    netlist = NETLISTS / "wren" / "wren.net"
    assert main(["mark", str(netlist), "-o", str(tmp_path / "out")]) == 2
    assert "fix: give a schematic (.kicad_sch) or a board (.kicad_pcb)" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_two_boards_on_a_cable_are_marked_together(tmp_path: Path) -> None:
    """The memories stand on one, the connector on the other."""
    files = [
        f"{name}={NETLISTS}/avocet/avocet-{board}.kicad_sch"
        for name, board in (("A", "main"), ("B", "video"))
    ]
    assert main(["mark", *files, "--join", "A:J3=B:J1", "-o", str(tmp_path / "out")]) == 0
    names = sorted(file.name for file in (tmp_path / "out").iterdir())
    assert names == ["avocet-main.kicad_sch", "avocet-video.kicad_sch", RECORD]
    for name in names[:2]:
        assert '(text "red 3"' in (tmp_path / "out" / name).read_text(encoding="utf-8")
