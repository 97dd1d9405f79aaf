"""Bytes -> text: encodings, line ends, positions."""

from __future__ import annotations

import codecs

import pytest

from tracer.base.errors import NetlistError
from tracer.importers.text import Positions, decode

TEXT = "part,pin,net\nR1,1,Ω µ é\n"


@pytest.mark.parametrize(
    "data",
    [
        pytest.param(TEXT.encode(), id="utf-8"),
        pytest.param(codecs.BOM_UTF8 + TEXT.encode(), id="utf-8 with a mark"),
        pytest.param(codecs.BOM_UTF16_LE + TEXT.encode("utf-16-le"), id="utf-16 little end first"),
        pytest.param(codecs.BOM_UTF16_BE + TEXT.encode("utf-16-be"), id="utf-16 big end first"),
        pytest.param(TEXT.replace("\n", "\r\n").encode(), id="CRLF"),
        pytest.param(TEXT.replace("\n", "\r").encode(), id="CR"),
    ],
)
def test_one_text_in_many_forms(data: bytes) -> None:
    assert decode(data, "a.csv") == (TEXT, ())


def test_old_code_page_is_assumed_and_said() -> None:
    text, findings = decode("R1,1,µ é €\n".encode("cp1252"), "old.csv")
    assert text == "R1,1,µ é €\n"
    assert [(f.code, f.severity, f.where, f.text) for f in findings] == [
        (
            "old-encoding",
            "note",
            ("old.csv",),
            "old.csv is not UTF-8; it was read as cp1252. If names look wrong, name the encoding with --encoding",
        )
    ]


def test_no_byte_of_an_old_file_is_dropped() -> None:
    """Five bytes have no letter in cp1252; all 256 but the zero come out as different letters."""
    text, _ = decode(bytes(range(1, 256)), "old.csv")
    assert len(text) == 255
    assert len(set(text)) == 254
    assert text.count("\n") == 2  # LF and CR


def test_named_encoding() -> None:
    """A Cyrillic letter and a Latin one that looks like it are two nets."""
    assert decode("+3,3В".encode("cp1251"), "a.csv", "windows-1251") == ("+3,3В", ())
    assert decode("+3,3В".encode("cp1251"), "a.csv", "windows-1251")[0] != "+3,3B"


@pytest.mark.parametrize("encoding", ["latin-99", "rot13", "undefined", "idna\0"])
def test_unknown_encodings(encoding: str) -> None:
    with pytest.raises(NetlistError, match=r"^a.csv: unknown encoding") as caught:
        decode(b"x", "a.csv", encoding)
    assert caught.value.file == "a.csv"


def test_binary_data() -> None:
    with pytest.raises(NetlistError) as caught:
        decode(b"\x03\x04\x00\x00", "a.bin")
    assert caught.value.what == "this is a binary file, not a netlist"


def test_positions() -> None:
    """Lines and columns from 1, a tab is one column."""
    text = "ab\n\tc\n\nd"
    positions = Positions(text, "f")
    found = {offset: positions.line_column(offset) for offset in range(len(text) + 1)}
    assert found == {
        0: (1, 1),
        1: (1, 2),
        2: (1, 3),
        3: (2, 1),
        4: (2, 2),
        5: (2, 3),
        6: (3, 1),
        7: (4, 1),
        8: (4, 2),
    }
    assert [positions.line_text(n) for n in (1, 2, 3, 4)] == ["ab", "\tc", "", "d"]


def test_long_lines_are_cut_around_the_place() -> None:
    text = "x" * 500 + "HERE" + "y" * 500
    error = Positions(text, "f").error("what", 500, "do")
    assert error.where == "f:1:501"
    shown, caret = str(error.excerpt).split("\n")
    assert len(shown) == 72
    assert shown[caret.index("^") :].startswith("HERE")
