"""The example in the help of every command, and those of the README, do what they stand there for."""

from __future__ import annotations

import argparse
import re
import shlex
from pathlib import Path

import pytest

from tests.examples import lay_out_files, run_example
from tracer.cli.main import build_parser, main

README = Path(__file__).parents[3] / "README.md"


def parsers() -> dict[str, argparse.ArgumentParser]:
    """Command -> its parser; the program itself under the empty name."""
    root = build_parser()
    commands = next(a for a in root._actions if isinstance(a, argparse._SubParsersAction))
    return {"": root, **commands.choices}


def examples() -> dict[str, str]:
    """Command -> the example at the end of its help."""
    found = {}
    for name, parser in parsers().items():
        shown = re.findall(r"^Example: (.+)$", parser.format_help(), re.MULTILINE)
        assert len(shown) == 1, name
        found[name] = shown[0]
    return found


EXAMPLES = examples()


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("bench")
    lay_out_files(folder)
    return folder


@pytest.mark.parametrize("command", [c for c in EXAMPLES if c])
def test_the_example_is_one_of_this_command(command: str) -> None:
    assert EXAMPLES[command].startswith(f"rgbroots {command} ")


@pytest.mark.parametrize("command", EXAMPLES)
def test_the_example_runs_and_writes_what_it_says(
    command: str, bench: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    if command == "completion":
        pytest.importorskip("shtab")
    words = shlex.split(EXAMPLES[command])
    target = bench / words[words.index("-o") + 1] if "-o" in words else None
    if target is not None and target.is_file():
        target.unlink()
    said = run_example(EXAMPLES[command], bench, monkeypatch)
    # The demo boards are whole. A touch is open in the notes, and whether misread touches spoil a map is chance.
    assert said.code in {"beep": {1}, "rehearse": {0, 1}}.get(command, {0}), said.err
    assert "error" not in said.err
    assert "fix:" not in said.err
    if target is not None:
        assert target.exists()
        assert f"{target.name}" in said.err
    else:
        assert said.out


@pytest.mark.parametrize("command", EXAMPLES)
def test_every_option_says_what_it_is_for(command: str) -> None:
    for action in parsers()[command]._actions:
        assert action.help or isinstance(action, argparse._SubParsersAction), action


def _of_readme() -> list[str]:
    """Commands in the README's shell blocks."""
    blocks = re.findall(r"^```sh\n(.*?)^```", README.read_text(encoding="utf-8"), re.MULTILINE | re.DOTALL)
    lines = [line for block in blocks for line in block.splitlines()]
    # A rehearsal takes long and is run above.
    return [
        line for line in lines if line.startswith("rgbroots ") and not line.startswith("rgbroots rehearse ")
    ]


@pytest.fixture(scope="module")
def fresh(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What someone has who has just installed the program, and nothing else."""
    folder = tmp_path_factory.mktemp("fresh")
    assert main(["demo", "-o", str(folder / "demo")]) == 0
    return folder / "demo" / "dunlin"


@pytest.mark.parametrize("line", _of_readme())
def test_what_the_readme_shows_can_be_typed_as_it_stands(
    line: str, fresh: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    if "completion" in line:
        pytest.importorskip("shtab")
    if "-o card.pdf" in line:
        pytest.importorskip("reportlab")
    said = run_example(line, fresh, monkeypatch)
    # A touch is open in the notes.
    assert said.code == (1 if " beep " in line else 0), said.err
    words = shlex.split(line, comments=True)
    if "-o" in words:
        assert (fresh / words[words.index("-o") + 1]).exists()


def test_the_readme_shows_enough_to_be_tried() -> None:
    shown = {line.split()[1] for line in _of_readme()}
    assert shown >= set(EXAMPLES) - {"", "rehearse", "completion", "demo", "serve"}
