"""The true maps hold on KiCad's netlists: every step that they claim is there.

Nothing is searched for. Each claim is looked up: a net in KiCad's netlist, a way
through a part in the part tables (which `tests/published` checks against symbol
libraries of others), weights by hand-written values.
"""

from __future__ import annotations

from pathlib import Path
from typing import TypeAlias

import pytest

from tests.drawing.kicad import read_net
from tests.drawing.truth import COLOUR_PINS, TRUTH, Bit
from tests.drawing.truth_file import truth_text
from tracer.base.units import parse_ohm, parse_pack_ohm
from tracer.parts.library import load_library

NETLISTS = Path(__file__).resolve().parents[2] / "netlists"
TYPES = {"74LS273": "74x273", "74LS374": "74x374", "74LS174": "74x174", "74LS157": "74x157"}
MEMORIES = ("82S123", "82S129", "6116", "62256")

_Nets: TypeAlias = dict[str, str]


def _board(name: str) -> tuple[_Nets, dict[str, str]]:
    """Leg -> net and part -> marking; for the joined board both, with the ribbon's nets made one."""
    if name != "avocet":
        folder = "avocet" if name.startswith("avocet") else name
        exported = read_net((NETLISTS / folder / f"{name}.net").read_text(encoding="utf-8"))
        own = {pin: net for net, pins in exported.nets.items() for pin in pins}
        return own, {part: marking for part, (marking, _) in exported.parts.items()}
    legs: _Nets = {}
    markings: dict[str, str] = {}
    for board in ("avocet-main", "avocet-video"):
        own_legs, own_markings = _board(board)
        legs |= {f"{board}:{leg}": f"{board}:{net}" for leg, net in own_legs.items()}
        markings |= {f"{board}:{part}": marking for part, marking in own_markings.items()}
    for n in range(1, 21):
        here, there = legs[f"avocet-video:J1.{n}"], legs[f"avocet-main:J3.{n}"]
        legs = {leg: there if net == here else net for leg, net in legs.items()}
    return legs, markings


@pytest.mark.parametrize("board", TRUTH)
def test_each_claimed_step_is_in_the_netlist(board: str) -> None:
    legs, markings = _board(board)
    for bits in TRUTH[board].values():
        for bit in bits:
            _assert_bit(bit, legs, markings)


def _assert_bit(bit: Bit, legs: _Nets, markings: dict[str, str]) -> None:
    first = bit.resistors[0]
    on_driver = [leg for leg, net in legs.items() if net == legs[bit.driver]]
    assert any(leg.rpartition(".")[0] == first for leg in on_driver), bit
    for resistor, ohm in zip(bit.resistors, bit.ohm, strict=True):
        assert ohm in (parse_ohm(markings[resistor]), parse_pack_ohm(markings[resistor]))
    here = {bit.driver}
    for leaves, enters in bit.path:
        assert legs[leaves] in {legs[leg] for leg in here}, f"{leaves} is not on the net of {here}"
        part, _, out = leaves.rpartition(".")
        known = load_library().find(TYPES[markings[part]])
        assert known is not None
        assert {arc.source for arc in known.arcs_into(out, "data")} == {
            leg.rpartition(".")[2] for leg in enters
        }
        here = set(enters)
    reached = [legs[leg] for leg in (bit.path[-1][1] if bit.path else (bit.driver,))]
    assert [legs[source] for source in bit.sources] == reached
    for source in bit.sources:
        part = source.rpartition(".")[0]
        assert markings[part] in MEMORIES or part == "J1"


@pytest.mark.parametrize("board", TRUTH)
def test_bits_stand_heaviest_first_and_every_driver_once(board: str) -> None:
    drivers = [bit.driver for bits in TRUTH[board].values() for bit in bits]
    assert len(drivers) == len(set(drivers))
    for bits in TRUTH[board].values():
        ohms = [bit.ohm[0] for bit in bits]
        # In a ladder all rungs are alike: the order is that of the nodes, checked below.
        assert ohms == sorted(ohms)


def test_counts_of_bits() -> None:
    counts = {board: [len(bits) for bits in colours.values()] for board, colours in TRUTH.items()}
    assert counts == {
        "wren": [3, 3, 2],
        "dunlin": [4, 4, 4],
        "plover": [5, 5, 5],
        "avocet-video": [4, 4, 4],
        "avocet": [4, 4, 4],
    }


@pytest.mark.parametrize("board", ["wren", "dunlin"])
def test_resistors_end_on_the_colour_pin(board: str) -> None:
    legs, _ = _board(board)
    for colour, bits in TRUTH[board].items():
        for bit in bits:
            ends = {legs[f"{bit.resistors[0]}.{n}"] for n in (1, 2)}
            assert ends == {legs[bit.driver], legs[COLOUR_PINS[board][colour]]}


def test_followers_stand_between_the_sum_and_the_colour_pin() -> None:
    legs, _ = _board("plover")
    for number, (colour, bits) in enumerate(TRUTH["plover"].items(), start=1):
        base, emitter = legs[f"Q{number}01.2"], legs[f"Q{number}01.1"]
        for bit in bits:
            assert {legs[f"{bit.resistors[0]}.{n}"] for n in (1, 2)} == {legs[bit.driver], base}
        series = {legs[f"R{number}08.{n}"] for n in (1, 2)}
        assert series == {emitter, legs[COLOUR_PINS["plover"][colour]]}


def test_the_ladders_heaviest_rung_stands_at_the_output() -> None:
    """Textbook R-2R: each node towards the output halves the share of the one before."""
    legs, markings = _board("avocet-video")
    for colour, bits in TRUTH["avocet-video"].items():
        node = legs[COLOUR_PINS["avocet-video"][colour]]
        rungs = bits[0].resistors[0]
        rails = f"RN{int(rungs[2:]) + 1}"
        assert (markings[rungs], markings[rails]) == ("4x2k", "4x1k")
        for bit in bits:
            far = next(n for n in range(1, 9) if legs[f"{rungs}.{n}"] == legs[bit.driver])
            near = far + 1 if far % 2 else far - 1
            assert legs[f"{rungs}.{near}"] == node
            sections = [(legs[f"{rails}.{n}"], legs[f"{rails}.{n + 1}"]) for n in (1, 3, 5)]
            node = next((a for a, b in sections if b == node), node)


def test_the_file_of_truth_is_what_the_designs_say() -> None:
    path = Path(__file__).parent / "truth.py"
    assert path.read_text(encoding="utf-8") == truth_text(), "run python -m tests.drawing"
