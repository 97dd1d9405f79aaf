"""README: its table of forms is that of the program, what its terminal shows is said, its pictures are there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tracer.cli.main import main
from tracer.importers import FORMATS

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
#: The first words of a row -> the formats that it stands for.
FORMATS_OF_ROWS = {
    "KiCad schematic, .kicad_sch": ["kicad-schematic"],
    "KiCad schematic, .sch": ["kicad-legacy"],
    "KiCad netlist": ["kicad-netlist", "kicad-xml"],
    "KiCad board": ["kicad-board"],
    "OrCAD PCB II": ["orcad-pcb2"],
    "EDIF": ["edif"],
    "Eagle schematic": ["eagle-schematic"],
    "Eagle board": ["eagle-board"],
    "PADS": ["pads"],
    "Tango": ["tango"],
    "Protel 2": ["protel2"],
    "Telesis": ["telesis"],
    "RINF": ["rinf"],
    "IPC-D-356": ["ipc-d-356"],
    "gEDA and Lepton lists": ["geda"],
    "gEDA PCB": ["geda-pcb"],
    "tEDAx": ["tedax"],
    "structural Verilog": ["verilog"],
    "SPICE": ["spice"],
    "table": ["table"],
    "bench notes": ["bench-notes"],
}
#: What holds of some files of a form only, and is said nowhere else.
OF_SOME_FILES = {"in version D pin names only where the library part is in the file"}
#: What a program leaves out, though the form could hold it: `rgbroots help formats` has it.
_OF_A_WRITER = "when KiCad wrote it"


def rows() -> dict[str, set[str]]:
    """First cell of each row -> what the form cannot tell; in brackets stands what one can do about it."""
    table = README.partition("| form | from | what it cannot tell |\n")[2].partition("\n\n")[0]
    found = {}
    for line in table.splitlines()[1:]:
        form, _, lost = (cell.strip().replace("`", "") for cell in line.strip("|").split("|"))
        found[form] = {re.sub(r" \([^)]*\)", "", fact).strip() for fact in lost.split(";")} - {""}
    return found


def test_each_row_stands_for_formats_and_each_format_has_a_row() -> None:
    for row in rows():
        assert len([words for words in FORMATS_OF_ROWS if row.startswith(words)]) == 1, row
    named = sorted(name for names in FORMATS_OF_ROWS.values() for name in names)
    assert named == sorted(form.name for form in FORMATS)
    assert len(rows()) == len(FORMATS_OF_ROWS)


def test_a_row_says_what_its_formats_cannot_tell() -> None:
    formats = {form.name: form for form in FORMATS}
    for row, said in rows().items():
        [names] = [names for words, names in FORMATS_OF_ROWS.items() if row.startswith(words)]
        lost = {fact for name in names for fact in formats[name].loses if _OF_A_WRITER not in fact}
        assert said - OF_SOME_FILES == lost, row


def test_what_the_terminal_shows_is_what_the_program_says(capsys: pytest.CaptureFixture[str]) -> None:
    shown = README.partition("On the terminal:\n\n```\n")[2].partition("```")[0]
    board = str(Path(__file__).parents[2] / "netlists" / "dunlin" / "dunlin.net")
    assert (
        main(["suspect", board, "--seen", "red=coarse", "--seen", "green=fine", "--seen", "blue=fine"]) == 0
    )
    said = capsys.readouterr().out.splitlines()
    assert [line for line in shown.splitlines() if line != "   ..." and line not in said] == []


def test_the_pictures_are_there_and_load_quickly() -> None:
    pictures = re.findall(r"!\[[^\]]+\]\(([^)]+\.png)\)", README)
    assert len(pictures) >= 3
    for each in pictures:
        picture = Path(__file__).parents[2] / each
        assert picture.read_bytes().startswith(b"\x89PNG")
        assert picture.stat().st_size < 200_000
