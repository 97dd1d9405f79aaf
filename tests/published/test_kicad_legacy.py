"""Our reading of legacy KiCad schematics against the netlists that KiCad 5 made of them.

Source: Debian 11 package ``kicad-demos`` 5.1.9 (``usr/share/kicad/demos``, unpacked as ``kicad-demos-5`` in the folder of
references): schematics of version 4 with their cache libraries, twelve of them with the netlist that KiCad's developers
put beside it. Two of these are older than their drawings (KiCad 5.1.9 was run on all: it gives what we read).
The counts of the other four are those of netlists that KiCad 5.1.9 (Debian 11 package ``kicad``, eeschema) made.
Beyond these files: of 135 random drawings, dense with overlapping wires, buses and labels of one name, KiCad 5.1.9 and
our reader agreed net by net on 131; in three of the others wires lay in heaps on one line, in one a hierarchical
label stood twice on the root sheet.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.published.conftest import NO_FOLDER, VARIABLE
from tracer.importers import read_netlist
from tracer.netlist.board import Netlist, pin_groups

#: Drawings that were changed after their netlist was made.
STALE = {"custom_pads_test", "ecc83-pp"}
#: Drawing -> parts, nets, pins of the netlist that KiCad 5.1.9 makes.
COUNTS = {
    "custom_pads_test": (4, 3, 6),
    "ecc83-pp": (15, 13, 33),
    "electric": (97, 138, 234),
    "laser_driver": (13, 9, 30),
    "pspice": (23, 13, 49),
    "rectifier": (5, 4, 10),
    "sallen_key": (8, 7, 19),
    "video": (189, 486, 1931),
    "kit-dev-coldfire-xilinx_5213": (162, 278, 803),
}


@pytest.fixture(scope="module")
def demos() -> dict[str, Path]:
    base = os.environ.get(VARIABLE)
    folder = Path(base, "kicad-demos-5", "usr", "share", "kicad", "demos") if base else None
    if folder is None or not folder.is_dir():
        pytest.skip(
            NO_FOLDER if folder is None else "kicad-demos of Debian 11 is not in the folder of references"
        )
    return {p.stem: p for p in sorted(folder.rglob("*.sch")) if p.with_suffix(".pro").is_file()}


def named(netlist: Netlist) -> dict[str, tuple[object, ...]]:
    return {net.name: net.pins for net in netlist.nets}


def test_nets_are_those_of_kicad_5(demos: dict[str, Path]) -> None:
    """Name by name and pin by pin."""
    compared = []
    for name, path in demos.items():
        made = path.with_suffix(".net")
        if made.is_file() and name not in STALE:
            ours, theirs = read_netlist(path), read_netlist(made)
            assert named(ours) == named(theirs), name
            assert {p.reference: (p.marking, p.symbol) for p in ours.parts} == {
                p.reference: (p.marking, p.symbol) for p in theirs.parts
            }, name
            compared.append(name)
    assert len(compared) == 10


def test_pins_are_named_as_in_kicad_5(demos: dict[str, Path]) -> None:
    """Where the netlist tells pins: of some libraries KiCad 5 leaves them out."""
    compared = 0
    for name, path in demos.items():
        made = path.with_suffix(".net")
        if made.is_file() and name not in STALE:
            ours, theirs = read_netlist(path), read_netlist(made)
            for part in theirs.parts:
                own = {p.number: (p.name, p.kind) for p in ours.by_reference[part.reference].pins}
                for pin in part.pins:
                    if pin.kind:
                        assert own[pin.number] == (pin.name, pin.kind), f"{name} {part.reference}"
                        compared += 1
    assert compared > 2500


def test_counts(demos: dict[str, Path]) -> None:
    found = {}
    for name in COUNTS:
        netlist = read_netlist(demos[name])
        found[name] = (len(netlist.parts), len(pin_groups(netlist)), len(netlist.nets_of_pins))
    assert found == COUNTS
