"""Our reading of KiCad boards against KiCad's own, and against our reading of the schematic that a board was made from.

Sources: Debian package ``kicad-demos`` 6.0.11 (Debian 12) and 9.0.2 (Debian 13), ``usr/share/kicad/demos``. The counts
were made once with KiCad's Python module ``pcbnew`` of the same version: 6.0.11 footprints and nets with the empty one,
and, for four boards, the pairs of reference and pin that its IPC-D-356 writer puts out; 9.0.2 footprints, nets that have
a numbered pad, and pairs of reference and number on them. (With 9.0.2 every net was compared by name and pins too: 3,447
nets of 16 boards were equal. So were three boards that our own test writer made in the forms of KiCad 5, 6 and 9.)
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.published.conftest import NO_FOLDER, reference_folder
from tests.published.test_connectivity import our_reading, version_stamp
from tracer.importers import read_netlist
from tracer.netlist.board import Netlist, PinRef

#: Board -> footprints, nets with the empty one.
KICAD_6 = {
    "video": (189, 487),
    "interf_u": (25, 174),
    "kit-dev-coldfire-xilinx_5213": (160, 279),
    "pic_programmer": (63, 112),
    "flat_hierarchy": (64, 112),
    "StickHub": (94, 48),
    "carte_test": (42, 101),
    "complex_hierarchy": (68, 53),
    "sonde xilinx": (25, 43),
    "ecc83-pp": (15, 10),
    "ecc83-pp_v2": (15, 14),
    "custom_pads_test": (5, 4),
    "test_pads_inside_pads": (4, 3),
    "microwave": (4, 1),
}
#: Board -> pins, alone or not.
PAIRS_6 = {"video": 2080, "interf_u": 378, "carte_test": 259, "pic_programmer": 238}
#: Board -> footprints, nets with a numbered pad, pins on them.
KICAD_9 = {
    "StickHub": (94, 47, 266),
    "carte_test": (42, 100, 259),
    "complex_hierarchy": (68, 52, 164),
    "custom_pads_test": (5, 3, 6),
    "ecc83-pp": (15, 13, 33),
    "ecc83-pp_v2": (15, 13, 33),
    "flat_hierarchy": (64, 111, 238),
    "interf_u": (25, 173, 373),
    "kit-dev-coldfire-xilinx_5213": (160, 278, 803),
    "microwave": (4, 0, 0),
    "pic_programmer": (63, 111, 236),
    "sonde xilinx": (25, 42, 108),
    "test_pads_inside_pads": (4, 2, 4),
    "tinytapeout-demo": (309, 114, 602),
    "video": (189, 588, 2033),
    "vme-wren": (1508, 1800, 6792),
}


@pytest.fixture(scope="module")
def boards() -> dict[str, Path]:
    folder = reference_folder("kicad-demos", "usr", "share", "kicad", "demos")
    if folder is None:
        pytest.skip(NO_FOLDER)
    return {path.stem: path for path in sorted(folder.rglob("*.kicad_pcb"))}


def of_kicad_6(boards: dict[str, Path]) -> bool:
    return version_stamp(boards["video"]) == 20211123


def names_in_the_table(text: str) -> set[str]:
    """Nets of a board by a plain search of its text; the empty one is left out."""
    found = re.findall(r'^[ \t]+\(net \d+ (?:"((?:[^"\\]|\\.)*)"|([^\s()"]+))\)$', text, re.MULTILINE)
    return {re.sub(r"\\(.)", r"\1", quoted) or bare for quoted, bare in found} - {""}


def footprints(netlist: Netlist, text: str) -> int:
    """Parts, with those that share a reference, and pictures in copper and ink, which are no parts, put back."""
    shared = sum(int(f.text.split()[0]) - 1 for f in netlist.findings if f.code == "duplicate-part")
    pictures = len(re.findall(r'\((?:property "Reference"|fp_text reference) "?[A-Z]+\*\*', text))
    kept = sum(part.reference.split(":")[0].endswith("**") for part in netlist.parts)
    return len(netlist.parts) + shared + pictures - kept


def test_counts_are_those_of_kicad(boards: dict[str, Path]) -> None:
    wrong = {}
    for name, path in boards.items():
        text = path.read_text(encoding="utf-8")
        netlist = read_netlist(path)
        drawn = names_in_the_table(text)
        named = [net for net in netlist.nets if net.name in drawn]
        if of_kicad_6(boards):
            found: object = (footprints(netlist, text), len(named) + 1)
            expected: object = KICAD_6[name]
        else:
            pins = {pin for net in named for pin in net.pins if not pin.part.split(":")[0].endswith("**")}
            found = (footprints(netlist, text), sum(bool(net.pins) for net in named), len(pins))
            expected = KICAD_9[name]
        if found != expected:
            wrong[name] = (found, expected)
        # Whatever is no net of the table is one pad that has none.
        assert all(
            len(net.pins) == 1 and net.name.startswith("unconnected-(")
            for net in netlist.nets
            if net.name not in drawn
        )
    assert wrong == {}
    assert set(boards) == set(KICAD_6 if of_kicad_6(boards) else KICAD_9)


def test_pins_are_the_pairs_of_the_test_list(boards: dict[str, Path]) -> None:
    if not of_kicad_6(boards):
        pytest.skip("the pairs were counted on the boards of kicad-demos 6.0.11")
    found = {name: len(read_netlist(boards[name]).nets_of_pins) for name in PAIRS_6}
    assert found == PAIRS_6


def test_board_and_schematic_are_one_netlist(demo_board: Path) -> None:
    """Pin by pin: the same group of pins, the same names and directions where the board has them, the same flags."""
    drawn, made = our_reading(demo_board), read_netlist(demo_board.with_suffix(".kicad_pcb"))
    common = set(drawn.nets_of_pins) & set(made.nets_of_pins)

    def groups(netlist: Netlist) -> set[frozenset[PinRef]]:
        return {frozenset(common.intersection(net.pins)) for net in netlist.nets} - {frozenset()}

    assert groups(drawn) == groups(made)
    assert len(common) > 3
    for part in made.parts:
        other = drawn.by_reference.get(part.reference)
        if other is not None:
            flag_changed = part.reference in STALE_FLAGS.get(demo_board.stem, ())
            assert (part.fitted == other.fitted) is not flag_changed, part.reference
            names = {pin.number: (pin.name, pin.kind) for pin in other.pins}
            for pin in part.pins:
                name, kind = names.get(pin.number, ("", ""))
                assert (pin.name or name, pin.kind or kind) == (name, kind)


def test_values_are_those_of_the_schematic(demo_board: Path) -> None:
    drawn, made = our_reading(demo_board), read_netlist(demo_board.with_suffix(".kicad_pcb"))
    pairs = [
        (part.reference, part.marking, made.by_reference[part.reference].marking)
        for part in drawn.parts
        if part.reference in made.by_reference
    ]
    different = [pair for pair in pairs if pair[1] != pair[2]]
    assert different == STALE.get(demo_board.stem, [])
    assert pairs


#: Values that were changed in the demo's schematic after its board was made.
STALE: dict[str, list[tuple[str, str, str]]] = {}
#: Parts that the demo's board (9.0.2) marks as not fitted, and its schematic does not.
STALE_FLAGS = {"vme-wren": ("Cage3", "J1", "J13")}
