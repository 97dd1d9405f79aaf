"""Levels against ngspice, published figures and textbook theorems.

Sources: ngspice (Debian package ``ngspice``) solves the same output stages, written as its deck by the program's own
export; N18-N20, N29, N30 are Millman's theorem with levels of the data sheets named; N13-N15 superposition; N22 the
model of Ebers and Moll; N31 nodal analysis; the figures N.. were worked out twice, by formula and as operating points
in ngspice 39.3. F1: Analog Devices ADV476 data sheet; F2: an IRE unit is 1/140 V of a 1 V signal; F4 and F5
arithmetic; F6: the series of IEC 60063 as PyPI ``eseries`` lists them.
"""

from __future__ import annotations

import random
import re
import subprocess
from fractions import Fraction
from pathlib import Path

import pytest

from tests.boards import board
from tests.published.stages import ngspice, random_stage, volts_by_ngspice
from tests.stage_boards import traced_stage, weighted
from tests.unit.levels.test_codes import COUPLED
from tracer.export.deck import decks_of
from tracer.export.spice import CODE_SECONDS, decks_as_spice
from tracer.importers import read_netlist
from tracer.levels.codes import compute_levels
from tracer.levels.drive_values import Override
from tracer.levels.values import LoadLevels
from tracer.stage.network import Network, Resistor, Transistor
from tracer.stage.nodal import solve_network
from tracer.tracing.pipeline import trace_fully

NETLISTS = Path(__file__).parents[2] / "netlists"
THREE = (1000.0, 470.0, 220.0)
IDEAL = Override(5.0, 0.0, 0.0)

needs_ngspice = pytest.mark.skipif(
    ngspice() is None, reason="ngspice is not installed (Debian package ngspice)"
)


def levels(stage: str, bits: int, load: float | None, override: Override = IDEAL) -> LoadLevels:
    table = compute_levels(traced_stage(stage, bits), loads=(load,), override=override)
    found = table.of("red")
    assert found is not None
    return found.loads[0]


def figures(text: str) -> list[float]:
    return [float(x) for x in text.split()]


@pytest.mark.parametrize(
    ("ohms", "load", "high", "low", "codes", "expected"),
    [
        pytest.param(THREE, 75.0, 5.0, 0.0, range(8), "0 0.23802 0.50643 0.74445 1.08192 1.31994 1.58835 1.82637", id="N02"),
        pytest.param(THREE, None, 5.0, 0.0, range(8), "0 0.65163 1.38644 2.03806 2.96194 3.61356 4.34837 5", id="N03"),
        pytest.param(THREE, 1000.0, 5.0, 0.0, range(8), "0 0.57649 1.22658 1.80308 2.62043 3.19692 3.84701 4.42351", id="N04"),
        pytest.param((470.0, 220.0), 75.0, 5.0, 0.0, range(4), "0 0.53174 1.13600 1.66774", id="N05"),
        pytest.param((2200.0, *THREE), 75.0, 5.0, 0.0, (1, 2, 4, 8, 15), "0.10590 0.23298 0.49570 1.05900 1.89359", id="N06"),
        pytest.param((470.0,), 75.0, 5.0, 0.0, (1,), "0.68807", id="N16"),
        pytest.param(THREE, 75.0, 2.7, 0.5, (0, 7), "0.18264 0.98624", id="N18"),
        pytest.param(THREE, 75.0, 3.4, 0.25, (0, 7), "0.09132 1.24193", id="N19"),
        pytest.param(THREE, 75.0, 4.98, 0.0, (0, 7), "0 1.81907", id="N20"),
        pytest.param((390.0, 180.0), 75.0, 5.0, 0.0, range(4), "0 0.59761 1.29482 1.89243", id="N23"),
        pytest.param((470.0, 470.0), 75.0, 5.0, 0.0, range(4), "0 0.60484 0.60484 1.20968", id="N29"),
        pytest.param(THREE, 75.0, 3.4, 0.25, (3,), "0.56032", id="N30"),
        # Open and wrong resistors: the set without it, or with it.
        pytest.param((1000.0, 470.0), 75.0, 5.0, 0.0, (3,), "0.95002", id="N09"),
        pytest.param(THREE, 75.0, 5.0, 0.0, (3,), "0.74445", id="N10"),
        pytest.param(THREE, None, 5.0, 0.0, (3,), "2.03806", id="N10-no-load"),
        pytest.param((1000.0, 470.0), None, 5.0, 0.0, (1,), "1.59864", id="N11"),
        pytest.param((220_000.0, 1000.0, 470.0), 75.0, 5.0, 0.0, (7,), "0.95114", id="N12"),
        pytest.param((1000.0, 220.0), 75.0, 5.0, 0.0, (3,), "1.46870", id="N27"),
    ],
)  # fmt: skip
def test_levels_follow_millman(
    ohms: tuple[float, ...], load: float | None, high: float, low: float, codes: range, expected: str
) -> None:
    """Millman's theorem with the levels of section "guaranteed" and "typical" LS where they are not 5 and 0 V."""
    found = levels(weighted(*ohms), len(ohms), load, Override(high, low, 0.0))
    assert [found.volts[c] for c in codes] == pytest.approx(figures(expected), abs=1e-4)


def test_n29_counts_three_levels() -> None:
    assert levels(weighted(470, 470), 2, 75.0).n_levels == 3


PACK = """
part RN1 3x1k symbol=R_Network03
part R0 1000
part R1 1000
part R2 1000
part J2 plug 1=A 2=B symbol=Conn_01x02
B0: R0.1
B1: R1.1
B2: R2.1
RED: R0.2 RN1.2
LINE1: R1.2 RN1.3 J2.1
LINE2: R2.2 RN1.4 J2.2
"""


@pytest.mark.parametrize(
    ("common", "code", "expected"),
    [
        ("GND: RN1.1", "100", 2.5),
        ("X: RN1.1", "100", 3.33333),
        ("X: RN1.1", "111", 5.0),
        ("X: RN1.1", "011", 1.66667),
        # The same where no net names the leg.
        ("", "100", 3.33333),
        ("", "011", 1.66667),
    ],
    ids=["N13", "N14", "N15", "N14-leak", "N14-unstated", "N14-leak-unstated"],
)
def test_the_common_of_a_pack(common: str, code: str, expected: float) -> None:
    """Superposition: a bussed pack of 1k between three lines of 1k each, its common grounded, and open.

    N14's dark lines take 0.83333 V each from the one that is high; two of them high leave twice that on the third.
    """
    traced = traced_stage(PACK + common, 3)
    stage = traced.stages["red"]
    fixed = {**stage.fixed, **{stage.node(f"B{i}"): 5.0 * int(bit) for i, bit in enumerate(code)}}
    assert solve_network(stage.network, fixed)[stage.node("RED")] == pytest.approx(expected, abs=1e-3)


def test_n17_source_and_terminations() -> None:
    """1.4 V behind 75 ohm: 0.7 V into 75, 1.4 V open, 0.46667 V into two (Thevenin)."""
    source = Override(1.4, 0.0, 0.0)
    assert [levels(weighted(75), 1, load, source).volts[1] for load in (75.0, None, 37.5)] == pytest.approx(
        [0.7, 1.4, 0.46667], abs=1e-5
    )


def test_n21_terminator() -> None:
    """220/330 ohm on 5 V: 3.0 V, and 2.65018 V with 1k to ground (Thevenin: 132 ohm)."""
    ends = (Resistor("RU", "v", "x", 220), Resistor("RD", "x", "g", 330))
    assert solve_network(Network(ends), {"v": 5, "g": 0})["x"] == pytest.approx(3.0)
    loaded = Network((*ends, Resistor("RL", "x", "g", 1000)))
    assert solve_network(loaded, {"v": 5, "g": 0})["x"] == pytest.approx(2.65018, abs=1e-5)


@pytest.mark.parametrize(("base", "ohm", "figure"), [(2.0, 470, 1.318), (3.0, 75, 2.257), (0.5, 470, 0.001)])
def test_n22_follower(base: float, ohm: float, figure: float) -> None:
    """Ebers and Moll, IS 1e-14, BF 100, 27 C: what an emitter follower drops, and that it cuts off."""
    network = Network((Resistor("RE", "e", "g", ohm),), (), (Transistor("Q", "b", "c", "e"),))
    assert solve_network(network, {"b": base, "c": 5.0, "g": 0.0})["e"] == pytest.approx(figure, abs=5e-3)


@pytest.mark.parametrize(
    ("rung", "codes", "expected"),
    [(3, (7, 15), "4.37500 4.37500"), (0, (15, 8, 2, 1), "4.52941 2.52941 0.70588 0")],
)
def test_n31_ladder_with_an_open_rung(rung: int, codes: tuple[int, ...], expected: str) -> None:
    """Nodal analysis of an R-2R ladder of 1k and 2k without one of its rungs."""
    rungs = [Resistor(f"RB{i}", f"b{i}", f"n{i}", 2000) for i in range(4) if i != rung]
    rest = [Resistor(f"RS{i}", f"n{i}", f"n{i + 1}", 1000) for i in range(3)]
    network = Network((*rungs, *rest, Resistor("RT", "n0", "g", 2000)))
    found = [
        solve_network(network, {**{f"b{i}": 5.0 * (c >> i & 1) for i in range(4)}, "g": 0.0})["n3"]
        for c in codes
    ]
    assert found == pytest.approx(figures(expected), abs=1e-3)


def test_drive_limit_of_an_ls_output() -> None:
    """All high, VH 3.5, into 75 ohm: 1.2785, 1.1899, 1.0259, 0.9452 V behind 0, 35, 120, 175 ohm (rough model; ngspice)."""
    found = [
        levels(weighted(*THREE), 3, 75.0, Override(3.5, 0.0, r)).volts[7] for r in (0.0, 35.0, 120.0, 175.0)
    ]
    assert found == pytest.approx([1.2785, 1.1899, 1.0259, 0.9452], abs=1e-4)


def test_f4_levels_rise_when_a_bit_goes_open() -> None:
    """(G+g)/(G+g-1/R): 1.04998, 1.11270, 1.27613 for 1k, 470, 220 into 75 ohm (arithmetic)."""
    whole = levels(weighted(*THREE), 3, 75.0).volts
    for i, figure in enumerate((1.04998, 1.11270, 1.27613)):
        rest = [r for k, r in enumerate(THREE) if k != i]
        without = levels(weighted(*rest), 2, 75.0).volts[3]
        others_high = whole[7 & ~(1 << i)]
        assert without / others_high == pytest.approx(figure, abs=2e-5)


def test_f1_full_scale_of_a_converter() -> None:
    """Analog Devices ADV476 data sheet, pin table: I = VO / (2.15 RL), 0.7 V and 37.5 ohm: 8.682 mA; 2.15 x 37.5 ohm of it."""
    network = Network((Resistor("R", "x", "g", 2.15 * 37.5),))
    assert solve_network(network, {"x": 0.7, "g": 0.0})["x"] / (2.15 * 37.5) == pytest.approx(
        8.682e-3, abs=1e-6
    )


def test_f2_white_of_a_one_volt_signal() -> None:
    """100 IRE of 140 in 1.000 V are 0.71429 V (epanorama, video levels): a 0.71429 V source behind nothing is white."""
    white = levels(weighted(75), 1, 75.0, Override(2 * 100 / 140, 0.0, 0.0)).volts[1]
    assert white == pytest.approx(0.71429, abs=1e-5)


def test_f6_nearest_of_the_series() -> None:
    """IEC 60063 by PyPI ``eseries``: the 460.7 ohm that give 0.700 V into 75 ohm are 470 in E12 and E24, 464 in E96."""
    eseries = pytest.importorskip("eseries")
    wanted = 75 * (5.0 - 0.7) / 0.7
    nearest = [eseries.find_nearest(s, wanted) for s in (eseries.E12, eseries.E24, eseries.E96)]
    assert nearest == pytest.approx([470, 470, 464])
    assert levels(weighted(nearest[0]), 1, 75.0).volts[1] == pytest.approx(0.68807, abs=1e-5)


@pytest.mark.parametrize("seed", range(6))
def test_linear_stages_are_exact(seed: int) -> None:
    """Cramer's rule in fractions on the nodal equations, for small random networks without junctions."""
    rng = random.Random(seed)
    for _ in range(20):
        case = random_stage(rng, bent=False, most_nodes=8)
        network = case.stage.network
        if network.amplifiers:
            continue
        fixed = {"vcc": Fraction(5), "gnd": Fraction(0)}
        fixed |= {d.net: Fraction(5 * (case.code >> i & 1)) for i, d in enumerate(case.stage.drivers)}
        ours = solve_network(network, {n: float(v) for n, v in fixed.items()})
        exact = _exact(network, fixed)
        assert all(ours[n] == pytest.approx(float(v), abs=1e-6) for n, v in exact.items())


def _exact(network: Network, fixed: dict[str, Fraction]) -> dict[str, Fraction]:
    nodes = sorted(network.nodes() - set(fixed))
    at = {n: i for i, n in enumerate(nodes)}
    rows = [[Fraction(0)] * (len(nodes) + 1) for _ in nodes]
    for r in network.resistors:
        siemens = 1 / Fraction(r.ohm)
        for here, there in ((r.a, r.b), (r.b, r.a)):
            if here in at:
                rows[at[here]][at[here]] += siemens
                if there in at:
                    rows[at[here]][at[there]] -= siemens
                else:
                    rows[at[here]][-1] += siemens * fixed[there]
    for i in range(len(rows)):
        pivot = next(k for k in range(i, len(rows)) if rows[k][i])
        rows[i], rows[pivot] = rows[pivot], rows[i]
        rows[i] = [x / rows[i][i] for x in rows[i]]
        for k in range(len(rows)):
            if k != i and rows[k][i]:
                factor = rows[k][i]
                rows[k] = [a - factor * b for a, b in zip(rows[k], rows[i], strict=True)]
    return {n: rows[i][-1] for n, i in at.items()}


@needs_ngspice
@pytest.mark.parametrize("bent", [False, True], ids=["linear", "junctions"])
def test_random_stages_agree_with_ngspice(bent: bool, tmp_path: Path) -> None:
    """200 random stages of 3 to 60 nodes each: to 1 mV without junctions, 10 mV with diodes and followers."""
    rng = random.Random(60063 + bent)
    stages = [random_stage(rng, bent=bent) for _ in range(200)]
    theirs = volts_by_ngspice(stages, tmp_path)
    worst = max(abs(s.volts() - v) for s, v in zip(stages, theirs, strict=True))
    assert worst < (1e-2 if bent else 1e-3)


@needs_ngspice
@pytest.mark.parametrize("name", ["wren", "dunlin", "plover"])
def test_the_exported_deck_runs_and_reads_what_the_levels_say(name: str, tmp_path: Path) -> None:
    """The transient run counts through all codes; every code's last moment is its level."""
    traced = trace_fully(read_netlist(NETLISTS / name / f"{name}.net"))
    table = compute_levels(traced, loads=(75.0,))
    rows = transient(decks_as_spice(name, decks_of(traced, 75.0)), tmp_path)
    for column, colour in enumerate(table.colours):
        for level in colour.loads[0].codes:
            at = max((r for r in rows if r[0] < (level.code + 0.98) * CODE_SECONDS), key=lambda r: r[0])
            assert at[1 + column] == pytest.approx(level.volts, abs=1e-2)


IDIOMS = sorted((Path(__file__).parents[1] / "cases" / "idioms").glob("*.txt"))


@needs_ngspice
@pytest.mark.parametrize("case", IDIOMS, ids=lambda p: p.stem)
def test_stages_of_real_boards_agree_with_ngspice(case: Path, tmp_path: Path) -> None:
    """Followers, inverters, diodes, blanking, ladders, open collectors as real boards have them: dark and full."""
    text = case.read_text(encoding="utf-8").split("\n----\n")[0]
    traced = trace_fully(board(text.partition("\n")[2], case.stem))
    table = compute_levels(traced, loads=(75.0,))
    decks = [d for d in decks_of(traced, 75.0) if not d.network.charged]
    known = {c.colour: c for c in table.colours if c.loads}
    decks = [d for d in decks if d.colour in known]
    for full in (False, True):
        codes = [2 ** known[d.colour].n_bits - 1 if full else 0 for d in decks]
        theirs = operating_points(decks_as_spice(case.stem, decks, codes), tmp_path)
        for deck, code in zip(decks, codes, strict=True):
            ours = known[deck.colour].loads[0].volts[code]
            assert theirs[deck.colour] == pytest.approx(ours, abs=1e-2), (deck.colour, code)


@needs_ngspice
def test_steady_swing_behind_a_capacitor(tmp_path: Path) -> None:
    """After many pictures the coupled output swings as computed: follower, 10 uF, 75 ohm twice."""
    traced = traced_stage(COUPLED.replace("100uF", "10uF"), 2)
    table = compute_levels(traced, loads=(75.0,))
    found = table.of("red")
    assert found is not None
    (deck,) = [d for d in decks_of(traced, 75.0) if d.colour == "red"]
    text = decks_as_spice("coupled", [deck])
    period, pictures = 4 * CODE_SECONDS, 1200
    text = re.sub(
        r"\.tran .*", f".tran {CODE_SECONDS / 10:g} {pictures * period:g} {(pictures - 1) * period:g}", text
    )
    rows = transient(text, tmp_path)
    start = (pictures - 1) * period

    def at(code: int) -> float:
        return max((r for r in rows if r[0] < start + (code + 0.9) * CODE_SECONDS), key=lambda r: r[0])[1]

    swing = [at(c) - at(0) for c in range(4)]
    assert swing == pytest.approx(list(found.loads[0].volts), abs=1e-2)


def operating_points(deck: str, folder: Path) -> dict[str, float]:
    """Colour -> volts at its pin."""
    run = _run(deck, folder)
    return {
        name: float(volts) for name, volts in re.findall(r"^\s*(\S+?)_out\s+(\S+)\s*$", run, re.MULTILINE)
    }


def transient(deck: str, folder: Path) -> list[tuple[float, ...]]:
    """Rows of time and volts that ngspice prints."""
    printed = _run(deck, folder)
    rows = re.findall(r"^\d+\t(.*)$", printed, re.MULTILINE)
    assert rows, printed[-2000:]
    return [tuple(float(x) for x in row.split()) for row in rows]


def _run(deck: str, folder: Path) -> str:
    file = folder / "deck.cir"
    file.write_text(deck, encoding="utf-8")
    run = subprocess.run(
        [ngspice() or "ngspice", "-b", str(file)], capture_output=True, text=True, timeout=300, check=False
    )
    return run.stdout + run.stderr
