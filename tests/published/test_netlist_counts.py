"""Counts of parts, nets and pin connections against another reader of the same files.

Source: PyPI source package ``kinparse`` 1.2.4 (MIT licence), ``tests/data``: nine netlists that KiCad builds of 2016
to 9.0.2 wrote. The counts are those of kinparse's own reader (run once, all nine) and of a plain count of the clauses
``(comp (``, ``(net (`` and ``(node (`` in the text (counted again here).
The files ``kicad{5,6,8,9}_test`` are one design of six parts in four versions; for three of them the schematic lies
beside the netlist, so that KiCad's own netlist checks our reading of the drawing.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tracer.importers import read_netlist
from tracer.netlist.board import Netlist, PinRef, pin_groups
from tracer.netlist.check import check_netlist

#: File -> parts, nets, pin connections, codes of what is odd about it.
COUNTS = {
    "control_board.net": (180, 136, 608, []),
    # Two parts are called J2, so 22 components are 21 references; STK1 stands in a net only.
    "gaillard.net": (21, 30, 92, ["duplicate-part", "undeclared-part"]),
    "gardenlight.net": (50, 34, 98, []),
    "kicad5_test.net": (6, 6, 13, []),
    "kicad6_test.net": (6, 6, 13, []),
    "kicad8_test.net": (6, 6, 13, []),
    "kicad9_test.net": (6, 6, 13, []),
    # Four nets of one pin each.
    "ref2by2.net": (2, 4, 4, ["nothing-connected"]),
    "test.net": (21, 30, 92, []),
}


def counts(netlist: Netlist) -> tuple[int, int, int]:
    return len(netlist.parts), len(netlist.nets), sum(len(net.pins) for net in netlist.nets)


@pytest.mark.parametrize("file", COUNTS)
def test_counts(kinparse_files: Path, file: str) -> None:
    netlist = read_netlist(kinparse_files / file)
    parts, nets, pins, odd = COUNTS[file]
    assert counts(netlist) == (parts, nets, pins)
    assert [finding.code for finding in check_netlist(netlist)] == odd


def test_every_netlist_of_the_package_is_in_the_table(kinparse_files: Path) -> None:
    assert sorted(path.name for path in kinparse_files.glob("*.net")) == sorted(COUNTS)


@pytest.mark.parametrize("file", COUNTS)
def test_counts_are_those_of_the_clauses_in_the_text(kinparse_files: Path, file: str) -> None:
    text = (kinparse_files / file).read_text(encoding="utf-8")
    clauses = [len(re.findall(rf"\(\s*{clause}\s*\(", text)) for clause in ("comp", "net", "node")]
    parts, nets, pins, odd = COUNTS[file]
    assert clauses == [parts + odd.count("duplicate-part"), nets, pins]


def groups(folder: Path, file: str) -> frozenset[frozenset[PinRef]]:
    return pin_groups(read_netlist(folder / file))


def test_one_design_out_of_three_versions_of_kicad(kinparse_files: Path) -> None:
    six, eight, nine = (groups(kinparse_files, f"kicad{version}_test.net") for version in (6, 8, 9))
    assert six == eight == nine


def test_in_the_file_of_kicad_5_one_resistor_is_turned_round(kinparse_files: Path) -> None:
    turned = {PinRef("R1", "1"): PinRef("R1", "2"), PinRef("R1", "2"): PinRef("R1", "1")}
    five, nine = (groups(kinparse_files, f"kicad{version}_test.net") for version in (5, 9))
    assert five != nine
    assert frozenset(frozenset(turned.get(pin, pin) for pin in net) for net in five) == nine


@pytest.mark.parametrize("version", [6, 8, 9])
def test_the_drawing_gives_the_netlist_that_kicad_exported_from_it(
    kinparse_files: Path, version: int
) -> None:
    drawn = read_netlist(kinparse_files / f"kicad{version}_test.kicad_sch")
    exported = read_netlist(kinparse_files / f"kicad{version}_test.net")
    assert pin_groups(drawn) == pin_groups(exported)
    facts = [
        [
            (p.reference, p.marking, p.symbol, p.library, p.footprint, {q.number: q for q in p.pins})
            for p in n.parts
        ]
        for n in (drawn, exported)
    ]
    assert facts[0] == facts[1]
    if version != 6:
        # KiCad 6 named unnamed nets after pin numbers, later ones after pin names.
        assert [net.name for net in drawn.nets] == [net.name for net in exported.nets]
