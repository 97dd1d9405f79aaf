"""KiCad schematics made to break the program: sheets that lead elsewhere or stand for millions, buses of buses."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.hostile import in_time
from tracer.base.errors import NetlistError
from tracer.importers import read_netlist
from tracer.importers.kicad.sheets import MOST_SHEETS


def _sheet(*files: str) -> str:
    symbols = "".join(
        f'(sheet (at {50 + 50 * i} 40) (size 20 20) (uuid "00000000-0000-4000-8000-{i:012d}") '
        f'(property "Sheetname" "s{i}" (at 0 0 0)) (property "Sheetfile" "{file}" (at 0 0 0)))'
        for i, file in enumerate(files)
    )
    return (
        '(kicad_sch (version 20250114) (generator "eeschema") (uuid "00000000-0000-4000-8000-0000000000ff") (paper "A4") '
        f"(lib_symbols) {symbols})"
    )


def _legacy_sheet(*files: str) -> str:
    symbols = "".join(
        f'$Sheet\nS {1000 + 2000 * i} 1000 500 500\nU 5F00000{i}\nF0 "s{i}" 50\nF1 "{file}" 50\n$EndSheet\n'
        for i, file in enumerate(files)
    )
    return (
        "EESchema Schematic File Version 4\nEELAYER 30 0\nEELAYER END\n$Descr A4 11693 8268\nencoding utf-8\nSheet 1 1\n"
        f"$EndDescr\n{symbols}$EndSCHEMATC\n"
    )


FORMS: dict[str, Callable[..., str]] = {".kicad_sch": _sheet, ".sch": _legacy_sheet}


@pytest.fixture(params=FORMS)
def suffix(request: pytest.FixtureRequest) -> str:
    return str(request.param)


def sheet_error(path: Path) -> str:
    with in_time(), pytest.raises(NetlistError) as caught:
        read_netlist(path)
    return str(caught.value)


def test_a_sheet_that_holds_itself(suffix: str, tmp_path: Path) -> None:
    path = tmp_path / f"a{suffix}"
    path.write_text(FORMS[suffix](path.name))
    assert "holds itself" in sheet_error(path)


def test_a_sheet_that_holds_itself_by_another_and_by_a_link(suffix: str, tmp_path: Path) -> None:
    for name, other in (("a", "b"), ("b", "c")):
        (tmp_path / f"{name}{suffix}").write_text(FORMS[suffix](other + suffix))
    (tmp_path / f"c{suffix}").symlink_to(f"a{suffix}")
    assert "holds itself" in sheet_error(tmp_path / f"a{suffix}")


def test_sheets_placed_twice_in_each_of_a_row_of_others(suffix: str, tmp_path: Path) -> None:
    """30 small files would stand for a thousand million sheets."""
    for i in range(30):
        (tmp_path / f"a{i}{suffix}").write_text(FORMS[suffix](f"a{i + 1}{suffix}", f"a{i + 1}{suffix}"))
    (tmp_path / f"a30{suffix}").write_text(FORMS[suffix]())
    assert f"more than {MOST_SHEETS:,}" in sheet_error(tmp_path / f"a0{suffix}")


def test_a_sheet_may_not_name_what_is_no_schematic(suffix: str, tmp_path: Path) -> None:
    """Nothing of a file outside is shown because a drawing names it (CWE-22)."""
    (tmp_path / "secret").write_text("root:x:0:0:secret\n")
    (tmp_path / "board").mkdir()
    path = tmp_path / "board" / f"a{suffix}"
    path.write_text(FORMS[suffix]("../secret"))
    if suffix == ".sch":
        # The newer form takes as the file what ends like one.
        assert "which is no schematic by its name" in sheet_error(path)
        assert "root:x" not in sheet_error(path)
    else:
        assert not read_netlist(path).nets


@pytest.mark.parametrize(
    "name", ["missing", "x" * 300, "device", "pipe", "folder", "circle", "../../../../../etc/passwd"]
)
def test_a_sheet_of_any_other_kind(name: str, suffix: str, tmp_path: Path) -> None:
    target = tmp_path / f"{name}{suffix}"
    if name == "device":
        target.symlink_to("/dev/zero")
    elif name == "pipe":
        os.mkfifo(target)
    elif name == "folder":
        target.mkdir()
    elif name == "circle":
        target.symlink_to(target.name)
    path = tmp_path / f"a{suffix}"
    path.write_text(FORMS[suffix](f"{name}{suffix}"))
    assert "fix:" in sheet_error(path)


def test_buses_of_buses(tmp_path: Path) -> None:
    aliases = "".join(f'(bus_alias "M{i}" (members "X{{M{i + 1}}}" "Y{{M{i + 1}}}"))' for i in range(40))
    path = tmp_path / "a.kicad_sch"
    bus = "(bus (pts (xy 10 10) (xy 20 10)))"
    path.write_text(_sheet()[:-1] + f'{bus}{aliases}(label "A{{M0}}" (at 10 10 0)))')
    assert "more than 4,096 members" in sheet_error(path)
    path.write_text(_sheet()[:-1] + f'{bus}(label "D[0..99999999]" (at 10 10 0)))')
    assert "more than 4,096 members" in sheet_error(path)


def test_wires_over_one_another(tmp_path: Path) -> None:
    new, old = tmp_path / "a.kicad_sch", tmp_path / "a.sch"
    new.write_text(
        _sheet()[:-1] + "".join(f"(wire (pts (xy 0 {i}) (xy 0 {i + 5000})))" for i in range(5000)) + ")"
    )
    wires = "".join(f"Wire Wire Line\n\t0 {i} 0 {i + 9000}\n" for i in range(9000))
    old.write_text(_legacy_sheet().replace("$EndSCHEMATC", f"{wires}$EndSCHEMATC"))
    with in_time():
        assert not read_netlist(new).nets
    assert "too often to tell what they join" in sheet_error(old)
