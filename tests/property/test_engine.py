"""Whatever is laid on the desk and asked of the engine, there is an answer, and it is never a mistake of the program's."""

from __future__ import annotations

import json
import random
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.boards import NETLISTS
from tests.property.mutations import EXPLORE, damage
from tracer.web.engine import Engine

#: Damaged copies of each demo board, in some form of its.
_COPIES = 400 if EXPLORE else 12
_FILES = sorted(
    path for path in NETLISTS.rglob("*") if path.suffix in (".net", ".csv", ".kicad_sch", ".notes")
)
_JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=8,
)


def asked(engine: Engine, **question: object) -> dict[str, object]:
    answer = json.loads(engine.answer(json.dumps(question)))
    assert isinstance(answer, dict)
    assert answer.keys() in ({"ok"}, {"error"})
    return answer


@pytest.mark.parametrize("file", _FILES, ids=lambda path: path.name)
def test_damaged_files_are_read_or_refused_with_a_sentence(file: Path, tmp_path: Path) -> None:
    rng, engine = random.Random(file.name), Engine(tmp_path / "desk")
    for number in range(_COPIES):
        engine.desk.clear()
        data = damage(file.read_bytes(), rng)
        engine.lay(file.name, data, len(data))
        looked = asked(engine, do="look", is_folder=bool(number % 2))
        assert "ok" in looked
        board = {"files": [file.name], "notes": "seen red missing\n" if number % 3 else ""}
        for answer in (
            asked(engine, do="map", board=board),
            asked(engine, do="beep", notes=data.decode("utf-8", "replace")),
        ):
            error = answer.get("error")
            assert error is None or (isinstance(error, dict) and error["kind"] != "bug"), error


@given(st.dictionaries(st.sampled_from(["do", "board", "notes", "answer", "skipped", "pins", "name"]), _JSON))
def test_any_question_has_an_answer(
    tmp_path_factory: pytest.TempPathFactory, question: dict[str, object]
) -> None:
    asked(Engine(tmp_path_factory.getbasetemp() / "desk"), **question)


@given(st.text(max_size=40), st.binary(max_size=60))
def test_any_file_of_any_name_can_be_laid(
    tmp_path_factory: pytest.TempPathFactory, name: str, content: bytes
) -> None:
    base = tmp_path_factory.getbasetemp()
    engine = Engine(base / "desk")
    before = {path for path in base.rglob("*") if "desk" not in path.parts}
    engine.lay(name, content, len(content))
    assert "ok" in asked(engine, do="look")
    assert {path for path in base.rglob("*") if "desk" not in path.parts} == before
