"""The copies of a board's files."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.unit.importers.kicad.sheets import Sheet
from tests.unit.mark.marked import DEMOS, NETLISTS, demo_marks, everything
from tracer.base.errors import EmitError
from tracer.importers import read_netlist
from tracer.importers.kicad.drawn import read_drawing
from tracer.mark.copies import schematic_copies


@pytest.mark.parametrize("root", DEMOS)
def test_the_copy_is_the_same_circuit(root: str, tmp_path: Path) -> None:
    _, marks, board = demo_marks(root)
    for name, data in schematic_copies(NETLISTS / root, marks, board).files.items():
        (tmp_path / name).write_bytes(data)
    before, after = read_netlist(NETLISTS / root), read_netlist(tmp_path / Path(root).name)
    assert (after.parts, after.nets, after.findings) == (before.parts, before.nets, before.findings)


def test_the_originals_are_not_touched(tmp_path: Path) -> None:
    shutil.copytree(NETLISTS / "plover", tmp_path, dirs_exist_ok=True)
    before = {file: (file.read_bytes(), file.stat().st_mtime_ns) for file in tmp_path.iterdir()}
    schematic_copies(tmp_path / "plover.kicad_sch", demo_marks("plover/plover.kicad_sch")[1])
    assert {file: (file.read_bytes(), file.stat().st_mtime_ns) for file in tmp_path.iterdir()} == before


def test_every_sheet_keeps_its_name_and_the_project_comes_along(tmp_path: Path) -> None:
    shutil.copytree(NETLISTS / "plover", tmp_path, dirs_exist_ok=True)
    (tmp_path / "plover.kicad_pro").write_bytes(b"{}")
    copies = schematic_copies(tmp_path / "plover.kicad_sch", demo_marks("plover/plover.kicad_sch")[1])
    assert set(copies.files) == {f.name for f in tmp_path.glob("*.kicad_*")}
    assert copies.files["plover.kicad_pro"] == b"{}"


def test_a_sheet_in_a_folder_beside_keeps_its_place(tmp_path: Path) -> None:
    (tmp_path / "main").mkdir()
    (tmp_path / "common").mkdir()
    root, child = Sheet(), Sheet("../common/child")
    child.pin("R1", (50.8, 50.8))
    root.sheet("one", child)
    path = root.write(tmp_path / "main")
    drawing = read_drawing(path)
    assert set(schematic_copies(path, everything(drawing)).files) == {
        "main/root.kicad_sch",
        "common/child.kicad_sch",
    }


def test_a_sheet_that_is_named_by_its_whole_path_is_refused(tmp_path: Path) -> None:
    root, child = Sheet(), Sheet(str(tmp_path / "child"))
    child.pin("R1", (50.8, 50.8))
    root.sheet("one", child)
    path = root.write(tmp_path)
    with pytest.raises(
        EmitError, match=r"root.kicad_sch:\d+: the sheet 'one' names its file by the whole path"
    ):
        schematic_copies(path, everything(read_drawing(path)))
