"""The command `mark`: copies of a board's KiCad files in which the path of each colour can be seen."""

from __future__ import annotations

import argparse
import hashlib
import sys
from collections import Counter
from pathlib import Path

from tracer.base.errors import EmitError, UsageError
from tracer.base.write import make_folder, write_whole
from tracer.cli.exit_codes import OK, STOPPED
from tracer.cli.inputs import named_files, working
from tracer.cli.tracing import trace_board
from tracer.diagram.styles import Style
from tracer.importers.text import read_bytes
from tracer.mark.board_marks import marks_of
from tracer.mark.copies import Copies, board_copies, schematic_copies

__all__ = ["RECORD", "run"]

#: What was written, in the form of ``sha256sum``: what differs from it was changed by somebody else and is kept.
RECORD = "marked-files.sha256"
_COPIES = {".kicad_sch": schematic_copies, ".kicad_pcb": board_copies}


def run(args: argparse.Namespace) -> int:
    """Write the copies; 0 when every bit ends at a memory pin."""
    drawings = [
        (name, Path(file)) for name, file in named_files(args) if Path(file).suffix.lower() in _COPIES
    ]
    if not drawings:
        raise UsageError(
            "none of the files is a drawing that can be marked",
            fix="give a schematic (.kicad_sch) or a board (.kicad_pcb) of KiCad 6 or later",
        )
    # A board's project is its schematic's with more in it, so it comes last.
    drawings.sort(key=lambda each: each[1].suffix.lower() == ".kicad_pcb")
    folder = Path(args.output)
    _refuse_folder_of(folder, [file for _, file in drawings])
    traced = trace_board(args)
    marks = marks_of(traced)
    with working("marking"):
        copies = [
            _COPIES[file.suffix.lower()](file, marks, name if args.join else "") for name, file in drawings
        ]
    files = _together(copies)
    _refuse_folder_of(folder, [original for each in copies for original in each.originals])
    _write(folder, files)
    counts: Counter[str] = sum((Counter(each.counts) for each in copies), Counter())
    told = ", ".join(f"{n} {what}" for what, n in counts.items())
    print(f"wrote {len(files)} files in {folder}; marked: {told or 'nothing'}", file=sys.stderr)
    print(_legend(marks.styles), file=sys.stderr)
    for said in (said for each in copies for said in each.said):
        print(said, file=sys.stderr)
    return OK if traced.bit_map.is_complete else STOPPED


def _legend(styles: tuple[Style, ...]) -> str:
    """Which line is which colour, for eyes and printers that do not tell."""
    lines = ", ".join(f"{style.name} {style.line}" for style in styles)
    return f"lines: {lines}; black and thick where several colours pass"


def _together(copies: list[Copies]) -> dict[str, bytes]:
    """All files; a project of a schematic and a board is the one with the nets' colours.

    Raises
    ------
    UsageError
        Two drawings have files of one name.
    """
    found: dict[str, bytes] = {}
    for each in copies:
        for name, content in each.files.items():
            if name in found and found[name] != content and not name.endswith(".kicad_pro"):
                raise UsageError(
                    f"two of the drawings have a file {name}",
                    fix="mark them one after another, each with its own -o",
                )
            found[name] = content
    return found


def _refuse_folder_of(folder: Path, originals: list[Path]) -> None:
    """Copies never lie where an original does.

    Raises
    ------
    EmitError
        They would.
    """
    for original in originals:
        if original.resolve().parent == folder.resolve():
            raise EmitError(
                f"{original.name} lies in this folder, and a drawing is never written over",
                file=str(folder),
                fix="name another folder with -o",
            )


def _write(folder: Path, files: dict[str, bytes]) -> None:
    """Write all files, or none where one holds something that this command did not write.

    Raises
    ------
    EmitError
        One does, or cannot be written.
    """
    record = folder / RECORD
    lines = read_bytes(record).decode("utf-8", errors="replace").splitlines() if record.is_file() else []
    written = {name: digest for digest, _, name in (line.partition("  ") for line in lines)}
    for name, content in files.items():
        target = folder / name
        if target.exists() and not (
            target.is_file() and _digest(read_bytes(target)) in (_digest(content), written.get(name))
        ):
            raise EmitError(
                "it is there already, and is not as `rgbroots mark` left it; nothing was written",
                file=str(target),
                fix="move it away, or name another folder with -o",
            )
    written |= {name: _digest(content) for name, content in files.items()}
    make_folder(folder)
    for name, content in files.items():
        make_folder((folder / name).parent)
        write_whole(folder / name, content)
    # Last: stopped before, the same command finds each file as it was or as it will be.
    write_whole(record, "".join(f"{digest}  {name}\n" for name, digest in sorted(written.items())))


def _digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()
