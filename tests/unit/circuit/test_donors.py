"""Which other parts of a board can take a part's place."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.boards import board
from tracer.circuit.donors import donors_of
from tracer.circuit.graph import Circuit, build_circuit
from tracer.importers import parse_netlist, read_netlist
from tracer.parts.library import load_library

LIBRARY = load_library()


def circuit_of(parts: str) -> Circuit:
    legs = "\n".join(f"N{i}: {line.split()[1]}.1" for i, line in enumerate(parts.strip().splitlines()))
    return build_circuit(board(f"{parts}\n{legs}"), LIBRARY)


def donors(parts: str, of: str = "U1") -> list[str]:
    return [d.part for d in donors_of(circuit_of(parts), of)]


@pytest.mark.parametrize(
    ("own", "other", "fits"),
    [
        ("74LS273", "SN74LS273N", True),
        ("74LS273", "74ALS273", True),
        ("74LS273", "74HCT273", True),
        ("74LS273", "74HC273", False),
        ("74LS273", "74LS374", False),
        ("6116", "HM6116LP-3", True),
        ("6116", "62256", False),
    ],
)
def test_the_type_or_one_with_its_levels_takes_a_chips_place(own: str, other: str, fits: bool) -> None:
    found = donors(f"part U1 {own}\npart U2 {other}")
    assert found == (["U2"] if fits else [])


def test_a_transistor_is_replaced_by_one_of_its_marking() -> None:
    parts = "part Q1 2N3904\npart Q2 2N3904\npart Q3 2N3906\npart Q4 BC547"
    assert donors(parts, "Q1") == ["Q2"]


@pytest.mark.parametrize("marking", ["27256", "82S129", "PAL16L8", "2332"])
def test_a_chip_with_a_content_of_its_own_is_no_donor(marking: str) -> None:
    assert donors(f"part U1 {marking}\npart U2 {marking}") == []


def test_a_resistor_has_no_donor() -> None:
    assert donors("part R1 220\npart R2 220", "R1") == []


def test_an_empty_place_holds_nothing_to_try() -> None:
    assert donors("part U1 74LS273\npart U2 74LS273 dnp\npart U3 74LS273") == ["U3"]


def test_its_own_type_comes_first_and_of_these_the_one_in_a_socket() -> None:
    notes = parse_netlist(
        "U1 is 74LS374\nU2 is 74ALS374\nU3 is 74LS374 at 3C\nU4 is 74LS374\nU4 is in a socket\n"
        "U3 is soldered\n[U1 U2 U3 U4].20 = J1.1",
        "bench.notes",
    )
    found = donors_of(build_circuit(notes, LIBRARY), "U1")
    assert [(d.part, d.what, d.place, d.in_socket) for d in found] == [
        ("U4", "74LS374", "", True),
        ("U3", "74LS374", "3C", False),
        ("U2", "74ALS374", "", None),
    ]


def test_chips_of_the_path_come_after_those_beside_it() -> None:
    circuit = build_circuit(read_netlist("netlists/plover/plover.net"), LIBRARY)
    found = donors_of(circuit, "U26", {"U26", "U27"})
    assert [(d.part, d.is_on_path) for d in found] == [("U4", False), ("U5", False), ("U27", True)]
    assert [d.part for d in donors_of(circuit, "U26", {"U4", "U26", "U27"})] == ["U5", "U4", "U27"]


def test_a_chip_that_is_soldered_flat_goes_into_no_hole() -> None:
    netlist = circuit_of("part U1 74LS273\npart U2 74LS273").netlist
    bodies = {"U1": "Package_DIP:DIP-20_W7.62mm", "U2": "Package_SO:SOIC-20W_7.5x12.8mm"}
    parts = tuple(replace(p, footprint=bodies[p.reference]) for p in netlist.parts)
    assert donors_of(build_circuit(replace(netlist, parts=parts), LIBRARY), "U1") == ()
