"""Netlists that KiCad's own style sheets make: OrCAD PCB II, PADS and RINF of one design against its KiCad netlist.

Sources: Debian 12 package ``kicad`` 6.0.11, ``usr/share/kicad/plugins/*.xsl`` (KiCad's style sheets of 2010 to 2022, which
turn its XML netlist into other forms; not in the packages of Debian 13), run by ``xsltproc`` of the Debian package of that
name; PyPI source package ``kinparse`` 1.2.4, ``tests/data``. The netlists there are s-expressions of the tree that KiCad also
writes as XML, so they are written as XML here, clause by clause, with the standard library alone.

Counted apart from our readers: the lines of the texts that the style sheets write.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.published.conftest import NO_FOLDER, VARIABLE, reference_folder
from tests.published.test_netlist_counts import COUNTS
from tracer.importers import read_netlist
from tracer.importers.sexpr import Expr, parse_sexpr
from tracer.netlist.board import Netlist, PinRef

#: Clause -> its facts that the XML form has as attributes.
ATTRIBUTES = {
    "export": {"version"},
    "comp": {"ref"},
    "libsource": {"lib", "part", "description"},
    "libpart": {"lib", "part"},
    "pin": {"num", "name", "type"},
    "net": {"code", "name", "class"},
    "node": {"ref", "pin", "pinfunction", "pintype"},
    "sheetpath": {"names", "tstamps"},
    "property": {"name", "value"},
    "field": {"name"},
}
#: Style sheet -> the format it writes.
SHEETS = {
    "OrcadPcb2": "orcad-pcb2",
    "pads-pcb.asc": "pads",
    "cadstar-RINF": "rinf",
    "cadstar": "rinf",
}


def as_xml(expression: Expr) -> ElementTree.Element:
    element = ElementTree.Element(expression.head)
    for item in expression[1:]:
        if isinstance(item, str):
            element.text = item
        elif item.head in ATTRIBUTES.get(expression.head, ()):
            element.set(item.head, " ".join(item.words()))
        else:
            element.append(as_xml(item))
    return element


@pytest.fixture(scope="module")
def style_sheets() -> Path:
    folder = reference_folder("kicad", "usr", "share", "kicad", "plugins")
    if folder is None:
        pytest.skip(NO_FOLDER)
    if not list(folder.glob("*.xsl")):
        pytest.skip("KiCad has no style sheets for netlists from version 9 on")
    if shutil.which("xsltproc") is None:
        assert not os.environ.get(VARIABLE), "the Debian package xsltproc is missing"
        pytest.skip("xsltproc is not installed")
    return folder


def made_by(sheet: Path, source: Path, work: Path) -> Path:
    """The text that a style sheet makes of a netlist."""
    tree = as_xml(parse_sexpr(source.read_text(encoding="utf-8"), source.name))
    ElementTree.ElementTree(tree).write(work / "netlist.xml", encoding="utf-8", xml_declaration=True)
    made = work / "netlist.net"
    subprocess.run(["xsltproc", "-o", str(made), str(sheet), str(work / "netlist.xml")], check=True)
    return made


def joined(netlist: Netlist) -> set[frozenset[PinRef]]:
    """Nets of two pins and more: the style sheets leave the others out."""
    return {frozenset(net.pins) for net in netlist.nets if len(net.pins) > 1}


@pytest.mark.parametrize("sheet", SHEETS)
@pytest.mark.parametrize("file", COUNTS)
def test_nets_are_those_of_the_netlist(
    style_sheets: Path, kinparse_files: Path, file: str, sheet: str, tmp_path: Path
) -> None:
    whole = read_netlist(kinparse_files / file)
    made = read_netlist(made_by(style_sheets / f"netlist_form_{sheet}.xsl", kinparse_files / file, tmp_path))
    assert made.inputs[0].format == SHEETS[sheet]
    # In gaillard.net a part stands in nets alone; the style sheet writes no pins of it.
    stray = set(whole.pins_of_parts) - {part.reference for part in whole.parts}
    if sheet == "OrcadPcb2" and stray:
        nets = ({pin for pin in net if pin.part not in stray} for net in joined(whole))
        assert joined(made) == {frozenset(net) for net in nets if len(net) > 1}
    else:
        assert joined(made) == joined(whole)
    if sheet != "OrcadPcb2":
        assert all(len(net.pins) > 1 for net in made.nets)
    else:
        # It writes "?" for the net of a lone pin; each is on a net of its own.
        drawn = {pin for pin in whole.nets_of_pins if pin.part not in stray}
        assert made.nets_of_pins.keys() == drawn
    assert [p.reference for p in made.parts] == [p.reference for p in whole.parts]
    if SHEETS[sheet] != "pads":
        assert [p.marking for p in made.parts] == [p.marking for p in whole.parts]
    if sheet != "cadstar":
        assert [p.footprint for p in made.parts] == [p.footprint for p in whole.parts]


#: What stands in the texts of control_board.net, by a plain search: pattern -> how often.
PLAIN = {
    "OrcadPcb2": {
        r"(?m)^ \( \S+ \S+ \S+ [^\r\n]*\r?$": 180,
        r"(?m)^  \( \S+ [^\r\n]* \)\r?$": 608,
        r"(?m)^  \( \S+ \? \)\r?$": 48,
    },
    "pads-pcb.asc": {r"(?m)^\*SIGNAL\*": 88, r"\b[A-Z]+\d+\.\w+\b(?!\S)": 560},
    "cadstar-RINF": {r"(?m)^\.ADD_COM ": 180, r"(?m)^\.ADD_TER ": 88, r"(?m)^\.TER |^ +\S+\.\S+\r?$": 472},
}


@pytest.mark.parametrize("sheet", PLAIN)
def test_counts_of_the_larger_design(
    style_sheets: Path, kinparse_files: Path, sheet: str, tmp_path: Path
) -> None:
    """180 parts, 88 nets of two pins and more, 560 pins on them; OrCAD PCB II also has the 48 pins that are alone."""
    path = made_by(style_sheets / f"netlist_form_{sheet}.xsl", kinparse_files / "control_board.net", tmp_path)
    text = path.read_bytes().decode()
    made = read_netlist(path)
    alone = 48 if sheet == "OrcadPcb2" else 0
    assert (len(made.parts), len(made.nets), len(made.nets_of_pins)) == (180, 88 + alone, 560 + alone)
    assert {pattern: len(re.findall(pattern, text)) for pattern in PLAIN[sheet]} == PLAIN[sheet]
