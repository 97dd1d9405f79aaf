"""The copies of a board's KiCad files: every sheet marked, the project beside them, each under its own name."""

from __future__ import annotations

import os
import tempfile
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from tracer.base.errors import EmitError, InternalError
from tracer.importers.kicad.drawn import Drawing, read_drawing
from tracer.importers.text import read_bytes
from tracer.mark.project import local_settings, net_colours, project_with
from tracer.mark.sheet import mark_sheet
from tracer.mark.values import BoardMarks

__all__ = ["Copies", "board_copies", "schematic_copies"]


@dataclass(frozen=True)
class Copies:
    """What is to be written for one file that was named.

    Attributes
    ----------
    files : mapping of str to bytes
        Name from the folder of the copies on -> contents.
    counts : mapping of str to int
        What was marked, and how many of it.
    said : tuple of str
        What a person should know.
    originals : tuple of Path
        The files that were copied.
    """

    files: Mapping[str, bytes]
    counts: Mapping[str, int]
    said: tuple[str, ...]
    originals: tuple[Path, ...]


def schematic_copies(path: Path, marks: BoardMarks, board: str = "") -> Copies:
    """The copies of a schematic's sheets and of its project, if there is one.

    Raises
    ------
    NetlistError
        The schematic cannot be read.
    EmitError
        A sheet is named by its whole path: the copy would show the original.
    """
    drawing = read_drawing(path)
    _refuse_whole_paths(drawing)
    folder = Path(os.path.commonpath([_whole(f.path).parent for f in drawing.files.values()]))
    files: dict[str, bytes] = {}
    counts: Counter[str] = Counter()
    said: list[str] = []
    for sheet in drawing.files.values():
        marked = mark_sheet(drawing, sheet, marks, board)
        files[_name(sheet.path, folder)] = marked.data
        counts.update(marked.counts)
        said += marked.said
    _check(drawing, files, _name(path, folder))
    originals = [sheet.path for sheet in drawing.files.values()]
    project = path.with_suffix(".kicad_pro")
    if project.is_file():
        files[_name(project, folder)] = read_bytes(project)
        originals.append(project)
    return Copies(files, counts, tuple(said), tuple(originals))


def board_copies(path: Path, marks: BoardMarks, board: str = "") -> Copies:
    """The copy of a board's file, which is as it was, and the project in which its nets have colours.

    Raises
    ------
    NetlistError
        The board cannot be read.
    EmitError
        Its project cannot.
    """
    data = read_bytes(path)
    colours = net_colours(data, path.name, marks, board)
    project, local = path.with_suffix(".kicad_pro"), path.with_suffix(".kicad_prl")
    there = {file: read_bytes(file) if file.is_file() else None for file in (project, local)}
    files = {
        path.name: data,
        project.name: project_with(there[project], str(project), colours),
        local.name: local_settings(there[local], str(local)),
    }
    originals = (path, *(file for file, content in there.items() if content is not None))
    return Copies(files, {"nets of the board": len(colours)}, (), originals)


def _name(path: Path, folder: Path) -> str:
    return _whole(path).relative_to(folder).as_posix()


def _whole(path: Path) -> Path:
    """The whole path, in which links stay: a sheet is copied under the name by which the drawing calls it."""
    return Path(os.path.normpath(path.absolute()))


def _refuse_whole_paths(drawing: Drawing) -> None:
    for file in drawing.files.values():
        for symbol in file.sheets:
            if Path(symbol.file).is_absolute():
                raise EmitError(
                    f"the sheet {symbol.name!r} names its file by the whole path, so that a copy would show the original",
                    file=str(file.path),
                    line=symbol.origin.line,
                    fix="name it from the schematic's folder on, in the drawing program",
                )


def _check(drawing: Drawing, files: Mapping[str, bytes], root: str) -> None:
    """Read the copies: parts, nets and every wire are the same, or nothing is written."""
    with tempfile.TemporaryDirectory(prefix="rgbroots-") as name:
        folder = Path(name)
        for file, content in files.items():
            (folder / file).parent.mkdir(parents=True, exist_ok=True)
            (folder / file).write_bytes(content)
        again = read_drawing(folder / root)
    same = (again.netlist.parts, again.netlist.nets) == (drawing.netlist.parts, drawing.netlist.nets)
    drawn = [(sheet.wires, sheet.labels, sheet.sheet_pins, sheet.symbols) for sheet in drawing.placed]
    if not same or drawn != [(s.wires, s.labels, s.sheet_pins, s.symbols) for s in again.placed]:
        raise InternalError(f"the marked copy of {root} would not be the same circuit")
