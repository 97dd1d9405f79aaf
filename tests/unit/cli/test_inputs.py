"""Whoever waits is told what for: no command works for long without a word."""

from __future__ import annotations

import io
import shutil
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.examples import lay_out_files
from tracer.cli.inputs import working
from tracer.cli.main import main

PLOVER = Path(__file__).parents[3] / "netlists" / "plover" / "plover.net"
#: Seconds of processor time that may pass on this board without a word that would come on a slower machine.
UNSAID = 0.25


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        return True


class Spans:
    """In place of the timers: how long each command is within none."""

    def __init__(self) -> None:
        self.depth, self.said, self.since = 0, 0.0, 0.0

    def timer(self, seconds: float, _: Callable[[], None]) -> Spans:
        assert seconds <= 1.0
        return self

    def start(self) -> None:
        if not self.depth:
            self.since = time.process_time()
        self.depth += 1

    def cancel(self) -> None:
        self.depth -= 1
        if not self.depth:
            self.said += time.process_time() - self.since


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("bench")
    lay_out_files(folder)
    shutil.copy(PLOVER, folder / "plover.net")
    return folder


@pytest.mark.parametrize(
    "line",
    [
        "trace plover.net -o out", "diagram plover.net -o d.png", "check plover.net", "card plover.net -o c.pdf",
        "convert plover.net -o p.notes", "levels plover.net", "levels plover.net --legs", "levels plover.net -o l.svg",
        "export plover.net --spice -o e.cir", "suspect plover.net --seen red=missing", "suspect plover.net --without U33",
        "suspect plover.net --fault U33", "report plover.net -o r.html", "beep board.notes",
        "palette dunlin.net --contents U9=u9.bin --contents U10=u10.hex -o p.html",
    ],
)  # fmt: skip
def test_all_that_takes_long_has_words(line: str, bench: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(bench)
    monkeypatch.setattr(sys, "stderr", Terminal())
    monkeypatch.setattr(sys, "stdout", io.StringIO())
    # What is loaded once is not the command's.
    assert main(line.split()) in (0, 1)
    spans = Spans()
    monkeypatch.setattr(threading, "Timer", spans.timer)
    start = time.process_time()
    assert main(line.split()) in (0, 1)
    took = time.process_time() - start
    assert (spans.depth, took - spans.said < UNSAID) == (0, True), (took, spans.said)


def test_what_takes_longer_than_a_second_is_said_on_a_terminal_alone(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for stream, said in ((Terminal(), "tracing plover ...\n"), (io.StringIO(), "")):
        monkeypatch.setattr(sys, "stderr", stream)
        with working("tracing plover"):
            time.sleep(1.3)
        assert stream.getvalue() == said
    quick = Terminal()
    monkeypatch.setattr(sys, "stderr", quick)
    with working("tracing plover"):
        pass
    assert quick.getvalue() == ""
