"""Random boards from a known map: what comes out is what went in, in every form that is read."""

from __future__ import annotations

import csv
import io
from collections import Counter

import pytest

from tests.closed_loop.random_boards import BoardMaker, KnownBoard
from tracer.bitmap.json import emit
from tracer.bitmap.model import BitMap
from tracer.bitmap.read import read_map
from tracer.importers import parse_netlist
from tracer.netlist.board import Netlist, PinRef
from tracer.tracing.pipeline import trace

SEEDS = range(200)


def as_table(netlist: Netlist) -> str:
    """The netlist as one row a pin."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["part", "marking", "pin", "net"])
    for net in netlist.nets:
        for pin in net.pins:
            writer.writerow([pin.part, netlist.by_reference[pin.part].marking, pin.pin, net.name])
    return out.getvalue()


def as_kicad(netlist: Netlist) -> str:
    """The netlist as a KiCad netlist of version E."""
    parts = "".join(
        f'(comp (ref "{p.reference}") (value "{p.marking}") (libsource (lib "x") (part "{p.symbol}")))'
        for p in netlist.parts
    )
    nets = "".join(
        f'(net (code "{i}") (name "{n.name}") {"".join(_node(netlist, p) for p in n.pins)})'
        for i, n in enumerate(netlist.nets)
    )
    return f'(export (version "E") (components {parts}) (nets {nets}))'


def _node(netlist: Netlist, pin: PinRef) -> str:
    drawn = {p.number: p for p in netlist.by_reference[pin.part].pins}.get(pin.pin)
    facts = f'(pinfunction "{drawn.name}") (pintype "{drawn.kind}")' if drawn else ""
    return f'(node (ref "{pin.part}") (pin "{pin.pin}") {facts})'


def wrong(known: KnownBoard, bit_map: BitMap) -> list[str]:
    """What the map says otherwise than the board was built."""
    found = []
    for colour in bit_map.colours:
        truth = known.bits[colour.name]
        if len(colour.bits) != len(truth):
            found.append(f"{colour.name}: {len(colour.bits)} bits for {len(truth)}")
            continue
        for bit, true in zip(colour.bits, truth, strict=True):
            ends = {
                PinRef(p.source.part or "", p.source.pin or "") for p in bit.paths if p.role != "write path"
            }
            if ends != true.sources or not bit.is_traced:
                found.append(
                    f"{colour.name} {bit.bit}: {sorted(ends)} for {sorted(true.sources)}; {bit.because}"
                )
            if PinRef(bit.driver.part, bit.driver.pin) != true.driver:
                found.append(f"{colour.name} {bit.bit}: driver {bit.driver} for {true.driver}")
            if {r.part for r in bit.resistors} != true.resistors:
                found.append(f"{colour.name} {bit.bit}: {bit.resistors} for {sorted(true.resistors)}")
    return found


@pytest.mark.parametrize("seed", SEEDS)
def test_a_random_board_gives_back_its_map_and_saving_loses_nothing(seed: int) -> None:
    known = BoardMaker(seed).make()
    bit_map = trace(known.netlist)
    assert wrong(known, bit_map) == []
    assert read_map(emit(bit_map), "saved") == bit_map


@pytest.mark.parametrize("seed", range(0, 200, 20))
def test_every_form_gives_the_same_map(seed: int) -> None:
    known = BoardMaker(seed).make()
    assert wrong(known, trace(parse_netlist(as_kicad(known.netlist), "random.net"))) == []
    if not any(p.symbol in ("R_Pack08", "Z80") for p in known.netlist.parts):
        # A table has no symbols: how a pack's resistors lie and what a Z80's legs are it cannot tell.
        assert wrong(known, trace(parse_netlist(as_table(known.netlist), "random.csv"))) == []


def test_the_boards_differ_enough_to_mean_something() -> None:
    idioms = Counter(i for seed in SEEDS for i in BoardMaker(seed).make().idioms)
    assert all(
        idioms[i] >= 20 for i in ("plain", "pack", "ladder", "follower", "blanking gate", "multiplexer")
    )
    assert idioms["write path"] >= 20
