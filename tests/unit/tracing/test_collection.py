"""Collections of boards: from a file to a map as plain data, in pools and engines, and what a bad file gives."""

from __future__ import annotations

import json
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import jsonschema
import pytest

from tests.schemas import schema_file
from tracer.cli.main import main
from tracer.tracing.collection import ERROR, map_file

NETLISTS = Path(__file__).parents[3] / "netlists"
WREN = NETLISTS / "wren" / "wren.net"
MALFORMED = Path(__file__).parents[2] / "cases" / "errors"


def test_a_file_becomes_the_map_that_the_command_prints(capsys: pytest.CaptureFixture[str]) -> None:
    main(["trace", str(WREN), "--json"])
    assert json.dumps(map_file(WREN), indent=2, ensure_ascii=False) + "\n" == capsys.readouterr().out


def test_no_file_raises_anything_and_a_bad_one_says_where_and_what_to_do() -> None:
    files = sorted(path for path in MALFORMED.rglob("*") if path.is_file() and path.suffix != ".expected")
    errors = [found for path in files if (found := map_file(path))["format"] == "rgbroots-error"]
    assert len(errors) > 200
    fits = jsonschema.Draft202012Validator(
        json.loads(schema_file("tracing", ERROR).read_text(encoding="utf-8"))
    )
    for found in errors:
        fits.validate(found)
        assert found["error"] != "InternalError"
        assert found["file"]
        assert found["what"]
        assert found["fix"]
        assert found == json.loads(json.dumps(found))


def test_a_bug_costs_one_file_and_not_the_collection(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> None:
        raise KeyError("U9")

    monkeypatch.setattr("tracer.tracing.collection.trace", broken)
    found = map_file(WREN)
    assert (found["error"], found["file"]) == ("InternalError", str(WREN))
    assert found["what"].startswith("KeyError: 'U9' (test_collection.py, line ")


def test_a_pool_of_processes_gives_the_same_maps_in_the_order_of_the_files(tmp_path: Path) -> None:
    bad = tmp_path / "bad.net"
    bad.write_text("nothing", encoding="utf-8")
    paths = [*sorted(NETLISTS.glob("*/*.net")), bad, *sorted(NETLISTS.glob("wren/*.csv"))]
    with ProcessPoolExecutor(2) as pool:
        found = list(pool.map(map_file, paths, chunksize=3))
    assert found == [map_file(path) for path in paths]
    assert [f["format"] == "rgbroots-error" for f in found].count(True) == 1


def test_a_bag_of_dask_takes_it_as_it_is() -> None:
    bag = pytest.importorskip("dask.bag")
    paths = sorted(NETLISTS.glob("*/*.csv"))
    found = bag.from_sequence(paths).map(map_file).compute(scheduler="processes", num_workers=2)
    assert found == [map_file(path) for path in paths]
