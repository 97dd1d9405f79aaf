"""Files are written whole or not at all: a full disk, a folder in the way, a stop leave the old file and a sentence."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.hostile import DUNLIN, kept, program, run
from tracer.base.errors import EmitError
from tracer.base.read_bytes import Unreadable, read_at_most
from tracer.base.write import write_whole


def test_a_file_that_cannot_be_written_whole_leaves_the_old_one(tmp_path: Path) -> None:
    """A limit on the size of files stands for a disk that runs full in the middle of one."""
    old = tmp_path / "d.svg"
    old.write_text("old")
    limit = "import resource; resource.setrlimit(resource.RLIMIT_FSIZE, (2000, 2000))"
    done = program("diagram", DUNLIN, "-o", old, first=limit)
    assert done.returncode == 2
    assert "cannot write it" in done.stderr
    assert "fix:" in done.stderr
    assert (old.read_text(), kept(tmp_path)) == ("old", ["d.svg"])


def test_a_full_device(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    full = tmp_path / "full.csv"
    full.symlink_to("/dev/full")
    code, _, error = run(capsys, "levels", DUNLIN, "-o", full)
    assert (code, "cannot write it: No space left on device" in error) == (2, True)
    assert full.is_symlink()


@contextmanager
def as_nobody() -> Iterator[None]:
    """Who may write everywhere cannot try what happens where one may not."""
    if os.geteuid():
        yield
        return
    os.seteuid(65534)
    try:
        yield
    finally:
        os.seteuid(0)


def test_a_folder_that_may_not_be_written(tmp_path: Path) -> None:
    folder = tmp_path / "fixed"
    folder.mkdir()
    old = folder / "d.svg"
    old.write_text("old")
    folder.chmod(0o555)
    for above in (tmp_path, *tmp_path.parents):
        if above.stat().st_uid == os.getuid() and not above.stat().st_mode & 0o001:
            above.chmod(above.stat().st_mode | 0o011)
    with as_nobody(), pytest.raises(EmitError, match="cannot write it: Permission denied"):
        write_whole(old, "new")
    folder.chmod(0o755)
    assert (old.read_text(), kept(folder)) == ("old", ["d.svg"])


@pytest.mark.parametrize(
    "command",
    [("diagram", "x.svg"), ("diagram", "x.png"), ("diagram", "x.dot"), ("card", "x.html"), ("card", "x.svg"),
     ("report", "x.html"), ("levels", "x.csv"), ("levels", "x.svg"), ("levels", "x.json"), ("convert", "x.notes"),
     ("convert", "x.net"), ("export", "x.cir"), ("trace", "x")],
)  # fmt: skip
def test_a_folder_has_the_name_or_there_is_no_folder(
    command: tuple[str, str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    taken, nowhere = tmp_path / command[1], tmp_path / "nowhere" / "deeper" / command[1]
    more = ("--spice",) if command[0] == "export" else ()
    if command[0] == "trace":
        # It makes its folders: what stands in its way is a file.
        taken.write_text("old")
        (tmp_path / "nowhere").write_text("old")
    else:
        taken.mkdir()
    for target in (taken, nowhere):
        code, _, error = run(capsys, command[0], DUNLIN, "-o", target, *more)
        assert code == 2
        assert "cannot write it" in error or "cannot make the folder" in error
        assert "fix:" in error
    assert [n for n in kept(tmp_path) if n.startswith(".")] == []


def test_a_link_keeps_leading_where_it_leads(tmp_path: Path) -> None:
    real, link = tmp_path / "real.svg", tmp_path / "link.svg"
    real.write_text("old")
    link.symlink_to(real.name)
    write_whole(link, "new")
    assert link.is_symlink()
    assert real.read_text() == "new"
    write_whole(Path("/dev/null"), "new")
    assert Path("/dev/null").is_char_device()


def test_the_longest_name_that_a_file_can_have(tmp_path: Path) -> None:
    target = tmp_path / ("x" * 251 + ".svg")
    write_whole(target, "new")
    assert target.read_text() == "new"
    with pytest.raises(EmitError, match="File name too long"):
        write_whole(tmp_path / ("x" * 252 + ".svg"), "new")


def test_a_stop_from_the_keyboard_leaves_nothing_half(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "d.svg"
    target.write_text("old")

    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(Path, "replace", stopped)
    with pytest.raises(KeyboardInterrupt):
        write_whole(target, "new")
    assert (target.read_text(), kept(tmp_path)) == ("old", ["d.svg"])


def test_a_file_that_another_program_holds_open_stays_and_the_way_out_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Windows lets nobody replace a file that a spreadsheet shows, or read one that is locked."""
    target = tmp_path / "pegel.csv"
    target.write_text("old")

    def held(*_: object) -> None:
        raise PermissionError(
            13, "The process cannot access the file because it is being used by another process"
        )

    monkeypatch.setattr(Path, "replace", held)
    with pytest.raises(EmitError, match="being used by another process") as caught:
        write_whole(target, "new")
    assert str(caught.value.fix).startswith("close the program that has it open")
    assert (target.read_text(), kept(tmp_path)) == ("old", ["pegel.csv"])
    monkeypatch.setattr(os, "open", held)
    with pytest.raises(Unreadable, match="being used by another process") as unread:
        read_at_most(target, 100, "")
    assert "close the program that has it open" in unread.value.fix
