"""The demo boards: drawn as designed, tidy, and the same as the files in `netlists/`.

Outside check: KiCad. Each board's ``.net`` is what KiCad 9.0.2 (Debian package
kicad 9.0.2+dfsg-1, ``kicad-cli sch export netlist``) made of the schematic; where
kicad-cli 9 is installed it is made anew and must be the same to the byte.
"""

from __future__ import annotations

import dataclasses
import re
import shutil
from pathlib import Path

import pytest

from tests.drawing.boards import boards
from tests.drawing.cell import Cell
from tests.drawing.design import Project
from tests.drawing.kicad import DrawingError, check, export, pin_table, read_net, run_kicad
from tests.drawing.overlaps import overlaps
from tests.drawing.schematic import write_project

NETLISTS = Path(__file__).resolve().parents[2] / "netlists"
KICAD = shutil.which("kicad-cli")

every_board = pytest.mark.parametrize("board", boards(), ids=lambda board: board.name)


def _folder(board: Project) -> Path:
    return NETLISTS / (board.folder or board.name)


def _net(board: Project) -> str:
    return (_folder(board) / f"{board.name}.net").read_text(encoding="utf-8")


@every_board
def test_files_are_what_the_designs_draw(board: Project) -> None:
    for name, text in write_project(board).items():
        assert (_folder(board) / name).read_text(encoding="utf-8") == text, (
            f"{name}: run python -m tests.drawing"
        )


@every_board
def test_kicads_netlist_is_what_was_meant(board: Project) -> None:
    check(board, read_net(_net(board)))


@every_board
def test_pin_table_holds_every_pin_once(board: Project) -> None:
    exported = read_net(_net(board))
    table = (_folder(board) / f"{board.name}.csv").read_text(encoding="utf-8")
    assert table == pin_table(exported)
    rows = [line.split(",") for line in table.splitlines()[1:]]
    pins = [(row[0], row[3]) for row in rows]
    assert len(pins) == len(set(pins)) == sum(map(len, exported.nets.values()))


@every_board
def test_sheets_are_tidy(board: Project) -> None:
    assert [f"{cell.file}: {text}" for cell in board.cells() for text in overlaps(cell)] == []


@every_board
def test_no_file_tells_of_the_machine_that_wrote_it(board: Project) -> None:
    for file in _folder(board).iterdir():
        # A dump is no text; what could be read in it counts all the same.
        text = file.read_text(encoding="utf-8", errors="replace")
        assert not re.search(r'"[^"]*/(tmp|home|root|Users)/', text), file.name
        assert not re.search(r'\(date "[^"]', text), file.name


@every_board
@pytest.mark.kicad
def test_kicad_makes_the_same_netlist_again(board: Project, tmp_path: Path) -> None:
    assert KICAD is not None
    version = run_kicad(KICAD, "version").strip()
    if not version.startswith("9."):
        pytest.skip(f"kicad-cli is {version}; names of nets differ between versions")
    again = export(KICAD, board, write_project(board), tmp_path)
    tool = re.compile(r'\(tool "[^"]*"\)')
    assert tool.sub("", again) == tool.sub("", _net(board))


def test_a_moved_pin_is_noticed() -> None:
    board = boards()[0]
    text = _net(board).replace('(node (ref "R1") (pin "1")', '(node (ref "R99") (pin "1")')
    with pytest.raises(DrawingError, match=r"R99\.1"):
        check(board, read_net(text))


def test_a_wrong_value_is_noticed() -> None:
    board = boards()[0]
    with pytest.raises(DrawingError, match="R1: meant"):
        check(board, read_net(_net(board).replace('(value "220")', '(value "270")')))


def test_overlapping_texts_are_noticed() -> None:
    cell = Cell("x", "x", "A4")
    cell.two("R1", "R", "470", 60, 60, "A", "B", rot=90)
    cell.two("R2", "R", "470", 60, 61, "C", "D", rot=90)
    assert any("R1" in text and "R2" in text for text in overlaps(cell.finish()))


def test_a_wire_through_a_text_and_one_that_ends_on_a_bus_are_noticed() -> None:
    cell = Cell("x", "x", "A4")
    cell.two("R1", "R", "470", 60, 60, "A", "B")
    cell.wire((58, 59), (66, 59))
    cell.bus((70, 50), (70, 60))
    cell.wire((70, 55), (75, 55))
    found = overlaps(cell)
    assert any(text.startswith("wire") and "of R1" in text for text in found)
    assert any("on a bus" in text for text in found)


def test_a_board_drawn_wrongly_differs_from_its_design() -> None:
    board = boards()[0]
    wrong = Cell("wren", "wren")
    wrong.two("R1", "R", "220", 60, 60, "A", "B")
    other = dataclasses.replace(board, root=wrong.finish())
    with pytest.raises(DrawingError, match="differences"):
        check(other, read_net(_net(board)))


def test_the_drawings_use_what_readers_must_cope_with() -> None:
    cells = [cell for board in boards() for cell in board.cells()]
    placed = [p for cell in cells for p in cell.placed if not p.part.symbol.power]
    assert {p.rotation for p in placed if p.part.symbol.letter == "R"} == {0, 90, 180, 270}
    assert {p.rotation for p in placed if p.part.symbol.style == "gate"} == {0, 90, 180, 270}
    for style in ("two", "gate"):
        assert {"x", "y"} <= {p.mirror for p in placed if p.part.symbol.style == style}
    assert any(p.rotation and p.mirror for p in placed if p.part.symbol.style == "transistor")
    assert any(pin.hidden and pin.unit == 0 for p in placed for pin in p.part.symbol.pins)
    assert len({board.version for board in boards()}) == 4
    labels = {label.text for cell in cells for label in cell.labels}
    assert {"PAL[0..14]", "{D[0..15] A[1..12] CTL}", "{slash}BLANK", "~{BLANK}"} <= labels
    plover = next(board for board in boards() if board.name == "plover")
    assert sum(instance.cell.file == "output" for instance in plover.instances) == 3
