"""A schematic's sheets, each placed once for each way it is reached from the root."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from tracer.errors import NetlistError
from tracer.importers.kicad_tree import SheetFile, load_sheet_file

__all__ = ["Placed", "Sheets", "load_sheets", "shown_file"]

#: More sheets in one another than any design has; a sheet that holds itself is caught before.
DEEPEST_SHEET = 50


@dataclass(frozen=True, slots=True)
class Placed:
    """A sheet file as reached by one way: `path` of UUIDs, `shown` as people read it."""

    sheet: SheetFile
    path: str
    shown: str


@dataclass(frozen=True)
class Sheets:
    """All files of a schematic and all placed sheets.

    Attributes
    ----------
    root : SheetFile
    files : dict of Path to SheetFile
        Resolved path -> file, the root first.
    placed : tuple of Placed
        The root first, then depth first.
    """

    root: SheetFile
    files: dict[Path, SheetFile]
    placed: tuple[Placed, ...]

    def inputs(self) -> list[tuple[str, bytes]]:
        """Name, from the root's folder on, and contents of each file."""
        folder = self.root.path.resolve().parent
        return [(shown_file(path, folder), sheet.data) for path, sheet in self.files.items()]


def load_sheets(path: Path, load: Callable[[Path], SheetFile] = load_sheet_file) -> Sheets:
    """Load a schematic's root file and every sheet below it; `load` reads one file.

    Raises
    ------
    NetlistError
        A file is missing, not whole, no schematic, or a sheet holds itself.
    """
    files: dict[Path, SheetFile] = {}

    def once(file: Path) -> SheetFile:
        key = file.resolve()
        if key not in files:
            files[key] = load(file)
        return files[key]

    root = once(path)
    placed = tuple(_place(root, "/" + root.uuid, "/", once, (path.resolve(),)))
    return Sheets(root, files, placed)


def shown_file(file: Path, folder: Path) -> str:
    """A file as seen from a folder; only its name where it lies elsewhere."""
    try:
        return file.relative_to(folder).as_posix()
    except ValueError:
        return file.name


def _place(
    sheet: SheetFile, path: str, shown: str, load: Callable[[Path], SheetFile], above: tuple[Path, ...]
) -> Iterator[Placed]:
    yield Placed(sheet, path, shown)
    if len(above) > DEEPEST_SHEET:
        raise NetlistError(
            f"sheets are nested more than {DEEPEST_SHEET} deep", file=sheet.file, fix="check its sheets"
        )
    for symbol in sheet.sheets:
        if not symbol.file:
            continue
        file = sheet.path.parent / symbol.file
        if file.resolve() in above:
            raise NetlistError(
                f"the sheet {symbol.name!r} holds itself ({symbol.file})",
                file=sheet.file,
                line=symbol.origin.line,
                fix="take it out in the drawing program",
            )
        if not file.exists():
            raise NetlistError(
                f"the sheet {symbol.name!r} needs the file {symbol.file}, which is not there",
                file=str(sheet.path),
                line=symbol.origin.line,
                fix=f"put {symbol.file} beside it, or export a netlist where the whole design lies",
            )
        yield from _place(
            load(file), f"{path}/{symbol.uuid}", f"{shown}{symbol.name}/", load, (*above, file.resolve())
        )
