"""What KiCad 9 exports of one drawing in several forms, and of its boards: all must be KiCad's own netlist.

Source: Debian 13 package ``kicad`` 9.0.2 (``kicad-cli``; run with ``-m kicad``), Debian package ``kicad-demos``: every
project with a schematic (31 in 9.0.2) in OrCAD PCB II, PADS, Telesis and RINF, and every board (16) as IPC-D-356.

What these exports leave out of KiCad's netlist, met on the demos and allowed for below:

- OrCAD PCB II, PADS and RINF cut a pin's number to four letters, PADS and RINF leave out nets of one pin, OrCAD PCB II
  leaves out pins without a number;
- Telesis leaves parts out of its part list (9.0.2; the last of a kind, sometimes more), and writes net names
  in upper case;
- IPC-D-356 cuts references to six letters, pins to four and nets to their last 14, in upper case.
"""

from __future__ import annotations

import re
import shutil
from functools import cache
from pathlib import Path

import pytest

from tests.drawing.kicad import run_kicad
from tests.published.conftest import NO_FOLDER, reference_folder
from tracer.importers import read_netlist
from tracer.netlist.board import Netlist, PinRef
from tracer.netlist.check import check_netlist

pytestmark = pytest.mark.kicad
KICAD = shutil.which("kicad-cli")
CUT_PIN = 4
CUT_REFERENCE = 6

#: KiCad's word for a form -> the format that we must see in it, and letters of a pin's number that it keeps.
FORMS = {
    "orcadpcb2": ("orcad-pcb2", CUT_PIN),
    "pads": ("pads", CUT_PIN),
    "allegro": ("telesis", None),
    "cadstar": ("rinf", CUT_PIN),
}
LEAVES_OUT_LONE_PINS = {"pads", "cadstar"}


@pytest.fixture(scope="module")
def demos(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the demos where kicad-cli may read and write."""
    folder = reference_folder("kicad-demos", "usr", "share", "kicad", "demos")
    if folder is None:
        pytest.skip(NO_FOLDER)
    copy = tmp_path_factory.mktemp("demos")
    shutil.copytree(folder, copy, dirs_exist_ok=True)
    return copy


def projects(demos: Path) -> list[Path]:
    return [p for p in sorted(demos.rglob("*.kicad_pro")) if p.with_suffix(".kicad_sch").is_file()]


def exported(sheet: Path, form: str) -> Netlist:
    assert KICAD is not None
    out = place_of(sheet, form)
    run_kicad(KICAD, "sch", "export", "netlist", "--format", form, "-o", str(out), str(sheet))
    return read_netlist(out)


def place_of(sheet: Path, form: str) -> Path:
    return sheet.with_name(f"{sheet.stem}.{form}.txt")


def text_of(sheet: Path, form: str) -> str:
    return place_of(sheet, form).read_text(encoding="utf-8")


def groups(netlist: Netlist, cut: int | None, at_least: int) -> set[frozenset[PinRef]]:
    nets = ({PinRef(pin.part, pin.pin[:cut]) for pin in net.pins} for net in netlist.nets)
    return {frozenset(net) for net in nets if len(net) >= at_least}


def words(text: str) -> str:
    """A value without what the forms cannot write: blanks, quotes and letters beyond ASCII."""
    return "".join(c for c in text if c.isascii() and c.isalnum())


@cache
def kicads_own(sheet: Path) -> Netlist:
    return exported(sheet, "kicadsexpr")


@pytest.mark.parametrize("form", FORMS)
def test_netlists(demos: Path, form: str) -> None:
    name, cut = FORMS[form]
    found = 0
    for project in projects(demos):
        sheet = project.with_suffix(".kicad_sch")
        own, other = kicads_own(sheet), exported(sheet, form)
        assert other.inputs[0].format == name
        at_least = 2 if form in LEAVES_OUT_LONE_PINS else 1
        wanted = groups(own, cut, at_least)
        if form == "orcadpcb2":
            wanted = {net for net in wanted if len(net) > 1 or next(iter(net)).pin}
        assert groups(other, cut, at_least) == wanted, sheet.name
        markings = {part.reference: part.marking for part in own.parts}
        missing = set(markings) - {part.reference for part in other.parts}
        if form == "allegro":
            listed = text_of(sheet, form).partition("$NETS")[0]
            assert not missing & set(re.findall(r"[^\s,;!]+", listed)), sheet.name
        else:
            assert not missing, sheet.name
        for part in other.parts:
            drawn = own.by_reference[part.reference]
            allowed_words = {"", words(drawn.marking)}
            if form == "pads" and any(part.reference in f.where for f in other.findings):
                # A footprint without a library (a drawing of KiCad 3) looks like a value, and the reader says so.
                allowed_words.add(words(drawn.footprint))
            assert words(part.marking) in allowed_words, part
        # A pin that was cut may be another's.
        allowed = {"undeclared-part"} if form == "allegro" else {"marking-for-footprint", "pin-on-two-nets"}
        assert {finding.code for finding in check_netlist(other)} <= allowed | {"nothing-connected"}
        found += len(wanted)
    assert found > 1000


def test_test_lists_of_boards(demos: Path) -> None:
    """Each pin of the board is in the list that a bare board is tested with, beside the same other pins."""
    assert KICAD is not None
    found = 0
    for board in sorted(demos.rglob("*.kicad_pcb")):
        out = demos / f"{board.stem}.d356"
        run_kicad(KICAD, "pcb", "export", "ipcd356", "-o", str(out), str(board))
        own, other = read_netlist(board), read_netlist(out)
        assert other.inputs[0].format == "ipc-d-356"
        wanted = {
            # Our reader of boards keeps parts of one name apart by a number behind a colon.
            frozenset((pin.part.split(":")[0][:CUT_REFERENCE], pin.pin[:CUT_PIN]) for pin in net.pins)
            for net in own.nets
            if net.pins
        }
        assert {frozenset((pin.part, pin.pin) for pin in net.pins) for net in other.nets} == wanted
        found += len(wanted)
        codes = {finding.code for finding in check_netlist(other)}
        assert codes <= {"cut-name", "no-connect-joined", "pin-on-two-nets", "nothing-connected"}
        assert "pin-on-two-nets" not in codes or any(
            finding.code == "cut-name" and finding.severity == "warning" for finding in other.findings
        )
    assert found > 1000
