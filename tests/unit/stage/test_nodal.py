"""Node voltages of small networks.

Expected values come from the theorem or model named at each test, worked out here in another way (closed forms,
bisection); figures of other programs are in ``tests/published/test_weights.py``.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from tracer.stage.network import Amplifier, Diode, Network, Resistor, Transistor
from tracer.stage.nodal import SATURATION_AMP, THERMAL_VOLTS, NoConvergenceError, solve_network


def bisect(excess: Callable[[float], float], low: float, high: float) -> float:
    """The root of a function that rises from below zero to above."""
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (low, middle) if excess(middle) > 0 else (middle, high)
    return (low + high) / 2


def junction(volts: float) -> float:
    """Current of a junction (Shockley)."""
    return SATURATION_AMP * (math.exp(min(volts / THERMAL_VOLTS, 700)) - 1)


def test_divider() -> None:
    network = Network((Resistor("R1", "top", "x", 2000), Resistor("R2", "x", "gnd", 1000)))
    assert solve_network(network, {"top": 9, "gnd": 0})["x"] == pytest.approx(3.0)


def test_unbalanced_bridge() -> None:
    """Wheatstone's bridge by Thevenin: 1k/2k against 2k/1k, 1k across, from 12 V: the middle carries 1.333 mA."""
    network = Network(
        (
            Resistor("R1", "top", "a", 1000),
            Resistor("R2", "a", "gnd", 2000),
            Resistor("R3", "top", "b", 2000),
            Resistor("R4", "b", "gnd", 1000),
            Resistor("R5", "a", "b", 1000),
        )
    )
    volts = solve_network(network, {"top": 12, "gnd": 0})
    open_volts, source_ohm = 8 - 4, 2 * (2000 / 3)
    assert volts["a"] - volts["b"] == pytest.approx(open_volts * 1000 / (source_ohm + 1000))
    assert volts["a"] + volts["b"] == pytest.approx(12.0)


def test_the_result_holds_the_fixed_nodes_too() -> None:
    assert solve_network(Network((Resistor("R1", "a", "b", 1),)), {"a": 1.0, "b": 2.0, "c": 3.0}) == {
        "a": 1.0,
        "b": 2.0,
        "c": 3.0,
    }


def test_a_node_joined_to_nothing_that_is_held_is_at_ground() -> None:
    volts = solve_network(
        Network((Resistor("R1", "a", "b", 100), Resistor("R2", "c", "gnd", 1))), {"gnd": 0.0}
    )
    assert volts == pytest.approx({"a": 0, "b": 0, "c": 0, "gnd": 0}, abs=1e-9)


def test_parallel_resistors_and_one_on_one_node() -> None:
    network = Network(
        (
            Resistor("R1", "top", "x", 300),
            Resistor("R2", "top", "x", 600),
            Resistor("R3", "x", "gnd", 200),
            Resistor("R4", "x", "x", 1),
        )
    )
    assert solve_network(network, {"top": 10, "gnd": 0})["x"] == pytest.approx(5.0)


@pytest.mark.parametrize(
    ("feedback", "to_ground", "from_input", "plus", "out"),
    [
        # Non-inverting: 1 + RF/RG; inverting: -RF/R1; a sum at the inverting input; all with ideal amplifiers
        # (Horowitz and Hill, The Art of Electronics, chapter on operational amplifiers; from memory).
        (1000, 1000, None, "in", 2.0),
        (2200, 1000, None, "in", 3.2),
        (1000, None, 1000, "gnd", -1.0),
        (470, None, 1000, "gnd", -0.47),
        (1000, 1000, 1000, "gnd", -1.0),
    ],
)
def test_an_operational_amplifier_has_the_gain_of_its_resistors(
    feedback: float, to_ground: float | None, from_input: float | None, plus: str, out: float
) -> None:
    resistors = [Resistor("RF", "minus", "out", feedback), Resistor("RL", "out", "gnd", 150)]
    if to_ground:
        resistors.append(Resistor("RG", "minus", "gnd", to_ground))
    if from_input:
        resistors.append(Resistor("R1", "in", "minus", from_input))
    network = Network(tuple(resistors), amplifiers=(Amplifier("U1", plus, "minus", "out"),))
    assert solve_network(network, {"in": 1.0, "gnd": 0.0})["out"] == pytest.approx(out, abs=1e-4)


def test_a_row_that_needs_another_pivot() -> None:
    """A follower's own row has no entry on the diagonal but the leak; the order of names must not matter."""
    for source, target in (("a", "z"), ("z", "a")):
        network = Network(
            (
                Resistor("R1", "top", source, 1000),
                Resistor("R2", source, "gnd", 3000),
                Resistor("R3", target, "gnd", 75),
            ),
            amplifiers=(Amplifier("U1", source, target, target),),
        )
        volts = solve_network(network, {"top": 4, "gnd": 0})
        assert volts[source] == pytest.approx(3.0)
        assert volts[target] == pytest.approx(3.0, abs=1e-5)


@pytest.mark.parametrize("supply", [0.2, 0.7, 5.0, 12.0, 100.0])
def test_diode_with_a_resistor(supply: float) -> None:
    """Shockley's equation; the resistor's current is the diode's."""
    network = Network((Resistor("R1", "top", "x", 1000),), (Diode("D1", "x", "gnd"),))
    expected = bisect(lambda v: junction(v) - (supply - v) / 1000, 0.0, supply)
    assert solve_network(network, {"top": supply, "gnd": 0})["x"] == pytest.approx(expected, abs=1e-6)


def test_diode_the_other_way_round() -> None:
    network = Network((Resistor("R1", "top", "x", 1000),), (Diode("D1", "gnd", "x"),))
    assert solve_network(network, {"top": 5, "gnd": 0})["x"] == pytest.approx(5.0, abs=1e-6)


@pytest.mark.parametrize(("a", "b"), [(5.0, 0.0), (0.0, 5.0), (3.0, 3.0), (0.0, 0.0)])
def test_two_diodes_pass_the_higher_of_two_levels(a: float, b: float) -> None:
    network = Network((Resistor("R1", "x", "gnd", 1000),), (Diode("D1", "a", "x"), Diode("D2", "b", "x")))

    def excess(v: float) -> float:
        return v / 1000 - junction(a - v) - junction(b - v)

    expected = bisect(excess, 0.0, 5.0)
    assert solve_network(network, {"a": a, "b": b, "gnd": 0})["x"] == pytest.approx(expected, abs=1e-5)


def follower(base: float, ohm: float) -> float:
    """Emitter of an NPN follower: the emitter's current is 1.01 times that of the junction (gain 100)."""
    return bisect(lambda e: e / ohm - junction(base - e) * 1.01, 0.0, base)


@pytest.mark.parametrize("base", [0.4, 1.0, 2.5, 4.5])
@pytest.mark.parametrize("ohm", [75.0, 470.0, 10000.0])
def test_npn_follower(base: float, ohm: float) -> None:
    network = Network((Resistor("RE", "e", "gnd", ohm),), transistors=(Transistor("Q1", "b", "vcc", "e"),))
    assert solve_network(network, {"b": base, "vcc": 5, "gnd": 0})["e"] == pytest.approx(
        follower(base, ohm), abs=1e-6
    )


def test_pnp_follower_is_the_mirror_image() -> None:
    network = Network(
        (Resistor("RE", "e", "vcc", 470.0),), transistors=(Transistor("Q1", "b", "gnd", "e", "pnp"),)
    )
    found = solve_network(network, {"b": 3.0, "vcc": 5, "gnd": 0})["e"]
    assert found == pytest.approx(5 - follower(2.0, 470.0), abs=1e-6)


def switched(polarity: str, level: float) -> float:
    """Collector of a common-emitter switch with 1k, driven over 10k."""
    rails = {"npn": ("gnd", "vcc"), "nmos": ("gnd", "vcc"), "pnp": ("vcc", "gnd"), "pmos": ("vcc", "gnd")}
    emitter, load = rails[polarity]
    network = Network(
        (Resistor("RC", "c", load, 1000), Resistor("RB", "in", "b", 10000)),
        transistors=(Transistor("Q1", "b", "c", emitter, polarity),),
    )
    return solve_network(network, {"in": level, "vcc": 5, "gnd": 0})["c"]


@pytest.mark.parametrize(
    ("polarity", "level", "low", "high"),
    [
        ("npn", 0.0, 4.999, 5.001),
        ("npn", 5.0, 0.0, 0.1),
        ("nmos", 0.0, 4.999, 5.001),
        ("nmos", 5.0, 0.0, 0.1),
        ("pnp", 5.0, -0.001, 0.001),
        ("pnp", 0.0, 4.9, 5.0),
        ("pmos", 5.0, -0.001, 0.001),
        ("pmos", 0.0, 4.9, 5.0),
    ],
)
def test_switches(polarity: str, level: float, low: float, high: float) -> None:
    """Cut off or saturated."""
    assert low <= switched(polarity, level) <= high


def test_a_gate_takes_no_current() -> None:
    network = Network(
        (Resistor("RG", "in", "g", 100000), Resistor("RD", "d", "vcc", 1000)),
        transistors=(Transistor("Q1", "g", "d", "gnd", "nmos"),),
    )
    volts = solve_network(network, {"in": 0.6, "vcc": 5, "gnd": 0})
    assert volts["g"] == pytest.approx(0.6, abs=1e-3)


def test_currents_of_a_transistor_sum_to_zero() -> None:
    """Kirchhoff's current law over the three resistors around it, in the active region."""
    network = Network(
        (
            Resistor("RB", "vcc", "b", 100000),
            Resistor("RC", "vcc", "c", 1000),
            Resistor("RE", "e", "gnd", 500),
        ),
        transistors=(Transistor("Q1", "b", "c", "e"),),
    )
    volts = solve_network(network, {"vcc": 5, "gnd": 0})
    base, collector, emitter = (5 - volts["b"]) / 100000, (5 - volts["c"]) / 1000, volts["e"] / 500
    assert base + collector == pytest.approx(emitter, rel=1e-6)
    assert collector / base == pytest.approx(100, rel=1e-3)
    assert emitter / 1.01 == pytest.approx(junction(volts["b"] - volts["e"]), rel=1e-4)


def test_always_conducting() -> None:
    """A follower then is a fixed drop and the network is linear: equal steps in, equal steps out; diodes are open."""
    network = Network(
        (Resistor("RE", "e", "gnd", 470.0),), (Diode("D1", "b", "gnd"),), (Transistor("Q1", "b", "vcc", "e"),)
    )
    found = [
        solve_network(network, {"b": base, "vcc": 5, "gnd": 0}, always_conducting=True)["e"]
        for base in (0.0, 2.0, 4.0)
    ]
    assert found[1] - found[0] == pytest.approx(found[2] - found[1])
    assert found[1] == pytest.approx(2.0 - 0.65, abs=1e-2)


def test_a_start_near_by_gives_the_same_solution() -> None:
    network = Network((Resistor("R1", "top", "x", 1000),), (Diode("D1", "x", "gnd"),))
    first = solve_network(network, {"top": 5, "gnd": 0})
    assert solve_network(network, {"top": 5, "gnd": 0}, first)["x"] == pytest.approx(first["x"], abs=1e-9)
    assert solve_network(network, {"top": 5, "gnd": 0}, {"x": -40.0})["x"] == pytest.approx(
        first["x"], abs=1e-6
    )


def test_no_solution_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tracer.stage.nodal._MOST_STEPS", 2)
    network = Network((Resistor("R1", "top", "x", 1000),), (Diode("D1", "x", "gnd"),))
    with pytest.raises(NoConvergenceError, match=r"^no solution for 1 nodes$"):
        solve_network(network, {"top": 5, "gnd": 0})


def test_nodes_and_linearity() -> None:
    network = Network(
        (Resistor("R1", "a", "b", 1),),
        (Diode("D1", "c", "d"),),
        (Transistor("Q1", "e", "f", "g"),),
        (Amplifier("U1", "h", "i", "j"),),
    )
    assert network.nodes() == set("abcdefghij")
    assert not network.is_linear
    assert Network(network.resistors, amplifiers=network.amplifiers).is_linear
