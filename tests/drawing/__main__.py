"""Redraw the demo boards: ``python -m tests.drawing [--kicad-cli PROGRAM] [--work DIRECTORY]``.

Schematics are written in any case. Netlists and pin tables are KiCad's, so they
are written anew, and checked against the design, only where KiCad's command line
program (8 or later) is at hand.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
from pathlib import Path

from tests.drawing.boards import boards
from tests.drawing.design import Project
from tests.drawing.kicad import DrawingError, check, export, pin_table, read_net
from tests.drawing.overlaps import overlaps
from tests.drawing.schematic import write_project
from tests.drawing.truth_file import truth_text

ROOT = Path(__file__).resolve().parents[2]


def _redraw(project: Project, command: str | None, work: Path) -> str:
    """Draw one board; gives a line about it."""
    untidy = [f"{cell.file}: {text}" for cell in project.cells() for text in overlaps(cell)]
    if untidy:
        raise DrawingError("\n".join(untidy))
    folder = ROOT / "netlists" / (project.folder or project.name)
    folder.mkdir(parents=True, exist_ok=True)
    files = write_project(project)
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8")
    done = f"{project.name}: {len(files)} sheet files, {len(project.parts)} parts, {len(project.groups)} nets"
    if command is None:
        return f"{done}; no kicad-cli, so its netlist was left as it is"
    text = export(command, project, files, work)
    exported = read_net(text)
    check(project, exported)
    (folder / f"{project.name}.net").write_text(text, encoding="utf-8")
    (folder / f"{project.name}.csv").write_text(pin_table(exported), encoding="utf-8")
    return f"{done}; KiCad's netlist agrees"


def main() -> int:
    """Redraw all boards; 1 when a drawing is not what was meant."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.drawing", description="Redraw the demo boards into netlists/."
    )
    parser.add_argument("--kicad-cli", default=shutil.which("kicad-cli"), help="KiCad's command line program")
    parser.add_argument(
        "--work", type=Path, default=Path(tempfile.gettempdir()), help="a directory KiCad may use"
    )
    options = parser.parse_args()
    try:
        for project in boards():
            print(_redraw(project, options.kicad_cli, options.work))
    except DrawingError as error:
        print(error, file=sys.stderr)
        return 1
    (Path(__file__).parent / "truth.py").write_text(truth_text(), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
