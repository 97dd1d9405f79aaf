"""The forms that commands write: each can be had from a command, and help and README name them all."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.hostile import DUNLIN
from tracer.cli.commands import TOPICS
from tracer.cli.main import main
from tracer.cli.outputs import OUTPUTS, emit
from tracer.export.netlists.netlists import NETLIST_FORMS
from tracer.importers import read_netlist
from tracer.palette.palettes import PALETTE_FORMS
from tracer.tracing.pipeline import trace

README = (Path(__file__).parents[3] / "README.md").read_text(encoding="utf-8")


def suffixes(text: str) -> set[str]:
    return set(re.findall(r"(?<!\w)\.[a-z]+\b", text))


def help_of(command: str, capsys: pytest.CaptureFixture[str]) -> str:
    with pytest.raises(SystemExit):
        main([command, "--help"])
    return capsys.readouterr().out


def test_every_form_of_the_map_is_written_by_some_command(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["trace", str(DUNLIN), "-o", str(tmp_path / "out")])
    written = {capsys.readouterr().out.encode()}
    main(["trace", str(DUNLIN), "--json"])
    written.add(capsys.readouterr().out.encode())
    main(["diagram", str(DUNLIN), "-o", str(tmp_path / "out" / "diagram.dot")])
    written |= {file.read_bytes() for file in (tmp_path / "out").iterdir()}
    bit_map = trace(read_netlist(DUNLIN))
    for output in OUTPUTS:
        content = emit(output.name, bit_map)
        assert (content if isinstance(content, bytes) else content.encode()) in written, output.name


def test_help_and_readme_name_the_forms_of_a_palette(capsys: pytest.CaptureFixture[str]) -> None:
    shown = re.search(r"the colours that dumps show \((.*)\)", README)
    assert shown
    assert suffixes(shown[1]) == set(PALETTE_FORMS)
    [options] = re.findall(r"--output FILE(.*?)\n  -", help_of("palette", capsys), re.DOTALL)
    assert suffixes(options) == set(PALETTE_FORMS)


def test_help_and_readme_name_the_forms_of_a_netlist(capsys: pytest.CaptureFixture[str]) -> None:
    shown = re.search(r"rgbroots convert dunlin\.net -o dunlin\.notes +# another form: (.*\n.*)", README)
    assert shown
    assert suffixes(shown[1]) == {form.suffix for form in NETLIST_FORMS}
    first = {form.suffix: form.name for form in reversed(NETLIST_FORMS)}
    assert all(form.name in shown[1] for form in NETLIST_FORMS if first[form.suffix] != form.name)
    [options] = re.findall(r"--output FILE(.*?)\n  -", help_of("convert", capsys), re.DOTALL)
    assert suffixes(options) == {form.suffix for form in NETLIST_FORMS}


def test_readme_names_the_topics_of_help() -> None:
    shown = re.search(r"# topics: ([\w ]+);", README)
    assert shown
    assert shown[1].split() == [*TOPICS]
