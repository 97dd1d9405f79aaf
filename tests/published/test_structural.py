"""EDIF, Verilog and SPICE of one design, and decks of other programs.

Sources, all Debian packages unpacked in the folder of references:

``yosys`` 0.23 with ``berkeley-abc`` and ``iverilog`` (its example ``des.v``); ``yosys-des/`` holds what yosys made of the
example: as modules (``sheets``), flattened (``flat``) and with its ports split into wires (``des``);
``lepton-eda`` 1.9.18 (examples, and the program ``lepton-netlist``); ``TwoStageAmp/spice.netlist`` came from it.

With KiCad (Debian 13 package ``kicad`` 9.0.2, run with ``-m kicad``): the SPICE exports of the demos of simulation
against KiCad's own netlists of the same drawings.
"""

from __future__ import annotations

import gzip
import os
import re
import shutil
import subprocess
from collections import Counter
from contextlib import suppress
from pathlib import Path

import pytest

from tests.drawing.kicad import DrawingError, run_kicad
from tests.published.conftest import NO_FOLDER, VARIABLE, read_once, reference_folder
from tracer.importers import parse_netlist, read_netlist
from tracer.netlist.board import Netlist, PinRef, pin_groups
from tracer.netlist.union_find import UnionFind

KICAD = shutil.which("kicad-cli")
#: What stands for a constant in EDIF.
CONSTANTS = re.compile(r"(?:.*/)?(?:GND|VCC)")


@pytest.fixture(scope="module")
def des() -> Path:
    folder = reference_folder()
    if folder is None:
        pytest.skip(NO_FOLDER)
    folder = folder / "yosys-des"
    if not folder.is_dir():
        pytest.skip("yosys has made nothing here")
    return folder


def groups(netlist: Netlist) -> frozenset[frozenset[PinRef]]:
    found = (frozenset(p for p in group if not CONSTANTS.fullmatch(p.part)) for group in pin_groups(netlist))
    return frozenset(group for group in found if group)


@pytest.mark.parametrize("form", ["sheets", "flat", "des"])
def test_verilog_and_edif_of_yosys_agree(des: Path, form: str) -> None:
    verilog, edif = read_netlist(des / f"{form}.v"), read_once(des / f"{form}.edf")
    assert groups(verilog) == groups(edif)
    assert len(groups(verilog)) > 10_000
    assert {p.reference: p.symbol for p in verilog.parts if p.reference != "PORTS"} == {
        p.reference: p.symbol
        for p in edif.parts
        if p.reference != "PORTS" and not CONSTANTS.fullmatch(p.reference)
    }
    assert verilog.findings == ()


def test_spice_of_yosys_agrees(des: Path) -> None:
    """By order: yosys writes the nodes of a gate in the order of its ports, joins by sources of 0 volts, numbers new nodes."""
    netlist = read_netlist(des / "des.sp")
    joined = UnionFind()
    chips: dict[str, str] = {}
    nodes: dict[str, list[str]] = {}
    for line in (des / "des.sp").read_text(encoding="utf-8").splitlines():
        words = line.split()
        if words and words[0][0] == "X":
            chips[words[0]] = words[-1]
            nodes[words[0]] = words[1:-1]
        elif words and words[0][0] == "V":
            joined.union(words[1].lower(), words[2].lower())
    assert {p.reference: p.marking for p in netlist.parts if p.reference[0] == "X"} == chips
    net = {pin: names[0].lower() for pin, names in netlist.nets_of_pins.items()}
    assert len(chips) > 10_000
    for chip, listed in nodes.items():
        assert [net[PinRef(chip, f"n{i}")] for i in range(1, len(listed) + 1)] == [n.lower() for n in listed]
    # As many nets with as many gates on each as the EDIF has.
    sizes = Counter(Counter(joined.find(n.lower()) for listed in nodes.values() for n in listed).values())
    edif = groups(read_once(des / "des.edf"))
    inside = [sum(pin.part != "PORTS" for pin in group) for group in edif]
    assert sizes == Counter(size for size in inside if size)


@pytest.fixture(scope="module")
def lepton(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """gTAG in the forms of this test, and as the list that ``test_lepton`` checks."""
    examples = reference_folder("lepton-eda", "usr", "share", "doc", "lepton-eda", "examples")
    if examples is None:
        pytest.skip(NO_FOLDER)
    program = shutil.which("lepton-netlist")
    if program is None:
        assert not os.environ.get(VARIABLE), "the Debian package lepton-eda is not installed"
        pytest.skip("lepton-netlist is not installed")
    work = tmp_path_factory.mktemp("lepton")
    shutil.copytree(examples, work, dirs_exist_ok=True)
    for packed in work.rglob("*.gz"):
        packed.with_suffix("").write_bytes(gzip.decompress(packed.read_bytes()))
    for back_end in ("verilog", "geda", "spice", "spice-sdb", "spice-noqsi"):
        command = [program, "-q", "-g", back_end, "-o", str(work / f"gTAG.{back_end}"), "gTAG.sch"]
        # The SPICE back ends find fault with parts that have no model, and write the deck all the same.
        subprocess.run(command, cwd=work / "gTAG", check=False, capture_output=True, timeout=120)
    return work


def test_verilog_of_lepton(lepton: Path) -> None:
    text = (lepton / "gTAG.verilog").read_text(encoding="utf-8")
    netlist = parse_netlist(text.replace("module \\not found ", "module gTAG "), "gTAG.v")
    assert pin_groups(netlist) == pin_groups(read_netlist(lepton / "gTAG.geda"))
    assert (len(netlist.parts), len(netlist.nets), len(netlist.nets_of_pins)) == (47, 48, 192)


@pytest.mark.parametrize("back_end", ["spice", "spice-sdb", "spice-noqsi"])
def test_spice_of_lepton(lepton: Path, back_end: str) -> None:
    """Resistors, capacitors and connectors; the decks leave out supply pins that are not drawn."""
    deck, drawn = read_netlist(lepton / f"gTAG.{back_end}"), read_netlist(lepton / "gTAG.geda")
    plain = {p.reference for p in drawn.parts if p.reference[0] in "RC"}
    assert len(plain) > 30

    def parts_on_nets(netlist: Netlist) -> Counter[tuple[str, ...]]:
        found = (tuple(sorted(pin.part for pin in net.pins if pin.part in plain)) for net in netlist.nets)
        return Counter(parts for parts in found if len(parts) > 1)

    assert parts_on_nets(deck) == parts_on_nets(drawn)


def test_an_amplifier_of_lepton(lepton: Path) -> None:
    (path,) = lepton.rglob("TwoStageAmp/spice.netlist")
    netlist = read_netlist(path)
    assert Counter(p.reference[0] for p in netlist.parts) == {"R": 11, "C": 5, "Q": 2, "V": 2}
    assert {p.marking for p in netlist.parts if p.reference[0] == "Q"} == {"2N3904"}
    pins = {net.name: {str(pin) for pin in net.pins} for net in netlist.nets}
    assert pins["Vbase1"] == {"C1.2", "Q1.B", "R1.1", "R2.2"}


#: Demos whose deck has other pins than the drawing: a model takes a node twice, or leaves out pins that are alone.
TAKEN_TWICE = {"hv_converter": "Q1"}


@pytest.mark.kicad
def test_spice_of_kicad(tmp_path: Path) -> None:
    """On each net the same parts as often, for all parts that the deck has."""
    folder = reference_folder("kicad-demos", "usr", "share", "kicad", "demos", "simulation")
    if folder is None:
        pytest.skip(NO_FOLDER)
    assert KICAD is not None
    shutil.copytree(folder, tmp_path / "s")
    compared = 0
    for project in sorted((tmp_path / "s").rglob("*.kicad_pro")):
        drawing = project.with_suffix(".kicad_sch")
        if not drawing.is_file():
            continue
        deck, drawn = project.with_suffix(".cir"), project.with_suffix(".net")
        # It finds fault with models that Debian leaves out of the demos, and writes the deck all the same.
        with suppress(DrawingError):
            run_kicad(KICAD, "sch", "export", "netlist", "--format", "spice", "-o", str(deck), str(drawing))
        run_kicad(KICAD, "sch", "export", "netlist", "-o", str(drawn), str(drawing))
        ours, theirs = read_netlist(deck), read_netlist(drawn)
        known = {p.reference for p in ours.parts} - {TAKEN_TWICE.get(project.stem)}
        assert known <= {p.reference for p in theirs.parts}, project.stem

        def parts_on_nets(netlist: Netlist, known: set[str] = known) -> Counter[tuple[str, ...]]:
            found = (tuple(sorted(pin.part for pin in net.pins if pin.part in known)) for net in netlist.nets)
            return Counter(parts for parts in found if len(parts) > 1)

        assert parts_on_nets(ours) == parts_on_nets(theirs), project.stem
        compared += 1
    assert compared >= 5
