"""Compiled modules stand in the place of their sources; a tar of them goes out and in again as it was."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tracer.web.in_runtime import compile_folder, pack_folders
from tracer.web.unpacked import unpack_tar

MODULE = (
    '"""Words."""\n\n\n\ndef fail():\n    """More words."""\n    raise ValueError\n\n\n'
    'def check(it):\n    """Only words and an assertion."""\n    assert it, "asserted"\n\n\n'
    'class Empty:\n    """Nothing else."""\n'
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    package = tmp_path / "site" / "thing"
    package.mkdir(parents=True)
    (package / "__init__.py").write_text("")
    (package / "one.py").write_text(MODULE)
    (package / "table.toml").write_text("a = 1\n")
    return tmp_path / "site"


def said(folder: Path, words: str) -> str:
    ended = subprocess.run(
        [sys.executable, "-c", words], cwd=folder, capture_output=True, text=True, check=False
    )
    return ended.stdout + ended.stderr


def test_a_compiled_module_is_imported_without_its_source(folder: Path) -> None:
    assert compile_folder(folder, keeps_docstrings=False)
    assert {p.name for p in folder.rglob("*") if p.is_file()} == {"__init__.pyc", "one.pyc", "table.toml"}
    assert said(folder, "import thing.one as o; print(o.__doc__, o.fail.__doc__)") == "None None\n"


def test_docstrings_stay_where_they_are_read(folder: Path) -> None:
    assert compile_folder(folder, keeps_docstrings=True)
    assert said(folder, "import thing.one as o; print(o.__doc__, o.fail.__doc__)") == "Words. More words.\n"


@pytest.mark.parametrize("keeps", [True, False])
def test_assertions_stay_as_packages_tell_wrong_files_by_them(folder: Path, keeps: bool) -> None:
    assert compile_folder(folder, keeps_docstrings=keeps)
    assert "AssertionError: asserted" in said(folder, "import thing.one; thing.one.check(False)")


def test_a_message_names_the_module_and_line_and_no_folder_of_this_machine(folder: Path) -> None:
    assert compile_folder(folder, keeps_docstrings=False)
    trace = said(folder, "import thing.one; thing.one.fail()")
    assert 'File "thing/one.py", line 7, in fail' in trace
    assert str(folder) not in trace.partition("one.py")[2]
    assert str(folder).encode() not in (folder / "thing" / "one.pyc").read_bytes()


def test_a_module_that_cannot_be_compiled_is_told_and_stays(
    folder: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    (folder / "thing" / "bad.py").write_text("def\n")
    assert not compile_folder(folder, keeps_docstrings=True)
    assert "SyntaxError" in "".join(capfd.readouterr())
    assert (folder / "thing" / "bad.py").is_file()


def test_what_is_packed_comes_out_as_it_was_and_twice_the_same(folder: Path, tmp_path: Path) -> None:
    data = pack_folders([folder])
    (folder / "thing" / "one.py").touch()
    assert pack_folders([folder]) == data
    unpack_tar(data, tmp_path / "out")
    there = {p.relative_to(folder): p.read_bytes() for p in folder.rglob("*") if p.is_file()}
    out = tmp_path / "out"
    assert {p.relative_to(out): p.read_bytes() for p in out.rglob("*") if p.is_file()} == there
