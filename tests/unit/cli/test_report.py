"""`rgbroots report` from the command line: exit codes, files, messages."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.boards import NETLISTS
from tracer.cli.main import main

WREN = str(NETLISTS / "wren" / "wren.net")


def run(capsys: pytest.CaptureFixture[str], *argv: str) -> tuple[int, str, str]:
    code = main(["report", *argv])
    out, err = capsys.readouterr()
    return code, out, err


def test_a_page_is_written(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    target = tmp_path / "w.html"
    assert run(capsys, WREN, "-o", str(target)) == (0, "", f"wrote {target}\n")
    text = target.read_text(encoding="utf-8")
    assert text.startswith("<!DOCTYPE html>")
    assert "8 of 8 colour bits traced to a memory pin" in text
    assert 'class="printed"' in text
    assert "swatches" not in text.partition("</style>")[2].partition("<script")[0]


def test_the_board_names_the_file(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run(capsys, WREN) == (0, "", "wrote wren.html\n")
    assert [p.name for p in tmp_path.iterdir()] == ["wren.html"]


def test_contents_give_swatches(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    dump, target = tmp_path / "u9.bin", tmp_path / "w.html"
    dump.write_bytes(bytes(range(32)))
    assert run(capsys, WREN, "--contents", f"u9={dump}", "-o", str(target))[0] == 0
    text = target.read_text(encoding="utf-8")
    assert 'id="healthy-swatches"' in text
    assert "wren: 32 entries" in text
    # The folder is nobody else's business, and another one gives the same bytes.
    assert str(tmp_path) not in text


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        (["-o", "x.pdf"], "a page cannot be written as x.pdf"),
        (["--contents", "U9"], "--contents U9 is not understood"),
        (["--contents", "U9=a.bin", "--contents", "U9=b.bin"], "--contents names U9 twice"),
        (["--load", "much"], "--load much is no resistance"),
    ],
)
def test_wrong_use_is_told(capsys: pytest.CaptureFixture[str], argv: list[str], said: str) -> None:
    code, out, err = run(capsys, WREN, *argv)
    assert (code, out) == (2, "")
    assert said in err


def test_a_stopped_bit_ends_with_1(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    target = tmp_path / "v.html"
    code, _, _ = run(capsys, str(NETLISTS / "avocet" / "avocet-video.net"), "-o", str(target))
    assert code == 1
    assert "stopped" in target.read_text(encoding="utf-8")


def test_the_load_is_told(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    target = tmp_path / "w.html"
    run(capsys, WREN, "--load", "none", "-o", str(target))
    assert "levels without a load" in target.read_text(encoding="utf-8")


def test_evidence_in_notes_brings_suspects_and_the_next_measurement(tmp_path: Path) -> None:
    notes = tmp_path / "bench.notes"
    notes.write_text("seen red missing\nseen green missing\nseen blue fine\n", encoding="utf-8")
    target = tmp_path / "page.html"
    assert main(["report", "netlists/dunlin/dunlin.net", str(notes), "-o", str(target)]) == 0
    text = target.read_text(encoding="utf-8")
    suspects = text[text.index('id="h-suspects"') : text.index('id="h-legs"')]
    assert "U13 74LS273 at 8D" in suspects
    assert "Next: " in suspects
    assert "U14" not in suspects.partition("<h3>")[0].partition("Suspects")[2].split("</li>")[0]
