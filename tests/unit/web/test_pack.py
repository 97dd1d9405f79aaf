"""What is packed for the browser: what is imported there, and nothing else; what is left out is not missed."""

from __future__ import annotations

import io
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from tests.unit.web.programs import put_program
from tracer.base.errors import EmitError
from tracer.web.pack import UNUSED_OF_STDLIB, pack, unpack_stdlib, unpack_wheel

NETLISTS = Path(__file__).parents[3] / "netlists"
#: Traces a board, and makes everything that the page shows, where the modules that were named cannot be imported.
WITHOUT = """\
import sys
for name in sys.argv[1].split(","):
    sys.modules[name] = None
from tracer.cli.main import main
sys.exit(main(["trace", sys.argv[2], "--json"]) or main(["report", sys.argv[2], "-o", sys.argv[3]])
    or main(["mark", sys.argv[2], "-o", sys.argv[4]]))
"""


def wheel(folder: Path, files: dict[str, str]) -> Path:
    path = folder / "thing-1.0-py3-none-any.whl"
    with zipfile.ZipFile(path, "w") as archive:
        for name, text in files.items():
            archive.writestr(name, text)
    return path


def names(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}


def test_what_is_never_imported_is_left_out(tmp_path: Path) -> None:
    there = ["thing/__init__.py", "thing/table.toml", "thing/deep/words.lark", "thing/contest.py"]
    left_out = [
        "thing/tests/test_a.py", "thing/deep/test/b.py", "thing/_fast.so", "thing/_fast.c", "thing/_fast.pyi",
        "thing/py.typed", "thing-1.0.data/scripts/thing", "thing-1.0.dist-info/METADATA", "thing-1.0.dist-info/RECORD",
        "tracer/web/assets/worker.js", "tracer/web/licences/MIT.txt",
    ]  # fmt: skip
    path = wheel(tmp_path, dict.fromkeys([*there, *left_out], "x"))
    unpack_wheel(path, tmp_path / "out")
    assert names(tmp_path / "out") == set(there)


def test_modules_that_a_wheel_keeps_elsewhere_are_put_where_pip_puts_them(tmp_path: Path) -> None:
    path = wheel(tmp_path, {"thing-1.0.data/purelib/thing.py": "x", "thing-1.0.data/platlib/tests/a.py": "x"})
    unpack_wheel(path, tmp_path / "out")
    assert names(tmp_path / "out") == {"thing.py"}


def test_our_own_version_can_be_asked(tmp_path: Path) -> None:
    path = wheel(tmp_path, {"thing-1.0.dist-info/METADATA": "Version: 1.0", "thing-1.0.dist-info/WHEEL": "x"})
    unpack_wheel(path, tmp_path / "out", keeps_version=True)
    assert names(tmp_path / "out") == {"thing-1.0.dist-info/METADATA"}


@pytest.mark.parametrize("name", ["LICENSE", "licenses/LICENCE.txt", "COPYING", "licenses/NOTICE"])
def test_the_text_of_a_licence_is_collected_and_not_packed(name: str, tmp_path: Path) -> None:
    path = wheel(tmp_path, {f"thing-1.0.dist-info/{name}": "You may.\n", "thing/copying.py": "x"})
    assert unpack_wheel(path, tmp_path / "out") == "You may."
    assert names(tmp_path / "out") == {"thing/copying.py"}


def test_of_the_standard_library_programs_and_servers_are_left_out(tmp_path: Path) -> None:
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w") as archive:
        for name in (
            "os.py",
            "unittest/mock.py",
            "pydoc.py",
            "json/__init__.py",
            "pyodide/ffi.py",
            "html/pydoc.py",
        ):
            archive.writestr(name, "x")
    unpack_stdlib(data.getvalue(), tmp_path / "stdlib", tmp_path / "whole")
    assert names(tmp_path / "stdlib") == {"os.py", "json/__init__.py", "html/pydoc.py"}
    assert names(tmp_path / "whole") == {"pyodide/ffi.py"}


def test_nothing_that_is_left_out_is_missed(tmp_path: Path) -> None:
    board = NETLISTS / "dunlin" / "dunlin.kicad_sch"
    words = (",".join(sorted(UNUSED_OF_STDLIB)), board, tmp_path / "a.html", tmp_path / "marked")
    ended = subprocess.run(
        [sys.executable, "-c", WITHOUT, *map(str, words)], capture_output=True, text=True, check=False
    )
    assert ended.returncode == 0, ended.stderr


def test_without_node_it_is_said_what_to_install(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(EmitError) as caught:
        pack({}, tmp_path, tmp_path, tmp_path)
    assert caught.value.what == "Node.js, which compiles the packages, is not installed"


def test_what_node_says_when_it_fails_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    put_program(tmp_path / "bin", "node", "echo 'out of memory' >&2; exit 134")
    monkeypatch.setenv("PATH", str(tmp_path / "bin"))
    (tmp_path / "runtime").mkdir()
    (tmp_path / "work").mkdir()
    zipfile.ZipFile(tmp_path / "runtime" / "python_stdlib.zip", "w").close()
    with pytest.raises(EmitError) as caught:
        pack({}, wheel(tmp_path, {"thing.py": ""}), tmp_path / "runtime", tmp_path / "work")
    assert caught.value.what == "the packages could not be compiled: out of memory"
    assert "node --version" in str(caught.value.fix)
