"""Answers to the search by beeps as people give them."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import pytest

from tracer.cli.main import main

NOTES = (
    "board mine\nU9 is 6116 at 7D\nU13 is 74LS273 at 8D\n[R1 R2] is 220\nR3 is 33\nJ1 is plug, 4 legs\n"
    "red is J1.1\ngreen is J1.2\nblue is J1.3\n"
)
Talk = Callable[..., tuple[str, str]]


@pytest.fixture
def talk(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Talk:
    path = tmp_path / "mine.notes"

    def said(words: str, more: str = "") -> tuple[str, str]:
        path.write_text(NOTES + more, encoding="utf-8")
        monkeypatch.setattr("sys.stdin", io.StringIO(words))
        main(["beep", str(path), "--ask"])
        return capsys.readouterr().out, path.read_text(encoding="utf-8").removeprefix(NOTES + more)

    return said


@pytest.mark.parametrize("word", ["no", "none", "n", "Nothing", "silent"])
def test_no_is_none(talk: Talk, word: str) -> None:
    _, added = talk(f"{word}\nquit\n")
    assert "J1.1 != " in added
    assert " = " not in added.replace("!=", "")


def test_several_legs_of_one_sweep_beep(talk: Talk) -> None:
    _, added = talk("R1.1, R2.1\nquit\n")
    assert "J1.1 = R1.1" in added
    assert "J1.1 = R2.1" in added


@pytest.mark.parametrize("word", ["help", "?", ""])
def test_help_says_what_can_be_typed_and_asks_again(talk: Talk, word: str) -> None:
    out, added = talk(f"{word}\nquit\n")
    assert "bad leg (one that cannot be" in " ".join(out.split())
    assert added == ""


def test_a_leg_that_cannot_be_touched_is_passed_over(talk: Talk) -> None:
    out, added = talk("bad leg\nquit\n")
    assert added == ""
    assert out.count("Hold one lead") == 2


def test_a_leg_that_was_not_swept_is_questioned_before_it_is_noted(talk: Talk) -> None:
    out, added = talk("U13.19\nno\nquit\n")
    assert "U13.19 was not among the legs to touch" in out
    assert added == ""
    assert "J1.1 = U13.19" in talk("U13.19\nyes\nquit\n")[1]


def test_an_answer_that_speaks_against_an_earlier_one_is_shown_with_it_before_anything_is_struck(
    talk: Talk,
) -> None:
    earlier = "J1.1 != R1.1\n"
    out, added = talk("R1.1\nno\nquit\n", earlier)
    assert "an earlier answer says otherwise: J1.1 != R1.1 (line 10)" in " ".join(out.split())
    assert added == ""


def test_ground_is_a_leg_of_ground(talk: Talk) -> None:
    _, added = talk("ground\nyes\nquit\n")
    assert "J1.1 = U" in added
