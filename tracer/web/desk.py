"""The files that a page was given, in a folder of their own: which of them are a board, and the board traced.

Names keep their folders, as sheets find one another by them. Readers see names as they were given: what they say of a
file is what the command line says in its folder.
"""

from __future__ import annotations

import posixpath
import re
import shutil
from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager, chdir, nullcontext, suppress
from dataclasses import dataclass, field, replace
from pathlib import Path, PurePosixPath
from typing import Literal

from tracer.base.errors import NetlistError, UsageError
from tracer.importers import FORMATS, detect
from tracer.importers.text import decode, read_bytes
from tracer.importers.together import named_file, read_together
from tracer.netlist.board import Netlist
from tracer.netlist.notes import Load
from tracer.page.report import palette_of
from tracer.palette.contents import contents_told
from tracer.palette.values import Palette
from tracer.parts.library import Library, load_library
from tracer.tracing.load import LoadTold
from tracer.tracing.pipeline import Traced, trace_fully
from tracer.tracing.told_pins import parse_told

__all__ = ["LARGEST_FILE", "NOTES_FILE", "NOTES_FORM", "Board", "Chosen", "Desk"]

#: A browser gives a page 2 to 4 GB (WebAssembly of 32 bits), and reading takes about 20 times a netlist's size.
LARGEST_FILE = 40 << 20
#: What is typed in the page is a file of this name beside the others.
NOTES_FILE = "typed.notes"
#: Name of their format.
NOTES_FORM = "bench-notes"
#: Beside the drawing of a KiCad project lies a file of its name.
_PROJECTS = (".kicad_pro", ".pro")
#: What becomes of a file: a board's, a sheet of one, own part types, no board by itself.
Use = Literal["board", "sheet", "parts", "other"]
#: How KiCad's drawings name the files of their sheets, from version 6 on and before.
_SHEET = re.compile(r'"([^"\n]+\.kicad_sch)"|^F1 "([^"\n]+\.sch)"', re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Chosen:
    """A file as it lies on the desk: what it is, whether it is one of the board's at first, and what is said of it.

    Bench notes can be gone on with.
    """

    file: str
    use: Use
    form: str = ""
    is_taken: bool = False
    said: str = ""
    is_notes: bool = False


@dataclass(frozen=True, slots=True)
class Board:
    """What is to be traced: files in their order, each as ``FILE`` or ``NAME=FILE``, and what a person told of them.

    Attributes
    ----------
    files, joins, markings : tuple of str
        As behind ``rgbroots trace``, ``--join`` and ``--part``.
    pins : tuple of str
        ``red=J1.12`` each.
    load : str
        Ohms, ``none``, or nothing: as noted.
    parts : tuple of str
        Files of own part types.
    encoding : str
    contents : tuple of str
        ``U9=FILE`` each: dumps of the palette's memories.
    notes : str
        Bench notes that were typed: they add to the files, and correct them.
    """

    files: tuple[str, ...] = ()
    joins: tuple[str, ...] = ()
    markings: tuple[str, ...] = ()
    pins: tuple[str, ...] = ()
    load: str = ""
    parts: tuple[str, ...] = ()
    encoding: str = ""
    contents: tuple[str, ...] = ()
    notes: str = ""


@dataclass
class Desk:
    """A folder of files, and the board that was traced last.

    Parameters
    ----------
    folder : Path
        Empty at first; the desk's alone.
    tell : callable
        Gets what is being done.
    """

    folder: Path
    tell: Callable[[str], None] = lambda _: None
    #: Files that were not taken, for what.
    refused: dict[str, NetlistError] = field(default_factory=dict)
    _order: list[str] = field(default_factory=list)
    _last: tuple[Board, Traced] | None = None

    def clear(self) -> None:
        """Take all files away."""
        shutil.rmtree(self.folder, ignore_errors=True)
        self.folder.mkdir(parents=True, exist_ok=True)
        self.refused.clear()
        self._order.clear()
        self._last = None

    def lay(self, name: str, content: bytes | None, size: int) -> None:
        """Lay a file on the desk; `content` is None where it is too large to be handed over.

        A name that leads out of the folder, or nowhere, is cut to what leads into it.
        """
        parts = [
            part for part in PurePosixPath(name.replace("\\", "/")).parts if part not in ("/", "..", ".")
        ]
        named = "/".join(part.replace("\0", "") for part in parts) or "file"
        self._order.append(named)
        self._last = None
        if content is None or size > LARGEST_FILE:
            self.refused[named] = NetlistError(
                f"it holds {size >> 20} MB; in a browser up to {LARGEST_FILE >> 20} MB are read",
                file=named,
                fix="give the netlist alone, or use the program on a computer",
            )
            return
        target = self.folder / named
        try:
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(content)
        except OSError as error:
            self.refused[named] = NetlistError(
                f"cannot keep it: {error.strerror or error}", file=named, fix="give it a shorter name"
            )

    def look(self, *, is_folder: bool) -> tuple[Chosen, ...]:
        """What each file is. Of a folder one board is taken, of files that were chosen one by one all that are boards."""
        with chdir(self.folder):
            heads = {name: self._head(name) for name in dict.fromkeys(self._order)}
            heads = {name: self._beside(head, heads) for name, head in heads.items()}
        # A sheet that names itself, or two that name each other, are boards all the same: that is said on reading.
        sheets = {sheet for name, head in heads.items() for sheet in head.sheets if sheet != name}
        found = []
        for name, head in heads.items():
            if head.error is not None:
                found.append(Chosen(name, "other", said=str(head.error)))
            elif head.form is None:
                found.append(Chosen(name, "parts", "part types of your own", True))
            else:
                is_sheet = name in sheets and heads.keys() - sheets != set()
                use: Use = "sheet" if is_sheet else "board"
                found.append(Chosen(name, use, head.form, not is_sheet, is_notes=head.is_notes))
        if not is_folder:
            return tuple(found)
        ranks = {form.what: rank for rank, form in enumerate(_FOLDER_ORDER)}
        boards = [c for c in found if c.use == "board"]
        projects = {str(PurePosixPath(name).with_suffix("")) for name in heads if name.endswith(_PROJECTS)}

        def likely(board: Chosen) -> tuple[object, ...]:
            """The drawing of a project comes first, then the one with most sheets, then the first by name."""
            is_other = str(PurePosixPath(board.file).with_suffix("")) not in projects
            return (
                ranks[board.form], is_other, -len(heads[board.file].sheets), board.file.count("/"), board.file,
            )  # fmt: skip

        first = min(boards, key=likely, default=None)
        return tuple(c if c.use == "parts" else replace(c, is_taken=c is first) for c in found)

    def _head(self, name: str) -> _Head:
        if name in self.refused:
            return _Head(error=self.refused[name])
        if name.lower().endswith(".toml"):
            return _Head()
        try:
            text, _ = decode(read_bytes(Path(name)), name)
            form = detect(text, name)
        except NetlistError as error:
            return _Head(error=error)
        sheets = [a or b for a, b in _SHEET.findall(text)] if form.from_file else []
        beside = PurePosixPath(name).parent
        return _Head(
            form.what,
            tuple(posixpath.normpath(str(beside / sheet)) for sheet in sheets),
            is_notes=form.name == NOTES_FORM,
        )

    def _beside(self, head: _Head, heads: Mapping[str, _Head]) -> _Head:
        """A sheet that was chosen without its folder is put where the drawing looks for it."""
        sheets = []
        for sheet in head.sheets:
            same = [other for other in heads if PurePosixPath(other).name == PurePosixPath(sheet).name]
            if sheet not in heads and len(same) == 1 and same[0] not in self.refused:
                self._copy(same[0], sheet)
                sheets.append(same[0])
            else:
                sheets.append(sheet)
        return replace(head, sheets=tuple(sheets))

    def _copy(self, name: str, sheet: str) -> None:
        target = Path(sheet)
        if ".." in target.parts or target.exists():
            return
        # What cannot be put there is missed on reading, and that is said.
        with suppress(OSError):
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(name, target)

    def library(self, board: Board) -> Library:
        """The part types, with those of the board's own files."""
        with chdir(self.folder):
            return load_library([(file, decode(read_bytes(Path(file)), file)[0]) for file in board.parts])

    def palette(self, board: Board) -> tuple[Palette | None, tuple[str, ...]]:
        """The palette of the board's dumps, or why there is none. Errors as `tracer.page.report.palette_of` has them."""
        traced = self.trace(board)
        with chdir(self.folder):
            told = contents_told("--contents", board.contents)
            return palette_of(traced, traced.bit_map.load_ohm, told)

    def _working(self, what: str) -> AbstractContextManager[None]:
        self.tell(what)
        return nullcontext()

    def read(self, board: Board) -> Netlist:
        """The board's netlist. Errors as `tracer.importers.together.read_together` has them."""
        files = list(board.files)
        with chdir(self.folder):
            Path(NOTES_FILE).unlink(missing_ok=True)
            if board.notes.strip():
                Path(NOTES_FILE).write_text(board.notes, encoding="utf-8", errors="backslashreplace")
                files.append(NOTES_FILE)
            if not files:
                raise UsageError("no file is chosen", fix="choose one, or type notes")
            named = [named_file(spec, number, bool(board.joins)) for number, spec in enumerate(files)]
            for _, file in named:
                if error := self.refused.get(file):
                    raise error
            return read_together(
                named,
                joins=board.joins,
                markings=board.markings,
                encoding=board.encoding or None,
                working=self._working,
            )

    def trace(self, board: Board) -> Traced:
        """The board traced; what was traced last is kept. Errors as on the command line."""
        if self._last is not None and self._last[0] == board:
            return self._last[1]
        told, load = parse_told(list(board.pins)), _load(board.load)
        netlist, library = self.read(board), self.library(board)
        self.tell(f"tracing {netlist.name}")
        traced = trace_fully(netlist, library, pins=told, load_ohm=load)
        self._last = (board, traced)
        return traced


@dataclass(frozen=True, slots=True)
class _Head:
    """What the text of a file tells: its form, or None for part types; the sheets that it names; why it is no board."""

    form: str | None = None
    sheets: tuple[str, ...] = ()
    error: NetlistError | None = None
    is_notes: bool = False


#: Of a folder with one board in several forms, the one that says most: drawings first, typed lists last.
_FOLDER_ORDER = sorted(FORMATS, key=lambda form: (not form.from_file, form.loose))


def _load(text: str) -> LoadTold:
    if not text.strip():
        return "noted"
    load = Load.of(text.strip())
    if load is None:
        raise UsageError(f"{text} is no load", fix="write ohms, such as 75 or 1k, or none")
    return load.ohm
