"""Marked copies of drawings that others made: only what was marked differs, and KiCad sees the same circuit.

Source: every project with a schematic of the Debian package ``kicad-demos`` (6.0.11 or 9.0.2), each net marked, as most
show no colours; and, with ``-m kicad``, ``kicad-cli`` of Debian 13 (9.0.2), which opens the marked copies of these and of
the demo boards.
"""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from tests.drawing.kicad import run_kicad
from tests.published.conftest import reference_folder
from tests.unit.mark.marked import DEMOS, NETLISTS, demo_marks, everything
from tracer.importers.kicad.drawn import read_drawing
from tracer.mark.copies import schematic_copies
from tracer.mark.edits import undone
from tracer.mark.sheet import mark_sheet, sheet_edits

KICAD = shutil.which("kicad-cli")
_OF_THE_RUN = re.compile(r'\((?:date|source) "[^"]*"\)')
#: The symbols of a part of several sections stand in the order in which KiCad holds them, not in that of the file.
_SYMBOLS = re.compile(r"\(tstamps ([^()]*)\)")


def roots() -> list[Path]:
    folder = reference_folder("kicad-demos", "usr", "share", "kicad", "demos")
    projects = sorted(folder.rglob("*.kicad_pro")) if folder else []
    return [sheet for p in projects if (sheet := p.with_suffix(".kicad_sch")).is_file()]


OUTSIDE = [pytest.param(root, id=root.stem) for root in roots()] or [
    pytest.param(None, marks=pytest.mark.skip(reason="RGBROOTS_REFERENCES names no folder"), id="none")
]


@pytest.mark.parametrize("root", OUTSIDE)
def test_taking_the_marks_back_gives_others_drawings_to_the_byte(root: Path) -> None:
    drawing = read_drawing(root)
    marks = everything(drawing)
    n_marked = 0
    for file in drawing.files.values():
        edits = sheet_edits(drawing, file, marks)
        marked = mark_sheet(drawing, file, marks).data
        assert undone(marked.decode("utf-8"), edits).encode("utf-8") == file.data
        n_marked += marked != file.data
    assert n_marked or not drawing.netlist.nets
    # Reads the copies again, and refuses where a part, a net or a wire differs.
    assert schematic_copies(root, marks).files


def exported(sheet: Path, what: str, out: Path) -> None:
    assert KICAD is not None
    run_kicad(KICAD, "sch", "export", what, "-o", str(out), str(sheet))


def same_circuit(root: Path, files: dict[str, bytes], work: Path) -> None:
    """KiCad's netlist of the original and of the copy, both from one folder, so that paths are the same."""
    shutil.copytree(root.parent, work / "drawing", symlinks=True)
    sheet = work / "drawing" / root.name
    exported(sheet, "netlist", work / "before.net")
    for name, content in files.items():
        (work / "drawing" / name).write_bytes(content)
    exported(sheet, "netlist", work / "after.net")
    before, after = ((work / f"{x}.net").read_text(encoding="utf-8") for x in ("before", "after"))
    assert of_any_run(after) == of_any_run(before)


def of_any_run(text: str) -> str:
    return _SYMBOLS.sub(lambda m: " ".join(sorted(m[1].split())), _OF_THE_RUN.sub("", text))


@pytest.mark.kicad
@pytest.mark.parametrize("root", DEMOS)
def test_kicad_sees_the_same_circuit_in_a_marked_demo_board(root: str, tmp_path: Path) -> None:
    _, marks, board = demo_marks(root)
    same_circuit(NETLISTS / root, dict(schematic_copies(NETLISTS / root, marks, board).files), tmp_path)


@pytest.mark.kicad
@pytest.mark.parametrize("root", OUTSIDE)
def test_kicad_sees_the_same_circuit_in_others_marked_drawings(root: Path, tmp_path: Path) -> None:
    same_circuit(root, dict(schematic_copies(root, everything(read_drawing(root))).files), tmp_path)


@pytest.mark.kicad
def test_kicad_draws_the_colours(tmp_path: Path) -> None:
    _, marks, _ = demo_marks("dunlin/dunlin.kicad_sch")
    for name, content in schematic_copies(NETLISTS / "dunlin" / "dunlin.kicad_sch", marks).files.items():
        (tmp_path / name).write_bytes(content)
    exported(tmp_path / "dunlin.kicad_sch", "svg", tmp_path / "drawn")
    drawn = (tmp_path / "drawn" / "dunlin.svg").read_text(encoding="utf-8").upper()
    assert [style.name for style in marks.styles if style.colour.upper() not in drawn] == []
