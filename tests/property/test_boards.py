"""Merging, and the weights of random output stages."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.boards import board
from tests.property.strategies import boards
from tracer.circuit.graph import build_circuit
from tracer.netlist.board import Netlist, Part, make_netlist, pin_groups
from tracer.netlist.merge import merge_netlists
from tracer.parts.library import load_library
from tracer.stage.gather import gather_stage
from tracer.stage.network import Network, Resistor
from tracer.stage.nodal import solve_network
from tracer.stage.weights import WeighedStage, weigh_stage

LIBRARY = load_library()
#: D pins and Q pins of the 74x273.
OUTPUTS = ("2", "5", "6", "9", "12", "15", "16", "19")
OHMS = st.integers(100, 100_000)


@given(boards())
def test_merging_a_board_with_itself_changes_nothing(netlist: Netlist) -> None:
    merged = merge_netlists([netlist, netlist])
    assert (merged.parts, merged.nets, merged.findings) == (netlist.parts, netlist.nets, ())


@given(boards())
def test_merging_one_board_changes_nothing(netlist: Netlist) -> None:
    assert merge_netlists([netlist]) == netlist


@given(boards(), st.data())
def test_a_board_may_come_in_pieces(netlist: Netlist, data: st.DataObject) -> None:
    """Nets here and there, parts in a list of their own, in any order."""
    cut = data.draw(st.integers(0, len(netlist.nets)))
    bare = [Part(part.reference, pins=part.pins) for part in netlist.parts]
    pieces = [
        make_netlist("a", bare, [(net.name, net.pins, None) for net in netlist.nets[:cut]]),
        make_netlist("b", bare, [(net.name, net.pins, None) for net in netlist.nets[cut:]]),
        make_netlist("c", [Part(part.reference, part.marking) for part in netlist.parts], []),
    ]
    merged = merge_netlists(data.draw(st.permutations(pieces)))
    assert pin_groups(merged) == pin_groups(netlist)
    assert {net.name: net.pins for net in merged.nets} == {net.name: net.pins for net in netlist.nets}
    assert {p.reference: p.marking for p in merged.parts} == {p.reference: p.marking for p in netlist.parts}
    assert merged.findings == ()


def weigh(ohms: list[int], load: float | None, *more: str) -> WeighedStage:
    """A register whose outputs join in one net over resistors."""
    lines = ["part U1 74LS273", "part J1 3-pin", "VCC: U1.20", "GND: U1.10"]
    lines += [f"part R{i} {ohm}R" for i, ohm in enumerate(ohms)]
    lines += [f"Q{i}: U1.{OUTPUTS[i]} R{i}.1" for i in range(len(ohms))]
    lines += [f"RED: J1.1 {' '.join(f'R{i}.2' for i in range(len(ohms)))}", *more]
    return weigh_stage(gather_stage(build_circuit(board("\n".join(lines)), LIBRARY), "RED"), load)


def shares(stage: WeighedStage) -> dict[str, float]:
    return {bit.driver.net: bit.weight for bit in stage.bits}


@given(st.lists(OHMS, min_size=1, max_size=8), st.sampled_from([None, 75.0, 1000.0]))
def test_weights_are_shares_of_conductance(ohms: list[int], load: float | None) -> None:
    """Millman's theorem: each driver moves the colour by its conductance over the sum; the load divides out."""
    stage = weigh(ohms, load)
    total = sum(1 / ohm for ohm in ohms)
    assert shares(stage) == pytest.approx({f"Q{i}": 1 / ohm / total for i, ohm in enumerate(ohms)}, rel=1e-6)
    weights = [bit.weight for bit in stage.bits]
    assert sum(abs(weight) for weight in weights) == pytest.approx(1.0)
    assert weights == sorted(weights, reverse=True)
    assert 2 <= stage.levels <= 2 ** len(ohms)


@given(st.lists(OHMS, min_size=2, max_size=5), OHMS, st.sampled_from(["GND", "VCC"]))
def test_a_resistor_to_a_supply_changes_no_share(ohms: list[int], pull: int, rail: str) -> None:
    pulled = weigh(ohms, 75.0, f"part R9 {pull}R", "RED: R9.1", f"{rail}: R9.2")
    assert shares(pulled) == pytest.approx(shares(weigh(ohms, 75.0)), rel=1e-6)
    assert pulled.levels == weigh(ohms, 75.0).levels


@given(st.lists(OHMS, min_size=2, max_size=4), st.integers(100, 10_000), st.integers(100, 10_000))
def test_two_resistors_in_series_are_one(ohms: list[int], a: int, b: int) -> None:
    lines = [f"part R8 {a}R", f"part R9 {b}R", "HALF: R8.2 R9.1", "LAST: U1.19 R8.1", "RED: R9.2"]
    split = shares(weigh(ohms, 75.0, *lines))
    whole = shares(weigh(ohms, 75.0, f"part R8 {a + b}R", "LAST: U1.19 R8.1", "RED: R8.2"))
    assert split == pytest.approx(whole, rel=1e-6)


@given(
    st.lists(st.tuples(st.integers(0, 7), st.integers(0, 7), st.floats(1.0, 1e6)), min_size=1, max_size=20),
    st.dictionaries(st.integers(0, 7), st.floats(-15, 15), min_size=1, max_size=4),
)
def test_currents_of_every_node_sum_to_zero(
    edges: list[tuple[int, int, float]], held: dict[int, float]
) -> None:
    """Kirchhoff's current law, and no node beyond the voltages that are held (maximum principle)."""
    resistors = tuple(
        Resistor(f"R{i}", f"n{a}", f"n{b}", ohm) for i, (a, b, ohm) in enumerate(edges) if a != b
    )
    fixed = {f"n{node}": volts for node, volts in held.items()}
    volts = solve_network(Network(resistors), fixed)
    for node in {r.a for r in resistors} | {r.b for r in resistors}:
        around = [r for r in resistors if node in (r.a, r.b)]
        currents = [(volts[r.a] - volts[r.b]) / r.ohm * (1 if r.a == node else -1) for r in around]
        if node not in fixed:
            assert sum(currents) == pytest.approx(0.0, abs=1e-9)
            assert min([*fixed.values(), 0.0]) - 1e-6 <= volts[node] <= max([*fixed.values(), 0.0]) + 1e-6
