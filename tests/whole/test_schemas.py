"""The JSON Schemas that ship: made from the tables that write, and what the commands write on the demo boards fits them."""

from __future__ import annotations

import json
import shlex
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tests.same_outputs import NOTES, command_lines, lay_out
from tests.schemas import DOCUMENTS, schema_file, schema_text
from tracer.base.json_form import Document
from tracer.cli.help import topic_text
from tracer.cli.main import main

WRITTEN = [(room, document) for room, documents in DOCUMENTS.items() for document in documents]
NAMES = [document.name for _, document in WRITTEN]
#: What takes long, or gives what another line gives.
LEFT_OUT = (".csv", ".kicad_sch", "rehearse plover")
#: What is typed: each command on each demo board, and what fills keys that are empty there.
LINES = [
    *(x for x in command_lines() if "json" in x and x != "help json" and not any(w in x for w in LEFT_OUT)),
    "trace half.notes --json",
    "trace dunlin.net half.notes --load none --json",
    "trace avocet-video.net --json",
    "check wren.map.json --json",
    "part NONSENSE --json",
    "levels dunlin.net --legs --json",
    "levels plover.net --legs --tolerance 5% --load 75 --load none --json",
    "palette dunlin.net --contents U9=dunlin.bin --other U9=other.bin --json",
    "palette dunlin.net --contents U9=dunlin.bin --colour '#ff8000' --json",
    "beep whole.notes --json",
    "rehearse wren.net --wrong 5% --seed 2 --json",
]
VALIDATORS = {
    document.format: jsonschema.Draft202012Validator(json.loads(schema_text(document)))
    for _, document in WRITTEN
}


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("bench")
    lay_out(folder)
    (folder / "whole.notes").write_text(NOTES.read_text(encoding="utf-8"), encoding="utf-8")
    return folder


@pytest.mark.parametrize(("room", "document"), WRITTEN, ids=NAMES)
def test_the_schema_that_ships_is_made_from_the_table(room: str, document: Document) -> None:
    shipped = schema_file(room, document).read_text(encoding="utf-8")
    assert shipped == schema_text(document), "write it anew: python -m tests.schemas"
    jsonschema.Draft202012Validator.check_schema(json.loads(shipped))


def test_no_schema_ships_that_nothing_writes() -> None:
    package = schema_file("", WRITTEN[0][1]).parent
    assert {*package.rglob("*.schema.json")} == {schema_file(room, document) for room, document in WRITTEN}


def test_the_help_lists_every_format_with_its_version_and_schema() -> None:
    rows = [line.split() for line in topic_text("json").splitlines() if ".schema.json" in line]
    assert sorted(row[-3:] for row in rows) == sorted(
        [document.format, str(document.version), f"{room}/{document.name}.schema.json"]
        for room, document in WRITTEN
    )


def objects(value: Any) -> Iterator[dict[str, Any]]:
    """Every object that a schema describes with keys of its own."""
    if isinstance(value, dict):
        if isinstance(value.get("properties"), dict) and "type" in value:
            yield value
        for inside in value.values():
            yield from objects(inside)
    elif isinstance(value, list):
        for inside in value:
            yield from objects(inside)


@pytest.mark.parametrize("document", [document for _, document in WRITTEN], ids=NAMES)
def test_a_schema_allows_no_other_key(document: Document) -> None:
    found = list(objects(document.schema()))
    assert found
    assert all(one["additionalProperties"] is False for one in found)


def test_every_format_is_written_by_some_command() -> None:
    commands = {line.split()[0] for line in LINES}
    assert commands == {"trace", "check", "part", "levels", "palette", "suspect", "beep", "rehearse"}


@pytest.mark.parametrize("line", LINES, ids=LINES)
def test_what_a_command_writes_fits_its_schema(
    line: str, bench: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(bench)
    argv = shlex.split(line)
    code = main(argv)
    text = capsys.readouterr().out
    if not text and code == 2:
        # Refused, with a sentence on standard error.
        return
    whole = json.loads(text if "--json" in argv else Path(argv[-1]).read_text(encoding="utf-8"))
    VALIDATORS[whole["format"]].validate(whole)
