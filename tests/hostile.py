"""What the tests of hostile input share: limits of time, the program run in this process or in its own, names that do harm."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tracer.base.errors import NetlistError
from tracer.base.visible import UNSEEN
from tracer.cli.main import main
from tracer.importers import parse_netlist

__all__ = [
    "DUNLIN",
    "ESCAPES",
    "HANGS",
    "PINS",
    "PROGRAM",
    "board_named",
    "in_time",
    "kept",
    "program",
    "refused",
    "run",
    "seen",
    "told",
]

DUNLIN = Path(__file__).parents[1] / "netlists" / "dunlin" / "dunlin.net"
#: Seconds of processor time for one hostile input of less than a megabyte, with a margin for slow machines.
SECONDS = 20.0
#: Seconds by the clock after which a program hangs, also on a machine that has much else to do.
HANGS = 120.0
PROGRAM = "import sys; from tracer.cli.main import main; sys.exit(main())"
#: Tells the colour pins of `board_named`.
PINS = ("--pin", "red=J1.1", "--pin", "green=J1.2", "--pin", "blue=J1.3")
#: What steers a terminal, or hides in a text.
ESCAPES = (
    "\x1b[2J\x1b[31mred", "\x1b]0;title\x07", "\x9b2J", "\x1bP+q\x1b\\", "a\bb\r", "x\u202egnp.exe", "y\u2066z", "\x7f", "\u2028", "\x85n",
)  # fmt: skip


@contextmanager
def in_time() -> Iterator[None]:
    """What is done in it takes less than `SECONDS`."""
    start = time.process_time()
    yield
    assert time.process_time() - start < SECONDS


def refused(text: str, *, format_name: str | None = None) -> NetlistError:
    """What is said of a text that is refused."""
    with in_time(), pytest.raises(NetlistError) as caught:
        parse_netlist(text, "x", format_name=format_name)
    assert caught.value.fix
    return caught.value


def run(capsys: pytest.CaptureFixture[str], *arguments: object) -> tuple[int, str, str]:
    """Exit code, standard output and error of a command."""
    with in_time():
        code = main([str(a) for a in arguments])
    out, error = capsys.readouterr()
    return code, out, error


def program(
    *arguments: object, first: str = "", pass_fds: tuple[int, ...] = ()
) -> subprocess.CompletedProcess[str]:
    """The program as a shell starts it; `first` is Python that its process runs beforehand."""
    environment = {**os.environ, "PYTHONPATH": str(DUNLIN.parents[2])}
    return subprocess.run(
        [sys.executable, "-c", f"{first}\n{PROGRAM}", *map(str, arguments)],
        capture_output=True, text=True, errors="replace", timeout=HANGS, env=environment, check=False,
        pass_fds=pass_fds,
    )  # fmt: skip


def board_named(red: str, *, reference: str = "U1", marking: str = "74LS273", title: str = "b") -> str:
    """A KiCad netlist of one bit a colour; `red` is the name of a net on its way."""

    def quoted(text: str) -> str:
        return '"' + text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n") + '"'

    parts = [(reference, marking), ("R1", "470"), ("R2", "470"), ("R3", "470"), ("J1", "x")]
    nets = [
        (red, [("R1", "2"), (reference, "2")]), ("G", [("R2", "2"), (reference, "5")]),
        ("B", [("R3", "2"), (reference, "6")]), ("RED", [("R1", "1"), ("J1", "1")]),
        ("GREEN", [("R2", "1"), ("J1", "2")]), ("BLUE", [("R3", "1"), ("J1", "3")]),
    ]  # fmt: skip
    components = "".join(f"(comp (ref {quoted(r)}) (value {quoted(m)}))" for r, m in parts)
    listed = "".join(
        f'(net (code "{i}") (name {quoted(name)})'
        + "".join(f"(node (ref {quoted(part)}) (pin {quoted(pin)}))" for part, pin in pins)
        + ")"
        for i, (name, pins) in enumerate(nets)
    )
    return (
        f'(export (version "E") (design (source {quoted(title)})) (components {components}) (nets {listed}))'
    )


def told(folder: Path, reference: str) -> Path:
    """Notes that tell what a part is, whatever it is called."""
    path = folder / "told.notes"
    quoted = reference.replace("\\", "\\\\").replace('"', '\\"')
    path.write_text(f'board b\n"{quoted}" is 74LS273\n', encoding="utf-8")
    return path


def seen(text: str) -> str:
    """The text, which must hold nothing that a terminal obeys."""
    found = UNSEEN.search(text.replace("\n", ""))
    assert found is None, repr(found)
    return text


def kept(folder: Path) -> list[str]:
    """The names of what lies in a folder."""
    return sorted(p.name for p in folder.iterdir())
