"""Connectivity: our reading of a schematic against the board that KiCad made from it.

Source: Debian package ``kicad-demos``, ``usr/share/kicad/demos``: every project that has both a schematic and a
board. A board's pads carry the net, the pin name and the pin type that KiCad's own netlister gave them, and a
net is a set of pins whatever it is called. Checked with 6.0.11 (Debian 12; 13 boards, 1,427 nets) and
9.0.2 (Debian 13; 15 boards, 3,447 nets): no board disagrees with its schematic in either.
Checked beside it: pin names, pin types, and, where KiCad 9 wrote the board, the names of the nets.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from tracer.importers import read_netlist
from tracer.importers.sexpr import Expr, parse_sexpr
from tracer.netlist.board import Netlist, PinRef

#: Version stamp of the demos' ``video.kicad_sch`` -> board -> nets that KiCad knows among the pins of both sides.
KNOWN_TOTALS = {
    # kicad-demos 6.0.11
    20211123: {
        "complex_hierarchy": 52,
        "custom_pads_test": 3,
        "ecc83-pp": 9,
        "ecc83-pp_v2": 13,
        "flat_hierarchy": 111,
        "interf_u": 173,
        "kit-dev-coldfire-xilinx_5213": 278,
        "pic_programmer": 111,
        "sonde xilinx": 42,
        "StickHub": 47,
        "test_pads_inside_pads": 2,
        "carte_test": 100,
        "video": 486,
    },
    # kicad-demos 9.0.2
    20250114: {
        "complex_hierarchy": 52,
        "custom_pads_test": 3,
        "ecc83-pp": 13,
        "ecc83-pp_v2": 13,
        "flat_hierarchy": 111,
        "interf_u": 173,
        "kit-dev-coldfire-xilinx_5213": 278,
        "pic_programmer": 111,
        "sonde xilinx": 42,
        "StickHub": 47,
        "test_pads_inside_pads": 2,
        "carte_test": 100,
        "tinytapeout-demo": 114,
        "video": 588,
        "vme-wren": 1800,
    },
}

#: Version stamp of KiCad 7's schematics (from memory). Since then an unnamed net is named after a pin's name.
KICAD_7 = 20230121
UNNAMED = ("Net-(", "unconnected-(")


@dataclass(frozen=True)
class Pad:
    """What a board says of a pin."""

    net: str | None
    name: str
    kind: str


@cache
def board_pads(path: Path) -> dict[PinRef, Pad]:
    """The pads of a ``.kicad_pcb``: footprint reference and pad number -> what stands on the pad.

    Pads of one number in one footprint are one pin; a pad without a number is mechanical.
    """
    root = parse_sexpr(path.read_text(encoding="utf-8"), path.name)
    assert root.head == "kicad_pcb"
    pads: dict[PinRef, Pad] = {}
    for footprint in root.all("footprint"):
        for pad in footprint.all("pad"):
            number = pad.words()[0]
            if number:
                net = pad.first("net")
                found = Pad(
                    net.words()[-1] if net is not None else None,
                    pad.word("pinfunction"),
                    pad.word("pintype").split("+")[0],
                )
                pin = PinRef(_reference(footprint), number)
                assert pads.setdefault(pin, found) == found or pin.part == "REF**", pin
    return pads


def _reference(footprint: Expr) -> str:
    """KiCad 6 and 7 keep the reference as a text, 8 and later as a property."""
    for clause, key in (("fp_text", "reference"), ("property", "Reference")):
        for item in footprint.all(clause):
            if item.words()[0] == key:
                return item.words()[1]
    return ""


@cache
def our_reading(project: Path) -> Netlist:
    return read_netlist(project.with_suffix(".kicad_sch"))


def version_stamp(project: Path) -> int:
    """The date that stands for the form of the schematic: ``(kicad_sch (version 20250114) ...``."""
    head = project.with_suffix(".kicad_sch").read_text(encoding="utf-8")[:400]
    return int(parse_sexpr(head[: head.index(")") + 1] + ")", project.name).word("version"))


def groups(nets: dict[str, set[PinRef]], pins: set[PinRef]) -> set[frozenset[PinRef]]:
    """The nets as sets of those of `pins` that stand on them."""
    return {frozenset(net & pins) for net in nets.values()} - {frozenset()}


def both_sides(project: Path) -> tuple[set[frozenset[PinRef]], set[frozenset[PinRef]]]:
    """Nets of the schematic as we read it, and of the board, each among the pins that both have."""
    ours = {net.name: set(net.pins) for net in our_reading(project).nets}
    theirs: dict[str, set[PinRef]] = defaultdict(set)
    for pin, pad in board_pads(project.with_suffix(".kicad_pcb")).items():
        if pad.net is not None:
            theirs[pad.net].add(pin)
    common = set().union(*ours.values()) & set().union(*theirs.values())
    return groups(ours, common), groups(theirs, common)


def test_schematic_and_board_have_the_same_nets(demo_board: Path) -> None:
    ours, theirs = both_sides(demo_board)
    assert ours == theirs
    assert len(theirs) > 1


def test_number_of_nets_of_each_known_demo(kicad_demos: list[Path]) -> None:
    stamp = version_stamp(next(board for board in kicad_demos if board.stem == "video"))
    found = {board.stem: len(both_sides(board)[1]) for board in kicad_demos}
    assert len(found) == len(kicad_demos) >= 13
    if stamp in KNOWN_TOTALS:
        assert found == KNOWN_TOTALS[stamp]
    assert [sum(counts.values()) for counts in KNOWN_TOTALS.values()] == [1427, 3447]


def test_no_pin_of_a_drawn_part_is_lost(demo_board: Path) -> None:
    """A pad with a net belongs to a pin that we read, unless only the board has the part (stitching vias, logos)."""
    netlist = our_reading(demo_board)
    on_a_net = set(netlist.nets_of_pins)
    drawn = {part.reference for part in netlist.parts}
    pads = board_pads(demo_board.with_suffix(".kicad_pcb"))
    lost = {
        pin for pin, pad in pads.items() if pad.net is not None and pin.part in drawn and pin not in on_a_net
    }
    assert lost == set()


def test_pin_names_and_types_are_those_on_the_pads(demo_board: Path) -> None:
    drawn = {
        PinRef(part.reference, pin.number): pin for part in our_reading(demo_board).parts for pin in part.pins
    }
    wrong = {}
    compared = 0
    for pin, pad in board_pads(demo_board.with_suffix(".kicad_pcb")).items():
        if pin in drawn:
            # Boards of older programs carry neither; a pad without a name says nothing of the pin's.
            compared += bool(pad.kind) + bool(pad.name)
            if (pad.name or drawn[pin].name, pad.kind or drawn[pin].kind) != (
                drawn[pin].name,
                drawn[pin].kind,
            ):
                wrong[pin] = (pad, drawn[pin])
    assert wrong == {}
    assert compared > 0 or demo_board.stem in ("interf_u", "ecc83-pp")


def test_net_names_are_those_on_the_board(demo_board: Path) -> None:
    """KiCad 6 names an unnamed net after a pin's number, KiCad 7 and later after its name, as we do."""
    ours = our_reading(demo_board).nets_of_pins
    pads = board_pads(demo_board.with_suffix(".kicad_pcb"))
    theirs = {pin: pad.net for pin, pad in pads.items() if pad.net and pin in ours}
    if version_stamp(demo_board) < KICAD_7:
        theirs = {pin: net for pin, net in theirs.items() if not net.startswith(UNNAMED)}
    assert len(theirs) > 1
    assert {pin: (net,) for pin, net in theirs.items()} == {pin: ours[pin] for pin in theirs}


def test_the_comparison_sees_one_swapped_pin() -> None:
    """Two pins that change places are a difference; a net under another name is none."""
    a, b, c, d = (PinRef("R1", n) for n in "1234")
    pins = {a, b, c, d}
    drawn = groups({"X": {a, b}, "Y": {c, d}}, pins)
    assert groups({"Z": {a, b}, "Y": {c, d}}, pins) == drawn
    assert groups({"X": {a, c}, "Y": {b, d}}, pins) != drawn
    assert groups({"X": {a, b, c, d}}, pins) != drawn
