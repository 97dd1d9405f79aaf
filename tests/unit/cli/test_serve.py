"""`rgbroots serve`: the folder for a browser, shown on this machine until it is ended from the keyboard."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest

from tests.examples import run_example
from tests.unit.web.sites import lay_out_site
from tracer.cli.main import main
from tracer.web.serve import open_server

#: Seconds by the clock after which it hangs; a busy machine is slow, not wrong.
HANGS = 120


def test_it_says_its_address_answers_there_and_ends_with_0_from_the_keyboard(tmp_path: Path) -> None:
    lay_out_site(tmp_path / "site")
    words = [sys.executable, "-m", "tracer", "serve", str(tmp_path / "site"), "--port", "0"]
    with subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as started:
        try:
            assert started.stdout is not None
            line = started.stdout.readline()
            match = re.fullmatch(r"open (http://127\.0\.0\.1:\d+/) in a browser; Ctrl-C ends it\n", line)
            assert match, line
            with urllib.request.urlopen(match[1], timeout=HANGS) as answer:
                assert answer.read() == b"index.html"
            started.send_signal(signal.SIGINT if os.name != "nt" else signal.SIGTERM)
            out, err = started.communicate(timeout=HANGS)
            assert (started.returncode, out, err) == (0, "", "")
        finally:
            started.kill()


def test_without_a_port_the_next_free_one_is_taken(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    lay_out_site(tmp_path / "site")
    said = [run_example("rgbroots serve site", tmp_path, monkeypatch)]
    port = int(re.findall(r":(\d+)/", said[0].out)[0])
    with open_server(tmp_path / "site", port):
        said.append(run_example("rgbroots serve site", tmp_path, monkeypatch))
    assert [s.code for s in said] == [0, 0]
    assert said[0].out != said[1].out


def test_a_port_in_use_is_one_sentence_and_exit_2(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lay_out_site(tmp_path)
    with open_server(tmp_path, 0) as server:
        assert main(["serve", str(tmp_path), "--port", str(server.server_port)]) == 2
        said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith(f"another program listens on port {server.server_port}\nfix: ")


def test_a_folder_that_is_no_build_is_one_sentence_and_exit_2(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["serve", str(tmp_path)]) == 2
    assert capsys.readouterr().err == (
        f"{tmp_path}: no build for a browser is in this folder\n"
        f"fix: build it: python -m tracer.web build -o {tmp_path}\n"
    )
