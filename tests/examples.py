"""Commands that texts show as examples, run as they stand: every file that they name is made beforehand."""

from __future__ import annotations

import io
import shlex
import shutil
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path

import bincopy
import pytest

from tests.unit.web.sites import lay_out_site
from tracer.cli.main import main
from tracer.web.serve import Server

__all__ = ["Said", "lay_out_files", "run_example"]

NETLISTS = Path(__file__).parent.parent / "netlists"
#: The palette memories of the demo board dunlin hold 2 KiB each.
DUMP = bytes((37 * i) % 256 for i in range(2048))
#: A type file and priors of the user, both as short as can be.
TYPES = '["CUS-14"]\nwhat = "custom chip"\nkind = "custom"\npins = "GND VCC"\ncite = "beeped"\n'
PRIORS = "[minutes]\nswap = 20.0\n"


@dataclass(frozen=True)
class Said:
    """What an example gave: exit code, standard output, standard error."""

    code: int
    out: str
    err: str


def lay_out_files(folder: Path) -> None:
    """Put the demo boards into a folder, under the names that the examples use for a board of one's own."""
    shutil.copytree(NETLISTS, folder / "netlists")
    for file in NETLISTS.glob("*/*"):
        shutil.copy(file, folder / file.name)
    shutil.copy(NETLISTS / "dunlin" / "dunlin.net", folder / "board.net")
    shutil.copy(NETLISTS / "dunlin" / "dunlin.net", folder / "old-redraw.net")
    shutil.copy(NETLISTS / "dunlin" / "dunlin.csv", folder / "board.txt")
    shutil.copy(folder / "avocet-main.net", folder / "main.net")
    shutil.copy(folder / "avocet-video.net", folder / "video.net")
    table = (folder / "dunlin.csv").read_text(encoding="utf-8")
    for colour in ("RED", "BLUE"):
        table = table.replace(f"Net-(J1-{colour})", colour[0])
    (folder / "board.csv").write_text(table.replace(",/GREEN\n", ",G\n"), encoding="utf-8")
    rows = [line.split(",") for line in (folder / "dunlin.csv").read_text(encoding="utf-8").splitlines()]
    parts = dict.fromkeys(f"{r[0]},{r[1]}" for r in rows)
    (folder / "partlist.csv").write_text("\n".join(parts) + "\n", encoding="utf-8")
    pins = "\n".join(f"{r[0]},{r[3]},{r[5]}" for r in rows)
    (folder / "netlist.csv").write_text(pins + "\n", encoding="utf-8")
    notes = NETLISTS.parent / "tests" / "cases" / "notes" / "twelve_bits.notes"
    # Without its last line, so that something is left to beep.
    lines = notes.read_text(encoding="utf-8").rstrip("\n").split("\n")
    (folder / "board.notes").write_text("\n".join(lines[:-1]) + "\n", encoding="utf-8")
    (folder / "bench.notes").write_text("seen red missing\nread U13.19 low\n", encoding="utf-8")
    (folder / "mine.toml").write_text(TYPES, encoding="utf-8")
    (folder / "priors.toml").write_text(PRIORS, encoding="utf-8")
    (folder / "u9.bin").write_bytes(DUMP)
    (folder / "now.bin").write_bytes(DUMP)
    image = bincopy.BinFile()
    image.add_binary(DUMP)
    (folder / "u10.hex").write_text(image.as_ihex(), encoding="ascii")
    lay_out_site(folder / "site")
    main(["trace", str(folder / "board.net"), "-o", str(folder)])


def run_example(line: str, folder: Path, monkeypatch: pytest.MonkeyPatch) -> Said:
    """Run ``rgbroots ...`` as a shell would in `folder`: comments, quotes, ``> FILE``; answers are at their end.

    A server is ended from the keyboard as soon as it answers.
    """
    words = shlex.split(line, comments=True)
    assert words[0] == "rgbroots", line
    target = ""
    if ">" in words:
        target = words[words.index(">") + 1]
        words = words[: words.index(">")]
    monkeypatch.chdir(folder)
    monkeypatch.setattr("sys.stdin", io.StringIO(""))
    monkeypatch.setattr(Server, "serve_forever", _end_from_the_keyboard)
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        try:
            code = main(words[1:])
        except SystemExit as ended:
            code = int(ended.code or 0)
    if target and not target.startswith("~"):
        (folder / target).write_text(out.getvalue(), encoding="utf-8")
    return Said(code, out.getvalue(), err.getvalue())


def _end_from_the_keyboard(_: Server) -> None:
    raise KeyboardInterrupt
