"""Files that cannot be read: each says what is wrong, where, and what to do.

The files lie in ``tests/cases/errors``, one folder a format; beside ``NAME`` stands ``NAME.expected`` with the whole
message. A schematic is a folder with its files, its root called ``board.kicad_sch`` or ``board.sch``.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tracer.base.errors import NetlistError, TracerError
from tracer.importers import FORMATS, read_netlist

CASES = Path(__file__).parents[2] / "cases" / "errors"
EXPECTED = sorted(CASES.rglob("*.expected"))


@pytest.mark.parametrize("expected", EXPECTED, ids=lambda path: path.relative_to(CASES).as_posix())
def test_message(expected: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(expected.parent)
    with pytest.raises(NetlistError) as caught:
        read_netlist(expected.name.removesuffix(".expected"))
    assert str(caught.value) + "\n" == expected.read_text(encoding="utf-8")
    assert caught.value.fix


def test_every_file_has_its_message() -> None:
    files = {path for path in CASES.rglob("*") if path.is_file() and path.name != ".gitattributes"}
    named = {path.with_name(path.name.removesuffix(".expected")) for path in EXPECTED}
    parts_of_schematics = {
        path
        for path in files
        if (
            path.suffix in (".kicad_sch", ".sch", ".lib")
            and path.name not in ("board.kicad_sch", "board.sch")
        )
        # What a message points to.
        or (path.suffix in (".net", ".kicad_pcb") and path.with_name("board.sch").exists())
    }
    assert files == named | set(EXPECTED) | parts_of_schematics
    assert len(EXPECTED) > 50


def test_missing_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The files that are there are named."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "lower.net").write_text("x", encoding="utf-8")
    with pytest.raises(NetlistError) as caught:
        read_netlist("upper.net")
    assert str(caught.value) == "upper.net: there is no such file\nfix: the folder holds: lower.net"


def test_missing_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(NetlistError) as caught:
        read_netlist("nowhere/upper.net")
    assert (
        str(caught.value)
        == "nowhere/upper.net: there is no such file\nfix: there is no folder nowhere; check its name"
    )


def test_folder_instead_of_a_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "board").mkdir()
    with pytest.raises(NetlistError) as caught:
        read_netlist("board")
    assert str(caught.value) == "board: this is a folder, not a file\nfix: name the netlist in it"


def test_unknown_encoding_and_format(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "a.csv").write_text("part,pin,net\n", encoding="utf-8")
    with pytest.raises(TracerError) as caught:
        read_netlist("a.csv", encoding="latin-99")
    assert str(caught.value) == (
        "a.csv: unknown encoding latin-99\nfix: use a name such as utf-8, cp1252 or windows-1251"
    )
    with pytest.raises(TracerError) as caught:
        read_netlist("a.csv", format_name="papyrus")
    names = ", ".join(form.name for form in FORMATS)
    assert str(caught.value) == f"there is no format called papyrus\nfix: the formats are: {names}"


def test_named_encoding_that_does_not_fit(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "a.csv").write_bytes(b"part,pin,net\nU1,1,\xff\xfe\n")
    with pytest.raises(TracerError) as caught:
        read_netlist("a.csv", encoding="utf-8")
    assert str(caught.value) == (
        "a.csv:2: byte 18 does not fit the encoding utf-8\nfix: name another with --encoding"
    )
