"""The command card."""

from __future__ import annotations

import builtins
from pathlib import Path
from typing import Any

import pytest

from tracer.cli.main import main

DUNLIN = "netlists/dunlin/dunlin.net"


@pytest.mark.parametrize(
    ("suffix", "starts"), [(".pdf", b"%PDF-1."), (".html", b"<!doctype html>"), (".svg", b"<?xml ")]
)
def test_card_into_a_file(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, suffix: str, starts: bytes
) -> None:
    target = tmp_path / f"card{suffix}"
    assert main(["card", DUNLIN, "-o", str(target)]) == 0
    out, err = capsys.readouterr()
    assert (out, err) == ("", f"wrote {target} (3 pages)\n")
    assert target.read_bytes().startswith(starts)


def test_same_board_same_pdf(tmp_path: Path) -> None:
    for name in ("a.pdf", "b.pdf"):
        assert main(["card", DUNLIN, "-o", str(tmp_path / name)]) == 0
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()


def test_letter(tmp_path: Path) -> None:
    target = tmp_path / "card.svg"
    assert main(["card", DUNLIN, "--paper", "letter", "-o", str(target)]) == 0
    assert 'viewBox="0 0 215.9 838.2"' in target.read_text(encoding="utf-8")


def test_a_saved_map(tmp_path: Path) -> None:
    target = tmp_path / "card.html"
    assert main(["card", "netlists/dunlin/dunlin.map.json", "-o", str(target)]) == 0
    assert "made from a saved map" in target.read_text(encoding="utf-8")


def test_load(tmp_path: Path) -> None:
    target = tmp_path / "card.svg"
    assert main(["card", DUNLIN, "--load", "470", "-o", str(target)]) == 0
    assert "470 ohm: all off" in target.read_text(encoding="utf-8")


def test_another_form_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["card", DUNLIN, "-o", "card.png"]) == 2
    assert "end the name in .pdf, .html, .svg" in capsys.readouterr().err


def test_without_the_extra_it_says_what_to_do(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    real = builtins.__import__

    def without(name: str, *args: Any, **kwargs: Any) -> Any:
        if name.split(".")[0] == "reportlab":
            raise ImportError(name)
        return real(name, *args, **kwargs)

    monkeypatch.setattr(builtins, "__import__", without)
    assert main(["card", DUNLIN, "-o", str(tmp_path / "card.pdf")]) == 2
    err = capsys.readouterr().err
    assert "rgbroots[pdf]" in err
    assert "card.html" in err
    assert not (tmp_path / "card.pdf").exists()


def test_the_default_name_stays_in_the_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = Path(DUNLIN).read_text(encoding="utf-8")
    source = tmp_path / "board.net"
    source.write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    assert main(["card", str(source)]) == 0
    assert [p.name for p in tmp_path.glob("*.html")] == ["board-card.html"]
