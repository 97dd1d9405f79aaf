"""Seven exports that Lepton EDA makes of one design, read by five readers: they must agree, and with counts of their text.

Source: Debian package ``lepton-eda`` 1.9.18: the program ``lepton-netlist`` (installed), and the example designs in
``usr/share/doc/lepton-eda/examples`` (unpacked in the folder of references; a machine may leave out the
documentation of packages that it installs). gTAG, the top sheet alone, has 47 parts, 48 nets and 192 pins on them;
lightning_detector 25, 13 and 50, and its Telesis export stops with an error of the back end.
"""

from __future__ import annotations

import gzip
import os
import re
import shutil
import subprocess
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from tests.published.conftest import NO_FOLDER, VARIABLE, reference_folder
from tracer.importers import read_netlist
from tracer.netlist.board import Netlist, PinRef
from tracer.netlist.check import check_netlist

#: Back end -> the format it writes.
BACK_ENDS = {
    "tango": "tango",
    "protelII": "protel2",
    "pads": "pads",
    "allegro": "telesis",
    "geda": "geda",
    "tEDAx": "tedax",
    "PCB": "geda-pcb",
}
#: Design -> parts, nets, pins on them.
DESIGNS = {"gTAG": (47, 48, 192), "lightning": (25, 13, 50)}
FOLDERS = {"gTAG": "gTAG", "lightning": "lightning_detector"}
EXPORTS = [
    (design, back_end)
    for design in DESIGNS
    for back_end in BACK_ENDS
    if (design, back_end) != ("lightning", "allegro")
]
#: Facts that a form lacks: markings and footprints.
NO_MARKINGS, NO_FOOTPRINTS = {"pads", "geda", "PCB"}, {"geda", "PCB"}


@pytest.fixture(scope="module")
def exports(tmp_path_factory: pytest.TempPathFactory) -> dict[tuple[str, str], Path]:
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

    def run(wanted: tuple[str, str]) -> Path:
        design, back_end = wanted
        out = work / f"{design}-{back_end}.net"
        command = [program, "-q", "-g", back_end, "-o", str(out), f"{design}.sch"]
        subprocess.run(command, cwd=work / FOLDERS[design], check=True, capture_output=True, timeout=120)
        return out

    with ThreadPoolExecutor(os.cpu_count() or 2) as pool:
        return dict(zip(EXPORTS, pool.map(run, EXPORTS), strict=True))


def groups(netlist: Netlist, *, upper: bool) -> set[frozenset[PinRef]]:
    """Nets as sets of pins. Lepton's PADS back end writes references in upper case."""
    pins = (((p.part.upper(), p.pin.upper()) if upper else p for p in net.pins) for net in netlist.nets)
    return {frozenset(PinRef(*pin) for pin in net) for net in pins}


@pytest.mark.parametrize(("design", "back_end"), EXPORTS)
def test_counts(exports: dict[tuple[str, str], Path], design: str, back_end: str) -> None:
    netlist = read_netlist(exports[design, back_end])
    assert netlist.inputs[0].format == BACK_ENDS[back_end]
    assert (len(netlist.parts), len(netlist.nets), len(netlist.nets_of_pins)) == DESIGNS[design]
    assert check_netlist(netlist) == ()


@pytest.mark.parametrize(("design", "back_end"), EXPORTS)
def test_all_agree(exports: dict[tuple[str, str], Path], design: str, back_end: str) -> None:
    upper = back_end == "pads"
    netlist, tango = read_netlist(exports[design, back_end]), read_netlist(exports[design, "tango"])
    assert groups(netlist, upper=upper) == groups(tango, upper=upper)
    names = {frozenset(net.pins): net.name for net in tango.nets}
    assert upper or {frozenset(net.pins): net.name for net in netlist.nets} == names
    if back_end not in NO_MARKINGS:
        # A part without a value has its device in tEDAx, and its device as its value elsewhere.
        marked = [[(p.reference, p.marking or p.symbol) for p in n.parts] for n in (netlist, tango)]
        assert marked[0] == marked[1]
    if back_end not in NO_FOOTPRINTS:
        footprints = {(p.reference.upper(), p.footprint) for p in tango.parts}
        assert {(p.reference.upper(), p.footprint) for p in netlist.parts} == footprints


#: Counted by a plain search of the text: pattern -> parts, nets or pins.
PLAIN = {
    "tango": (r"(?m)^\[$", r"(?m)^\($", r"(?m)^[A-Z]+\d+-\d+$"),
    "allegro": (r"(?m)^[^;\n]*![^;\n]*;", r"(?m)^[^!;$\n]+;(?= )", r"\S+\.\w+(?=[ ,\n])"),
    "tEDAx": (r"(?m)^\s*footprint ", None, r"(?m)^\s*conn "),
    "geda": (r"(?m) device=", r"(?m)^\S+ : ", r"(?:(?<= : )|(?<=, ))\S+ \w+"),
    "PCB": (None, r"(?m)^[^\s].*\t", r"[ \t]\S+-\w+(?=\s)"),
}


@pytest.mark.parametrize("back_end", PLAIN)
def test_counts_of_the_text(exports: dict[tuple[str, str], Path], back_end: str) -> None:
    text = exports["gTAG", back_end].read_text(encoding="utf-8").replace("\r\n", "\n")
    found = [len(re.findall(p, text)) if p else None for p in PLAIN[back_end]]
    expected = [c if p else None for p, c in zip(PLAIN[back_end], DESIGNS["gTAG"], strict=True)]
    assert found == expected


@pytest.mark.parametrize(
    ("file", "nets", "pins"), [("gTAG/gTAG-pcb.net", 48, 192), ("lightning_detector/lightning.net", 13, 50)]
)
def test_netlists_that_lie_beside_the_designs(file: str, nets: int, pins: int) -> None:
    """Written by gEDA in the 2000s."""
    examples = reference_folder("lepton-eda", "usr", "share", "doc", "lepton-eda", "examples")
    if examples is None:
        pytest.skip(NO_FOLDER)
    path = examples / file
    if not path.exists():
        pytest.skip(f"{file} is packed in this release")
    netlist = read_netlist(path)
    assert netlist.inputs[0].format == "geda-pcb"
    assert (len(netlist.nets), len(netlist.nets_of_pins)) == (nets, pins)
    text = path.read_text(encoding="utf-8")
    assert len(re.findall(r"(?m)^[^\s#][^\t\n]*\t", text)) == nets
    assert len(re.findall(r"[ \t]\S+-\w+", text)) == pins
