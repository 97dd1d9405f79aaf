"""A schematic's sheets, each placed once for each way it is reached from the root."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from tracer.base.errors import NetlistError
from tracer.base.findings import Finding, note
from tracer.importers.kicad.sheet_file import SheetFile
from tracer.importers.kicad.sheet_reader import load_sheet_file

__all__ = ["Placed", "Sheets", "in_another_case", "is_there", "load_sheets", "shown_file"]

#: Sheets placed, and symbols with their pins, wires and labels on all of them: one file can be placed any number of
#: times, and twice in each of a row of others makes millions of it.
MOST_SHEETS = 5_000
MOST_ITEMS = 2_000_000
#: More sheets in one another than any design has; a sheet that holds itself is caught before.
DEEPEST_SHEET = 50
#: What a sheet's file may be called: nothing else is opened because a drawing says so.
_SUFFIXES = (".kicad_sch", ".sch")


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
    findings : tuple of Finding
        What was assumed to find the files.
    """

    root: SheetFile
    files: dict[Path, SheetFile]
    placed: tuple[Placed, ...]
    findings: tuple[Finding, ...] = ()

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
    renamed: dict[str, str] = {}

    def once(file: Path) -> SheetFile:
        key = file.resolve()
        if key not in files:
            files[key] = load(file)
            _find_files(files[key], renamed)
        return files[key]

    root = once(path)
    placed: list[Placed] = []
    sizes: dict[str, int] = {}
    n_items = 0
    for each in _place(root, "/" + root.uuid, "/", once, (path.resolve(),)):
        placed.append(each)
        key = str(each.sheet.path)
        n_items += sizes.get(key) or sizes.setdefault(key, _size(each.sheet))
        if len(placed) > MOST_SHEETS or n_items > MOST_ITEMS:
            raise NetlistError(
                f"its sheets, placed in one another, make more than {MOST_SHEETS:,} or hold more than any board does",
                file=str(path),
                fix="look for a sheet that is placed twice in each of a row of others",
            )
    return Sheets(root, files, tuple(placed), tuple(_renamed(path.name, renamed)))


def _find_files(sheet: SheetFile, renamed: dict[str, str]) -> None:
    """Give each sheet symbol the name that its file has on disk; `renamed` takes those that differ in case."""
    for index, symbol in enumerate(sheet.sheets):
        file = sheet.path.parent / symbol.file
        if not symbol.file or file.suffix.lower() not in _SUFFIXES or is_there(file):
            continue
        same = in_another_case(sheet.path.parent, symbol.file)
        if len(same) > 1:
            raise NetlistError(
                f"the sheet {symbol.name!r} needs the file {symbol.file}, which is not there, but {' and '.join(same)} "
                "are, which differ from it in upper and lower case",
                file=str(sheet.path),
                line=symbol.origin.line,
                fix=f"rename the one that is meant to {symbol.file}",
            )
        if same:
            sheet.sheets[index] = replace(symbol, file=same[0])
            renamed[symbol.file] = same[0]


def _renamed(root: str, renamed: dict[str, str]) -> Iterator[Finding]:
    if renamed:
        pairs = [f"{drawn} ({there})" for drawn, there in renamed.items()]
        yield note(
            "file-in-other-case",
            f"sheet files were found in other upper and lower case than {root} has them: {', '.join(pairs[:8])}"
            f"{' ...' if len(pairs) > 8 else ''}",
            *(Path(there).name for there in renamed.values()),
        )


def _size(sheet: SheetFile) -> int:
    pins = sum(len(symbol.body.pins) for symbol in sheet.symbols)
    return 1 + len(sheet.symbols) + pins + len(sheet.wires) + len(sheet.labels)


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
            f"this sheet lies more than {DEEPEST_SHEET} sheets deep, which no board needs",
            file=sheet.file,
            fix="a sheet in it is a copy of one above it: take that one out in the drawing program, or give a netlist",
        )
    for symbol in sheet.sheets:
        if not symbol.file:
            continue
        file = sheet.path.parent / symbol.file
        if file.suffix.lower() not in _SUFFIXES:
            raise NetlistError(
                f"the sheet {symbol.name!r} names the file {symbol.file}, which is no schematic by its name",
                file=str(sheet.path),
                line=symbol.origin.line,
                fix=f"correct its name in the drawing; a schematic ends in {' or '.join(_SUFFIXES)}",
            )
        if _resolved(file) in above:
            raise NetlistError(
                f"the sheet {symbol.name!r} holds itself ({symbol.file})",
                file=sheet.file,
                line=symbol.origin.line,
                fix="take it out of itself in the drawing program and save; nothing was read",
            )
        if not is_there(file):
            raise NetlistError(
                f"the sheet {symbol.name!r} needs the file {symbol.file}, which is not there",
                file=str(sheet.path),
                line=symbol.origin.line,
                fix=f"put {symbol.file} beside it, or export a netlist where the whole design lies",
            )
        yield from _place(
            load(file), f"{path}/{symbol.uuid}", f"{shown}{symbol.name}/", load, (*above, file.resolve())
        )


def in_another_case(folder: Path, name: str) -> list[str]:
    """The files that a name means where upper and lower case are the same, as on the machine that wrote it."""
    found = [Path()]
    for part in Path(name).parts:
        found = [above / same for above in found for same in _same_names(folder / above, part)]
    return sorted(file.as_posix() for file in found)


def _same_names(folder: Path, name: str) -> list[str]:
    if is_there(folder / name):
        return [name]
    try:
        return [entry.name for entry in folder.iterdir() if entry.name.casefold() == name.casefold()]
    except (OSError, ValueError):
        # No folder, one that may not be looked into, or a name that no file can have.
        return []


def is_there(file: Path) -> bool:
    """Whether there is anything of a name, however odd that is."""
    try:
        return file.exists()
    except (OSError, ValueError):
        # A name that is too long, a circle of links, or one that may not be looked at.
        return False


def _resolved(file: Path) -> Path:
    """Where links lead; those that lead round in a circle lead nowhere."""
    try:
        return file.resolve()
    except (OSError, RuntimeError, ValueError):
        return file
