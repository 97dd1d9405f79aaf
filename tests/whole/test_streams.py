"""Every command on what a repairer's machine writes into: code pages of Windows and DOS, ASCII, no Unicode anywhere.

The board's names hold what such a stream lacks: signs of units, letters with marks, Soviet markings.
"""

from __future__ import annotations

import io
import json
import os
import shlex
import shutil
import subprocess
import sys
from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

import pytest

from tests.hostile import PROGRAM
from tests.same_outputs import ANSWERS, BOARDS, command_lines, commands, lay_out
from tracer.base.plain import PLAIN
from tracer.cli.main import main

CODE_PAGES = ("cp1252", "cp437", "cp850", "ascii")
ROOT = Path(__file__).parents[2]
#: What stands in the netlist -> what stands there now.
NAMES = {
    '(value "74LS273")': '(value "74LS273 (К555ИР35)")',
    '(value "220")': '(value "220Ω ±5%")',
    '(value "100n")': '(value "0,1µF")',
    '(value "7D")': '(value "7Д")',
}
#: Other boards give nothing that this one does not.
OTHERS = ("wren", "plover", "avocet")


def lines() -> list[str]:
    """Every command with every output, on one board."""
    return [line for line in command_lines() if not any(other in line for other in OTHERS)]


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("bench")
    lay_out(folder)
    text = (folder / "dunlin.net").read_text(encoding="utf-8")
    for name, now in NAMES.items():
        assert name in text, name
        text = text.replace(name, now)
    (folder / "dunlin.net").write_text(text, encoding="utf-8")
    return folder


class Kept(io.TextIOWrapper):
    """A stream of a code page that keeps what was meant beside what came out."""

    def __init__(self, encoding: str, errors: str) -> None:
        self.raw_bytes = io.BytesIO()
        self.meant = ""
        super().__init__(self.raw_bytes, encoding, errors, write_through=True)

    def write(self, text: str, /) -> int:
        self.meant += text
        return super().write(text)

    @property
    def came(self) -> str:
        """What someone sees who reads the bytes in the stream's encoding."""
        return self.raw_bytes.getvalue().decode(self.encoding)


class Gave(NamedTuple):
    """What a command gave on streams of a code page."""

    code: int
    out: Kept
    error: Kept


def run(line: str, encoding: str, folder: Path, monkeypatch: pytest.MonkeyPatch) -> Gave:
    """Run a command line in this process."""
    monkeypatch.chdir(folder)
    out, error = Kept(encoding, "strict"), Kept(encoding, "backslashreplace")
    with monkeypatch.context() as patched:
        patched.setattr(sys, "stdout", out)
        patched.setattr(sys, "stderr", error)
        patched.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(ANSWERS), encoding))
        try:
            code = main(shlex.split(line))
        except SystemExit as ended:
            code = int(ended.code or 0)
    return Gave(code, out, error)


def marks(text: str) -> int:
    """Question marks, the sign of a letter that was lost."""
    return text.count("?")


@pytest.mark.parametrize("line", lines())
def test_every_command_writes_into_a_stream_of_ascii(
    line: str, bench: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """ASCII lacks what any other lacks; what was meant is then tried in each code page."""
    if line.startswith("completion"):
        pytest.importorskip("shtab")
    gave = run(line, "ascii", bench, monkeypatch)
    assert gave.code in (0, 1, 2)
    for stream in (gave.out, gave.error):
        assert marks(stream.came) == marks(stream.meant)
        assert "Traceback" not in stream.came
        for page in CODE_PAGES:
            assert marks(stream.meant.encode(page, PLAIN).decode(page)) == marks(stream.meant)


def test_the_command_lines_are_of_every_command_and_show_what_ascii_lacks(
    bench: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert {line.split()[0] for line in lines() if line[:1] not in ("", "-")} == set(commands())
    assert BOARDS.keys() - {"dunlin"} == set(OTHERS)
    for line in (
        "trace dunlin.net",
        "levels dunlin.net",
        "suspect dunlin.net --seen red=missing",
    ):
        assert not run(line, "ascii", bench, monkeypatch).out.meant.isascii(), line


def started(words: Iterable[str], encoding: str, folder: Path) -> tuple[int, bytes, bytes]:
    """The program in a process of its own, its streams opened by the interpreter."""
    environment = {**os.environ, "PYTHONIOENCODING": encoding, "PYTHONPATH": str(ROOT), "NO_COLOR": "1"}
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, *words], cwd=folder, env=environment, capture_output=True, check=False
    )
    return done.returncode, done.stdout, done.stderr


@pytest.mark.parametrize(
    "line", ["levels dunlin.net", "suspect dunlin.net --seen red=missing", "trace dunlin.net"]
)
def test_the_program_gives_the_same_words_in_every_code_page(line: str, bench: Path) -> None:
    code, out, error = started(line.split(), "utf-8", bench)
    for page in CODE_PAGES:
        gave = started(line.split(), page, bench)
        assert gave == (code, out.decode().encode(page, PLAIN), error.decode().encode(page, PLAIN)), page
        assert gave[1].count(b"?") == out.count(b"?")
        assert max(map(len, gave[1].decode(page).splitlines())) <= 90


def test_json_is_the_same_in_every_code_page_and_can_be_read_back(bench: Path) -> None:
    """As `rgbroots trace --json > map.json` leaves it on Windows."""
    words = ("trace", "dunlin.net", "--json")
    whole = json.loads(started(words, "utf-8", bench)[1].decode())
    for page in CODE_PAGES:
        out = started(words, page, bench)[1]
        assert json.loads(out.decode("ascii")) == whole
        (bench / "map.json").write_bytes(out)
        assert started(("check", "map.json", "--json"), page, bench)[0] == 0


def test_a_file_of_blanks_and_umlauts_with_the_line_ends_of_windows(
    bench: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every command that reads a board reads it, and names its own files after it."""
    folder = tmp_path / "Grüne Platinen, 2. Kiste"
    folder.mkdir()
    text = (bench / "dunlin.net").read_text(encoding="utf-8")
    (folder / "Dünlin links oben.net").write_bytes(text.replace("\n", "\r\n").encode())
    shutil.copy(bench / "dunlin.bin", folder / "Farben U9.bin")
    board, out = "'Dünlin links oben.net'", "'aus gabe'"
    written = Counter[int]()
    for line in (
        f"trace {board} -o {out}", f"diagram {board}", f"card {board}", f"report {board}", f"check {board}",
        f"levels {board} -o 'Pegel ä.svg'", f"palette {board} --contents 'U9=Farben U9.bin' --contents 'U10=Farben U9.bin' -o 'Farben ö.svg'",
        f"convert {board} -o 'Notizen ü.notes'", "check 'Notizen ü.notes'", f"export {board} --spice -o 'Ausgang.cir'",
        f"suspect {board} --seen red=missing",
    ):  # fmt: skip
        gave = run(line, "cp437", folder, monkeypatch)
        assert "no such file" not in gave.error.came
        assert gave.code in (0, 1), gave.error.came
        written[gave.code] += 1
    assert written[0] >= 9
    names = {path.name for path in folder.iterdir()}
    assert {"aus gabe", "Pegel ä.svg", "Farben ö.svg", "Notizen ü.notes"} <= names
    assert any(name.endswith("-card.html") for name in names)
