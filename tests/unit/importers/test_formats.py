"""Which format a text is: told by what it holds, never by its file's name."""

from __future__ import annotations

import hashlib
from contextlib import suppress
from importlib import import_module
from pathlib import Path

import pytest

from tracer.base.errors import NetlistError, UsageError
from tracer.importers import FORMATS, SNIFFED, detect, parse_netlist, read_netlist


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ('(export (version "E"))', "kicad-netlist"),
        ("\n\t( export\n(version D))", "kicad-netlist"),
        ("(kicad_sch (version 20211123))", "kicad-schematic"),
        ("(kicad_pcb (version 20241229))", "kicad-board"),
        ('<?xml version="1.0"?>\n<!-- a; b -->\n<export version="E">', "kicad-xml"),
        ("(edif BOARD", "edif"),
        ("\n(EDIF BOARD", "edif"),
        ('<!DOCTYPE eagle SYSTEM "eagle.dtd"><eagle><drawing><layers/><schematic>', "eagle-schematic"),
        ("<eagle><drawing><board>", "eagle-board"),
        ("EESchema Schematic File Version 4\nLIBS:a,b\n", "kicad-legacy"),
        ("// a board, redrawn\nmodule board (a, b);\n", "verilog"),
        ("module \\not found  (\n", "verilog"),
        ("(* top =  1  *)\nmodule \\a-b ;\n", "verilog"),
        (".title KiCad schematic\nR1 A B 470\n", "spice"),
        ("An amplifier, drawn in May\nR1 A B 470\n.end\n", "spice"),
        ("* made by hand\n*\nR1 A B 470\nU1 A B C\n+ D E\nC1 A 0 1n\n", "spice"),
        ("part,pin,net\n", "table"),
        ("a;b", "table"),
        ("a\tb", "table"),
        ("| a | b |", "table"),
        ("My board\n\npart,pin,net\n", "table"),
    ],
)
def test_by_content(text: str, expected: str) -> None:
    assert detect(text, "file.pdf").name == expected


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("(kicad_symbol_lib (version 1))", "a KiCad symbol library"),
        ('(footprint "R", x)', "a KiCad footprint"),
        ("(module R, x)", "a KiCad footprint"),
        ("%PDF-1.7, x", "a PDF"),
        ('<?xml version="1.0"?>, x', "an XML file"),
        ("<html>, x", "a web page"),
        (
            '<?xml version="1.0"?><eagle><drawing><library/></drawing></eagle>, x',
            "an Eagle library or settings file",
        ),
        ('{"a": 1, "b": 2}', "a JSON file"),
    ],
)
def test_known_files_without_a_netlist(text: str, what: str) -> None:
    """Commas in them do not make them tables; each error says what to give instead."""
    with pytest.raises(NetlistError) as caught:
        detect(text, "a.net")
    assert str(caught.value).split("\n")[0] == f"a.net: this is {what}"
    assert caught.value.fix


@pytest.mark.parametrize("piece", ["a", "a.", "U1.1 ", "a-b ", "<", "(", "# ", "U1\t", '"'])
def test_one_long_line_takes_no_time(piece: str) -> None:
    """Text without line ends comes of damaged files; a pattern that goes back and forth over it would take days."""
    with suppress(NetlistError):
        detect(piece * (SNIFFED // len(piece)), "a.net")


def test_formats_have_names_and_readers() -> None:
    assert len({form.name for form in FORMATS}) == len(FORMATS)
    for form in FORMATS:
        assert form.what
        assert callable(getattr(import_module(form.module), "read" if form.from_file else "parse"))


def test_a_schematic_cannot_be_read_from_a_text() -> None:
    with pytest.raises(UsageError) as caught:
        parse_netlist("(kicad_sch)", "a.kicad_sch")
    assert str(caught.value) == (
        "a KiCad schematic with its sheets, KiCad 6 and later is read from its file, not from a text\n"
        "fix: use read_netlist"
    )


def test_a_format_may_be_named() -> None:
    with pytest.raises(NetlistError, match='starts with "\\(", and there is none'):
        parse_netlist("part,pin,net\n", "a.csv", format_name="kicad-netlist")


def test_what_a_file_gives(tmp_path: Path) -> None:
    """Its name, its format, its hash, and the board's name; findings of the decoding go before those of the reader."""
    data = "part,pin,net\nU1,1,µ\nU1,2,NC\nU1,3,NC\n".encode("cp1252")
    (tmp_path / "upper.csv").write_bytes(data)
    netlist = read_netlist(tmp_path / "upper.csv")
    assert netlist.name == "upper"
    assert [(i.file, i.format, i.sha256) for i in netlist.inputs] == [
        ("upper.csv", "table", hashlib.sha256(data).hexdigest())
    ]
    assert [f.code for f in netlist.findings] == ["old-encoding", "no-connect-joined"]
    assert read_netlist(str(tmp_path / "upper.csv"), name="Dunlin").name == "Dunlin"
    assert read_netlist(tmp_path / "upper.csv", encoding="cp1252").findings[0].code == "no-connect-joined"
