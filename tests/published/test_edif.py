"""EDIF that yosys writes, flat and with sheets, against counts of its text and against one another.

Source: Debian packages ``yosys`` 0.23 and ``iverilog`` (example ``des.v``), from which ``.ci/run`` makes three files in
the folder ``yosys-des``: ``des.edf`` and ``flat.edf`` (one cell), ``sheets.edf`` (cells in cells). spydrnet 1.13.0 (PyPI;
run once, as it takes long) read of ``des.edf`` 10,670 instances, 10,797 wires with 38,303 pins of parts and 193 ends at
ports of the design, of ``flat.edf`` 10,754, 10,881, 38,592 and 193; the words ``(instance``, ``(net`` and ``(portRef``
occur as often. No package with an EDIF file of a board was found.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.published.conftest import NO_FOLDER, read_once, reference_folder
from tracer.netlist.board import Netlist, PinRef


@pytest.fixture(scope="module")
def designs() -> Path:
    folder = reference_folder()
    if folder is None:
        pytest.skip(NO_FOLDER)
    if not (folder / "yosys-des").is_dir():
        pytest.skip("yosys could not be run")
    return folder / "yosys-des"


@pytest.mark.parametrize("file", ["des.edf", "flat.edf"])
def test_counts_are_those_of_the_clauses_in_the_text(designs: Path, file: str) -> None:
    netlist = read_once(designs / file)
    text = (designs / file).read_text(encoding="utf-8")
    instances, nets, ends = (
        len(re.findall(rf"\({clause}\s", text)) for clause in ("instance", "net", "portRef")
    )
    # The ports of the design are the pins of one part more.
    assert (len(netlist.parts), len(netlist.nets)) == (instances + 1, nets)
    assert sum(len(net.pins) for net in netlist.nets) == ends
    assert len(netlist.nets_of_pins) == ends
    assert all(len(names) == 1 for names in netlist.nets_of_pins.values())
    assert nets > 10_000
    assert netlist.findings == ()


def test_names_that_differ_in_case_only_are_kept_apart(designs: Path) -> None:
    """yosys numbers what it makes, and a designer's name in another case may be beside it."""
    netlist = read_once(designs / "des.edf")
    shown = re.findall(
        r'\(net (?:\(rename \S+ "([^"]*)"\)|([^\s()]+))', (designs / "des.edf").read_text(encoding="utf-8")
    )
    assert {quoted or bare for quoted, bare in shown} == {net.name for net in netlist.nets}


def test_sheets_give_what_yosys_gives_flat(designs: Path) -> None:
    """Every group of pins; yosys writes ``$flatten\\round1.\\s1.$x`` for what stands as ``$x`` in s1 in round1."""
    flat, sheets = (groups(read_once(designs / file)) for file in ("flat.edf", "sheets.edf"))
    assert len(flat) > 10_000
    assert flat == sheets


def groups(netlist: Netlist) -> set[frozenset[PinRef]]:
    return {frozenset(PinRef(flattened(pin.part), pin.pin) for pin in net.pins) for net in netlist.nets}


def flattened(reference: str) -> str:
    return reference.replace("$flatten", "").replace("\\", "").replace("/", ".")
