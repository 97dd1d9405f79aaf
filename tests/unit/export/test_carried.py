"""Which nets and legs carry which bit."""

from __future__ import annotations

import csv
import io
from functools import cache

from tests.stage_boards import PULLED_DOWN, traced_stage
from tracer.export.carried import NetBit, leg_bits, net_bits
from tracer.export.nets_csv import COLUMNS, nets_as_csv
from tracer.export.values import WHOLE
from tracer.importers import read_netlist
from tracer.netlist.board import PinRef
from tracer.tracing.pipeline import Traced, trace_fully


@cache
def dunlin() -> Traced:
    return trace_fully(read_netlist("netlists/dunlin/dunlin.net"))


def test_each_net_of_a_bit_with_its_role() -> None:
    nets = [each for each in net_bits(dunlin()) if each.colour == "red" and each.bit in (3, WHOLE)]
    assert nets == [
        NetBit("/PA7", "red", 3, "picture"),
        NetBit("Net-(U13-8Q)", "red", 3, "picture"),
        NetBit("/D7", "red", 3, "write path"),
        NetBit("Net-(J1-RED)", "red", WHOLE, "output stage"),
    ]


def test_supplies_carry_no_colour() -> None:
    nets = {each.net for each in net_bits(traced_stage(PULLED_DOWN, 2))}
    assert "RED" in nets
    assert not nets & {"GND", "VCC"}


def test_legs_of_a_bit_from_the_memory_to_the_resistor() -> None:
    legs = {str(each.leg) for each in leg_bits(dunlin()) if (each.colour, each.bit) == ("red", 3)}
    assert legs == {"U9.17", "U13.18", "U13.19", "R1.1"}
    ends = {each.leg for each in leg_bits(dunlin()) if each.bit == WHOLE}
    assert len(ends) == 3
    assert PinRef("J1", "12") in ends


def test_nets_as_csv() -> None:
    rows = list(
        csv.DictReader(io.StringIO(nets_as_csv([*net_bits(dunlin()), NetBit("=X", "red", 0, "picture")])))
    )
    assert tuple(rows[0]) == COLUMNS == ("net", "colour", "bit", "role")
    assert {"net": "Net-(J1-RED)", "colour": "red", "bit": "", "role": "output stage"} in rows
    assert rows[-1]["net"] == "'=X"
