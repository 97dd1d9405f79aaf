"""The notes file that grows by answers: nothing is lost, and any answer can be taken back."""

from __future__ import annotations

from pathlib import Path

import pytest

from tracer.base.errors import EmitError
from tracer.beeps.facts import Facts
from tracer.cli.notes_file import NotesFile
from tracer.netlist.board import PinRef, Touch

HELD, ONE, TWO, THREE = PinRef("R1", "2"), PinRef("U13", "2"), PinRef("U13", "5"), PinRef("U14", "A6")
START = "board mine   # typed by hand\nU13 is 74LS273\nR1 is 220\n"


def quiet(*legs: PinRef) -> tuple[Touch, ...]:
    return tuple(Touch((HELD, leg), False) for leg in legs)


@pytest.fixture
def notes(tmp_path: Path) -> NotesFile:
    path = tmp_path / "board.notes"
    path.write_text(START, encoding="utf-8")
    return NotesFile(path)


def test_odd_names_are_quoted_and_read_back(notes: NotesFile) -> None:
    odd = Touch((PinRef("R 1", "2"), PinRef("U13", "a")), True)
    notes.add(Facts((odd,)))
    assert notes.netlist().notes.touches[-1].pins == odd.pins


def test_what_stood_there_is_kept_to_the_letter(notes: NotesFile) -> None:
    notes.add(Facts(quiet(ONE)))
    assert notes.path.read_text(encoding="utf-8") == START + "R1.2 != U13.2  # answer 1\n"


def test_line_ends_of_the_file_are_kept(tmp_path: Path) -> None:
    path = tmp_path / "board.notes"
    path.write_bytes(START.replace("\n", "\r\n").encode())
    NotesFile(path).add(Facts(quiet(ONE)))
    assert path.read_bytes().count(b"\r\n") == path.read_bytes().count(b"\n") == 4


def test_a_last_line_without_an_end_is_not_joined_to_the_next(tmp_path: Path) -> None:
    path = tmp_path / "board.notes"
    path.write_text(START.rstrip(), encoding="utf-8")
    NotesFile(path).add(Facts(quiet(ONE)))
    assert path.read_text(encoding="utf-8").splitlines()[-2:] == ["R1 is 220", "R1.2 != U13.2  # answer 1"]


def test_undo_takes_back_the_last_answer_and_only_that(notes: NotesFile) -> None:
    notes.add(Facts(quiet(ONE)))
    notes.add(Facts((*quiet(TWO), Touch((HELD, THREE), True))))
    gone = notes.undo()
    assert gone == ["R1.2 != U13.5  # answer 2", "R1.2 = U14.A6  # answer 2"]
    assert [t.pins[1] for t in notes.netlist().notes.touches] == [ONE]
    assert notes.undo() == ["R1.2 != U13.2  # answer 1"]
    assert notes.undo() == []


def test_an_undone_answer_stays_in_the_file_as_a_comment(notes: NotesFile) -> None:
    notes.add(Facts(quiet(ONE)))
    notes.undo()
    assert "# undone: R1.2 != U13.2  # answer 1" in notes.path.read_text(encoding="utf-8")


def test_numbers_of_answers_are_never_used_twice(notes: NotesFile) -> None:
    notes.add(Facts(quiet(ONE)))
    notes.undo()
    assert notes.add(Facts(quiet(TWO))) == ["R1.2 != U13.5  # answer 2"]


def test_a_struck_beep_no_longer_counts_and_comes_back_with_undo(notes: NotesFile) -> None:
    notes.add(Facts((Touch((HELD, ONE), True),)))
    notes.add(Facts(quiet(ONE), (), (Touch((HELD, ONE), True),)))
    assert [t.heard for t in notes.netlist().notes.touches] == [False]
    notes.undo()
    assert [t.heard for t in notes.netlist().notes.touches] == [True]


def test_a_beep_typed_by_hand_is_struck_too(notes: NotesFile) -> None:
    notes.path.write_text(START + "u13.2 = r1.2   # I think\n", encoding="utf-8")
    notes.add(Facts(quiet(ONE), (), (Touch((HELD, ONE), True),)))
    assert [t.heard for t in notes.netlist().notes.touches] == [False]
    assert "u13.2 = r1.2   # I think" in notes.path.read_text(encoding="utf-8")


def test_a_beep_strikes_that_none_was_heard_there_and_keeps_the_rest_of_the_line(notes: NotesFile) -> None:
    notes.path.write_text(START + "R1.2 != U13.[2 5 6]\n", encoding="utf-8")
    added = notes.add(Facts((Touch((HELD, TWO), True),), (), (Touch((TWO, HELD), False),)))
    assert added == ["R1.2 != U13.[2 6]  # answer 1", "R1.2 = U13.5  # answer 1"]
    assert "# struck by answer 1: R1.2 != U13.[2 5 6]" in notes.path.read_text(encoding="utf-8")
    notes.undo()
    assert [(t.pins[1].pin, t.heard) for t in notes.netlist().notes.touches] == [
        ("2", False),
        ("5", False),
        ("6", False),
    ]


def test_what_else_a_struck_line_joined_stays_joined(notes: NotesFile) -> None:
    notes.path.write_text(START + "R1.2 = U13.[2 5]\n", encoding="utf-8")
    notes.add(Facts(quiet(ONE), (), (Touch((HELD, ONE), True),)))
    assert [(t.pins[1], t.heard) for t in notes.netlist().notes.touches] == [(TWO, True), (ONE, False)]


def test_lines_typed_meanwhile_in_an_editor_are_kept(notes: NotesFile) -> None:
    notes.add(Facts(quiet(ONE)))
    with notes.path.open("a", encoding="utf-8") as file:
        file.write("R2 is 470\n")
    notes.add(Facts(quiet(TWO)))
    assert "R2 is 470\n" in notes.path.read_text(encoding="utf-8")


def test_a_link_to_the_notes_stays_a_link(notes: NotesFile, tmp_path: Path) -> None:
    link = tmp_path / "link.notes"
    link.symlink_to(notes.path)
    NotesFile(link).add(Facts(quiet(ONE)))
    assert link.is_symlink()
    assert "answer 1" in notes.path.read_text(encoding="utf-8")


def test_a_file_that_cannot_be_written_is_said_and_left(
    notes: NotesFile, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(**_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("tracer.base.write.tempfile.mkstemp", full)
    with pytest.raises(EmitError, match="No space left"):
        notes.add(Facts(quiet(ONE)))
    assert notes.path.read_text(encoding="utf-8") == START


def test_a_comment_with_a_number_of_thousands_of_digits_is_no_answer(notes: NotesFile) -> None:
    odd = f"U13.2 = R1.1  # answer {'9' * 5000}\n"
    notes.path.write_text(START + odd, encoding="utf-8")
    notes.add(Facts(quiet(TWO)))
    assert notes.path.read_text(encoding="utf-8") == f"{START}{odd}R1.2 != U13.5  # answer 1\n"
    assert notes.undo() == ["R1.2 != U13.5  # answer 1"]
    assert notes.undo() == []
