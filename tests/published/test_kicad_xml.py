"""KiCad's XML netlist against its s-expression netlist of the same drawing: parts and groups of pins are equal.

Source: Debian 13 package ``kicad`` 9.0.2 (``kicad-cli``; run with ``-m kicad``), Debian package ``kicad-demos``: every
project with a schematic.
"""

from __future__ import annotations

import shutil
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

from tests.drawing.kicad import run_kicad
from tests.published.conftest import NO_FOLDER, reference_folder
from tracer.base.names import readable_name
from tracer.importers import read_netlist
from tracer.netlist.board import Netlist, Part, pin_groups

pytestmark = pytest.mark.kicad
KICAD = shutil.which("kicad-cli")


@pytest.fixture(scope="module")
def demos(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the demos where kicad-cli may read and write."""
    folder = reference_folder("kicad-demos", "usr", "share", "kicad", "demos")
    if folder is None:
        pytest.skip(NO_FOLDER)
    copy = tmp_path_factory.mktemp("demos")
    shutil.copytree(folder, copy, dirs_exist_ok=True)
    return copy


def exported(sheet: Path, form: str) -> Netlist:
    assert KICAD is not None
    out = sheet.with_suffix(f".{form}")
    run_kicad(KICAD, "sch", "export", "netlist", "--format", form, "-o", str(out), str(sheet))
    return read_netlist(out)


def shown(part: Part) -> Part:
    """XML has the characters that stand in braces elsewhere."""
    pins = tuple(replace(pin, name=readable_name(pin.name)) for pin in part.pins)
    return replace(part, origin=None, marking=readable_name(part.marking), pins=pins)


def test_both_forms_are_one_netlist(demos: Path) -> None:
    groups = 0
    for project in sorted(demos.rglob("*.kicad_pro")):
        sheet = project.with_suffix(".kicad_sch")
        if not sheet.is_file():
            continue
        brackets, xml = exported(sheet, "kicadsexpr"), exported(sheet, "kicadxml")
        assert xml.inputs[0].format == "kicad-xml"
        assert pin_groups(xml) == pin_groups(brackets), sheet.name
        assert [shown(part) for part in xml.parts] == [shown(part) for part in brackets.parts], sheet.name
        twins = any(finding.code == "name-twins" for finding in xml.findings)
        names = [Counter(readable_name(net.name) for net in netlist.nets) for netlist in (brackets, xml)]
        assert twins or names[0] == names[1], sheet.name
        groups += len(pin_groups(xml))
    assert groups > 1000
