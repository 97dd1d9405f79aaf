"""Supplies, clocks and donors on a card."""

from __future__ import annotations

import pytest

from tests.boards import board
from tracer.card.board_values import clocks_of, path_donors, supplies_of
from tracer.circuit.graph import Circuit, build_circuit
from tracer.importers import read_netlist
from tracer.parts.library import load_library
from tracer.tracing.pipeline import trace_fully


def circuit_of(text: str) -> Circuit:
    return build_circuit(board(text), load_library())


def test_a_supply_is_measured_at_a_connector_else_at_a_chips_supply_leg() -> None:
    text = """
    part C1 100n
    part U1 74LS273
    +5V: C1.1 U1.20
    -5V: C2.1
    part C2 100n
    GND: U1.10
    """
    assert [(s.name, s.volts, s.at) for s in supplies_of(circuit_of(text))] == [
        ("+5V", 5.0, "U1.20"),
        ("-5V", -5.0, "C2.1"),
    ]
    plug = "part J1 PWR symbol=Conn_01x02\n+12V: J1.2 R1.1\npart R1 1k"
    assert [(s.volts, s.at) for s in supplies_of(circuit_of(plug))] == [(12.0, "J1.2")]


@pytest.mark.parametrize(
    ("part", "is_clock"),
    [
        ("X1 8.000MHz", True),
        ("Y1 14.31818", True),
        ("X2 HC49 symbol=Crystal", True),
        ("U1 74LS74", False),
        ("X3 POWER", False),
        ("R1 10M", False),
    ],
)
def test_a_clock_is_told_by_its_frequency_its_symbol_or_its_letter(part: str, is_clock: bool) -> None:
    name = part.split()[0]
    found = clocks_of(circuit_of(f"part {part}\nN1: {name}.1\nN2: {name}.2"))
    assert [c.part for c in found] == ([name] if is_clock else [])


def test_every_part_of_the_path_says_what_can_take_its_place() -> None:
    found = {d.part: d for d in path_donors(trace_fully(read_netlist("netlists/plover/plover.net")))}
    assert set(found) == {"U26", "U27", "U30", "U31", "U32", "U33", "Q101", "Q201", "Q301"}
    assert [(d.part, d.place, d.is_on_path) for d in found["U30"].donors] == [
        ("U21", "7D", False),
        ("U31", "8F", True),
    ]
    assert [d.part for d in found["Q101"].donors if not d.is_on_path] == ["Q1"]


def test_a_prom_has_a_content_of_its_own() -> None:
    (prom,) = path_donors(trace_fully(read_netlist("netlists/wren/wren.net")))
    assert (prom.part, prom.donors, prom.is_programmed) == ("U9", (), True)
