"""The Python in the README does what stands beside it; its commands are run by `tests/unit/cli/test_help_examples.py`."""

from __future__ import annotations

import json
import multiprocessing
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.examples import lay_out_files
from tracer.cli.main import main

ROOT = Path(__file__).parents[2]
BLOCKS = re.findall(r"^```python\n(.*?)^```", (ROOT / "README.md").read_text(encoding="utf-8"), re.M | re.S)


def run_script(text: str, folder: Path) -> str:
    script = folder / "script.py"
    script.write_text(text, encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-W", "error", script.name],
        capture_output=True,
        text=True,
        check=True,
        cwd=folder,
    )
    assert not done.stderr
    return done.stdout


def test_the_first_example_asks_map_suspects_and_palette(tmp_path: Path) -> None:
    lay_out_files(tmp_path)
    bits, measurement, rgb = run_script(BLOCKS[0], tmp_path).splitlines()
    assert bits == "12 bits; U9"
    assert measurement.split()[0] in ("read", "beep", "measure", "press", "swap")
    assert re.fullmatch(r"\(\d+, \d+, \d+\)", rgb)


@pytest.mark.parametrize("method", multiprocessing.get_all_start_methods())
def test_the_recipe_for_collections_writes_what_the_command_prints(
    method: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    boards = tmp_path / "boards"
    boards.mkdir()
    for name in ("dunlin/dunlin.csv", "wren/wren.csv", "wren/wren.kicad_sch", "wren/wren.net"):
        shutil.copy(ROOT / "netlists" / name, boards)
    (boards / "bad.net").write_text("(export (version D) (nets (net", encoding="utf-8")
    recipe = BLOCKS[1].replace(
        "ProcessPoolExecutor()", f"ProcessPoolExecutor(2, mp_context=multiprocessing.get_context({method!r}))"
    )
    said = run_script("import multiprocessing\n" + recipe, tmp_path)
    assert said.startswith(f"{Path('boards', 'bad.net')}: ")
    for board in boards.iterdir():
        text = (tmp_path / "maps" / f"{board.name}.json").read_text(encoding="utf-8")
        code = main(["trace", str(board), "--json"])
        printed = capsys.readouterr()
        if board.name == "bad.net":
            found = json.loads(text)
            assert code == 2
            assert printed.err.startswith(str(board))
            assert found["what"] in printed.err
            assert found["fix"] in printed.err
        else:
            assert text == printed.out
