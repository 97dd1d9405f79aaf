"""Eagle's schematic and board of one design: counted by another reader, and held against one another.

Source: PyPI source package ``pyeagle`` 0.1.1 (MIT licence), ``pyeagle/tests/data``: a microcontroller board of 72 parts,
drawn in Eagle 6. The counts are made here with the standard library's ElementTree. Two more readings were made once:

- the board by KiCad 9.0.2 (``pcbnew``, its reader of Eagle boards): 108 nets of 341 pins, all equal (KiCad puts a 0
  behind a reference without a number);
- a design of KiCad's own tests (Debian source package ``kicad`` 6.0.11, ``qa/eeschema/data/eagle_schematics``): its board
  has the 9 nets of 44 pins that KiCad finds, and each of its 37 groups of pins is also in the schematic's 40, of which 3
  are drawn nets without a pin.
"""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.published.conftest import NO_FOLDER, reference_folder
from tracer.importers import read_netlist
from tracer.netlist.board import Netlist, PinRef, pin_groups
from tracer.netlist.check import check_netlist


@pytest.fixture(scope="module")
def folder() -> Path:
    found = reference_folder("pyeagle", "pyeagle", "tests", "data")
    if found is None:
        pytest.skip(NO_FOLDER)
    return found


def test_the_board_has_the_signals_and_contacts_of_the_file(folder: Path) -> None:
    netlist = read_netlist(folder / "sample.brd")
    tree = ElementTree.parse(folder / "sample.brd")
    signals = {
        signal.get("name"): {(c.get("element"), c.get("pad")) for c in signal.findall("contactref")}
        for signal in tree.iter("signal")
    }
    read = {net.name: {tuple(pin) for pin in net.pins} for net in netlist.nets}
    assert {name: read[name] for name in signals if name} == signals
    assert (len(signals), sum(map(len, signals.values()))) == (108, 341)
    elements = {element.get("name"): element.get("value") for element in tree.iter("element")}
    assert {part.reference: part.marking for part in netlist.parts} == elements
    assert len(elements) == 72
    assert_lone_pads(netlist, set(signals))


def assert_lone_pads(netlist: Netlist, signals: set[str | None]) -> None:
    """Whatever is no signal is a pad on none."""
    lone = [net for net in netlist.nets if net.name not in signals]
    assert lone
    assert all(len(net.pins) == 1 and net.name.startswith("unconnected-(") for net in lone)


def test_schematic_and_board_are_one_netlist(folder: Path) -> None:
    """They differ in four marks for the assembly machine, which have a pad and no pin."""
    drawn, made = read_netlist(folder / "sample.sch"), read_netlist(folder / "sample.brd")
    assert pin_groups(made) - pin_groups(drawn) == {
        frozenset({PinRef(f"U${n}", "P$1")}) for n in (2, 3, 4, 5)
    }
    assert pin_groups(drawn) <= pin_groups(made)
    names = {frozenset(net.pins): net.name for net in made.nets}
    assert all(net.name == names[frozenset(net.pins)] for net in drawn.nets)
    for part in drawn.parts:
        other = made.by_reference[part.reference]
        assert (part.marking, part.footprint, part.fitted) == (other.marking, other.footprint, other.fitted)


def test_what_is_said_of_them(folder: Path) -> None:
    """The one supply pin without a wire is on the net of its name on the board too, as the groups show."""
    assert [finding.code for finding in check_netlist(read_netlist(folder / "sample.sch"))] == [
        "hidden-supply"
    ]
    assert check_netlist(read_netlist(folder / "sample.brd")) == ()
