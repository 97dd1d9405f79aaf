"""Which format a text is: told by what it holds, never by its file's name."""

from __future__ import annotations

import hashlib
from importlib import import_module
from pathlib import Path

import pytest

from tracer.errors import NetlistError, UsageError
from tracer.importers import FORMATS, detect, parse_netlist, read_netlist


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ('(export (version "E"))', "kicad-netlist"),
        ("\n\t( export\n(version D))", "kicad-netlist"),
        ("(kicad_sch (version 20211123))", "kicad-schematic"),
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
        ("(kicad_pcb (version 1))", "a KiCad board"),
        ("(kicad_symbol_lib (version 1))", "a KiCad symbol library"),
        ('(footprint "R", x)', "a KiCad footprint"),
        ("(module R, x)", "a KiCad footprint"),
        ("EESchema Schematic File Version 4, x", "a KiCad schematic of version 5 or older"),
        ("%PDF-1.7, x", "a PDF"),
        ('<?xml version="1.0"?>, x', "an XML file"),
        ("<html>, x", "an XML file"),
        ('{"a": 1, "b": 2}', "a JSON file"),
    ],
)
def test_known_files_without_a_netlist(text: str, what: str) -> None:
    """Commas in them do not make them tables; each error says what to give instead."""
    with pytest.raises(NetlistError) as caught:
        detect(text, "a.net")
    assert str(caught.value).split("\n")[0] == f"a.net: this is {what}"
    assert caught.value.fix


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
    with pytest.raises(NetlistError, match='there is no "\\(" in it'):
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
