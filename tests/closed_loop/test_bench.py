"""The bench of faults that are not the program's: that its circuits are right, and that whole loops run.

How well the program does there is printed by ``python -m tests.closed_loop.bench``; nothing here asks for it. ngspice (the
Debian package of that name) solves the stages of the demo boards beside the bench's own solver.
"""

from __future__ import annotations

import ast
import json
import random
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.closed_loop.bench.behaviour import ALL, VISIBLE
from tests.closed_loop.bench.boards import DEMO, Case, demo_case, random_case
from tests.closed_loop.bench.change import NO_CHANGE, Change
from tests.closed_loop.bench.fault import OUTSIDE, Fault, verdict
from tests.closed_loop.bench.faults import CLASSES, make_fault
from tests.closed_loop.bench.loop import N_RANDOM, Loop, cases, run_loop, run_loops
from tests.closed_loop.bench.nodal import LEVELS, Network, load, resistor, transistor
from tests.closed_loop.bench.person import ANSWERS, Bench, Person
from tests.closed_loop.bench.program import Program
from tests.closed_loop.bench.report import report_as_data, report_text
from tests.closed_loop.bench.solved import Solved
from tests.drawing.boards import truths
from tracer.netlist.board import PinRef

BENCH = Path(__file__).parent / "bench"
#: Rooms of the program that say what faults do; only the door to what is judged may know them.
JUDGED = ("tracer.suspects", "tracer.levels", "tracer.stage")
HEALTHY = Fault("none", "none", NO_CHANGE, ())


def imported(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom):
            found.add(str(node.module))
        elif isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
    return found


def leg(text: str) -> PinRef:
    return PinRef(*text.rsplit(".", 1))


def bench_of(case: Case, fault: Fault, seed: int = 0) -> Bench:
    rng = random.Random(seed)
    return Bench(case.board, fault, Person.draw(rng), rng)


def with_change(case: Case, change: Change) -> Bench:
    return bench_of(case, Fault("by hand", "by hand", change, ()))


# -- what it may know -------------------------------------------------------------------------------


@pytest.mark.parametrize("path", sorted(BENCH.glob("*.py")), ids=lambda p: p.name)
def test_only_the_door_to_the_program_knows_what_it_thinks_of_faults(path: Path) -> None:
    known = {m for m in imported(path) if m.startswith(JUDGED)}
    assert (known != set()) == (path.name == "program.py")


# -- the boards -------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", DEMO)
def test_a_healthy_board_shows_what_its_memories_hold(name: str) -> None:
    """By the true map of the board's design: the level at each driver is that of its memory leg, in every element."""
    case = demo_case(name)
    healthy = case.board.healthy
    for bits in truths()[name].values():
        for bit in bits:
            shown = {s: healthy.driven[leg(s)] for s in (bit.driver, *bit.sources)}
            driver, sources = shown[bit.driver], [shown[s] for s in bit.sources]
            either = [0, 0]
            for source in sources:
                either[0] |= source.hi
                either[1] |= source.lo
            assert driver.hi & VISIBLE & ~either[0] == 0
            assert driver.lo & VISIBLE & ~either[1] == 0
            assert (driver.hi | driver.lo) & VISIBLE == VISIBLE


@pytest.mark.parametrize("case", cases(), ids=lambda c: c.board.name)
def test_nothing_is_found_wrong_with_a_healthy_board(case: Case) -> None:
    bench = bench_of(case, HEALTHY)
    assert set(bench.true_words().values()) == {"fine"}
    for part, outs in case.board.path.items():
        assert {bench.reads((part, out)) for out in outs} == {"pulsing"}
    for what, ends in Program(case.traced).suspects:
        if what == "joint" and len(ends) > 1:
            nets = [
                {net for x, net in case.board.net_of.items() if end in (x.part, f"{x.part}.{x.pin}")}
                for end in ends
            ]
            assert (bench.beeps(ends) == "beep") == bool(nets[0] & nets[1]), ends
        elif what in ("track", "resistor"):
            assert bench.ohms(ends) == "as it should be", ends


@pytest.mark.parametrize("case", cases(), ids=lambda c: c.board.name)
def test_the_program_has_traced_every_bit(case: Case) -> None:
    assert case.traced.bit_map.is_complete


# -- the solver -------------------------------------------------------------------------------------


def spice(network: Network, states: str) -> str:
    """A deck of one network in one state, its outputs as current sources of one way."""
    names: dict[str, str] = {}

    def node(n: str) -> str:
        return names.setdefault(n, f"n{len(names) + 1}")

    lines = ["* one network"]
    for i, e in enumerate(network.elements):
        at = [node(n) for n in e.nodes]
        if e.kind in ("resistor", "load"):
            lines.append(f"R{i} {at[0]} {at[1]} {e.value:.9g}")
        elif e.kind == "junction":
            lines.append(f"D{i} {at[0]} {at[1]} DX")
        else:
            lines.append(f"Q{i} {at[1]} {at[0]} {at[2]} QX")
    lines += [f"V{i} {node(n)} 0 {volts}" for i, (n, volts) in enumerate(network.fixed.items())]
    for i, (n, state) in enumerate(zip(network.driven, states, strict=True)):
        if state != "Z":
            volts, ohm, gives, takes = LEVELS[state]
            current = f"({volts}-V({node(n)}))/{ohm}"
            way = current if gives and takes else f"{'max' if gives else 'min'}(0,{current})"
            lines.append(f"B{i} 0 {node(n)} I={way}")
    prints = "".join(f"print v({new})\n" for new in names.values())
    lines += [
        ".model DX D(IS=1e-14)",
        ".model QX NPN(IS=1e-14 BF=100 BR=1)",
        ".options reltol=1e-6 gmin=1e-12",
    ]
    return "\n".join([*lines, ".control", "op", prints + "quit", ".endc", ".end"]) + "\n"


@pytest.mark.skipif(
    shutil.which("ngspice") is None, reason="ngspice is not installed (Debian package ngspice)"
)
@pytest.mark.parametrize("name", [*DEMO, "random 0", "random 1"])
def test_the_solver_gives_the_volts_of_ngspice(name: str, tmp_path: Path) -> None:
    case = demo_case(name) if name in DEMO else random_case(int(name.split()[1]))
    networks = [n for n in case.board.healthy.circuits if n.driven]
    rng = random.Random(name)
    for i, network in enumerate(networks[:3]):
        for letters in ("HL", "HLZ", "hlMB"):
            states = "".join(rng.choice(letters) for _ in network.driven)
            deck = tmp_path / f"{i}{letters}.cir"
            deck.write_text(spice(network, states), encoding="utf-8")
            said = subprocess.run(
                ["ngspice", "-b", str(deck)], capture_output=True, text=True, check=False, timeout=60
            ).stdout
            theirs = [float(v) for v in re.findall(r"^v\(n\d+\) = (\S+)", said, re.MULTILINE)]
            nodes = list(dict.fromkeys(n for e in network.elements for n in e.nodes))
            ours = network.solve(states)
            assert theirs[: len(nodes)] == pytest.approx([ours[n] for n in nodes], abs=2e-3), (states, said)


def test_the_solver_knows_the_divider_the_follower_and_a_meter() -> None:
    """470 ohm into 75 at 5 V by Ohm's law; an emitter follower drops about 0.7 V; what is plugged in is not measured."""
    divider = Network([resistor("v", "out", 470), load("out", "g", 75)], {"v": 5.0, "g": 0.0}, ())
    assert divider.solve("")["out"] == pytest.approx(5 * 75 / 545, abs=1e-4)
    assert divider.ohms("v", "out") == pytest.approx(470, rel=1e-3)
    assert divider.ohms("out", "g") > 1e6
    follower = Network(
        [transistor("b", "c", "e"), resistor("e", "g", 470)], {"b": 2.0, "c": 5.0, "g": 0.0}, ()
    )
    assert follower.solve("")["e"] == pytest.approx(1.318, abs=5e-3)


# -- faults -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("which", range(CLASSES))
def test_every_kind_of_fault_is_seen_on_some_board(which: int) -> None:
    words = set()
    for case in cases():
        for seed in range(3):
            fault = make_fault(case.board, random.Random(seed), which)
            if fault is not None:
                words |= set(bench_of(case, fault).true_words().values())
    assert words - {"fine"}


def test_a_bipolar_input_without_its_joint_reads_high_and_a_memory_wanders() -> None:
    case = demo_case("dunlin")
    latch = with_change(case, Change(off=(leg("U13.18"),)))
    assert latch.reads(("U13", "18")) == "floating"
    assert latch.solved.driven[leg("U13.19")].hi & VISIBLE == VISIBLE
    ram = with_change(case, Change(off=(leg("U9.8"),)))
    assert set(ram.true_words().values()) <= {"flickers", "wrong", "fine"}
    assert "flickers" in ram.true_words().values()


def test_a_latch_that_blanking_clears_pulses_though_its_input_is_open() -> None:
    """Its clear takes it low between the lines: a probe at its leg does not tell an open input from a live one."""
    opened = with_change(demo_case("dunlin"), Change(off=(leg("U13.18"),)))
    assert opened.reads(("U13", "19")) == "pulsing"


def test_a_leg_off_its_pad_still_pulses_at_the_chip_and_does_not_beep() -> None:
    opened = with_change(demo_case("dunlin"), Change(off=(leg("U9.17"),)))
    assert (opened.reads(("U9", "17")), opened.reads(("U13", "18"))) == ("pulsing", "floating")
    assert opened.beeps(("U9.17", "U13.18")) == "none"


def test_two_outputs_against_each_other_are_neither_high_nor_low_in_between() -> None:
    case = demo_case("dunlin")
    nets = (case.board.net_of[leg("U13.19")], case.board.net_of[leg("U13.15")])
    solved = Solved(case.board, Change(joined=(nets,)))
    wire = solved.wire(nets[0])
    assert wire.mid
    assert wire.mid & ~wire.lo == 0


def test_a_latch_without_a_clock_stands_still() -> None:
    still = with_change(demo_case("dunlin"), Change(hears={leg("U14.9"): 0, leg("U14.1"): 1}))
    assert {still.reads(("U14", pin)) for pin in ("2", "5", "7", "10")} <= {"low", "high"}
    assert still.true_words()["red"] == "fine"


def test_an_output_that_lets_go_is_held_by_its_stage() -> None:
    """Behind 220 ohm and the monitor's 75 a probe finds less than 0.8 V, and so a low."""
    gone = with_change(demo_case("dunlin"), Change(outputs={leg("U13.19"): "nothing"}))
    assert gone.reads(("U13", "19")) == "low"


def test_an_open_resistor_is_open_and_a_rung_of_a_ladder_reads_around() -> None:
    plain = with_change(demo_case("dunlin"), Change(ohms={("R1", "1"): 1e7}))
    assert plain.ohms(("R1",)) == "open"
    assert plain.ohms(("R2",)) == "as it should be"


def test_a_joint_that_comes_and_goes_flickers() -> None:
    loose = with_change(demo_case("dunlin"), Change(off=(leg("U13.18"),), frames=frozenset({1})))
    assert loose.true_words()["red"] == "flickers"
    assert loose.reads(("U13", "18")) == "pulsing"


def test_wires_exchanged_and_a_dark_monitor_leave_the_board_alone() -> None:
    case = demo_case("dunlin")
    dark = with_change(case, Change(dark=frozenset({"red"})))
    assert dark.true_words() == {"red": "missing", "green": "fine", "blue": "fine"}
    assert dark.solved.volts == case.board.healthy.volts
    crossed = with_change(case, Change(exchanged=("red", "green")))
    assert crossed.true_words()["red"] == "mixed"


def test_a_write_line_that_never_lets_go_takes_the_memory_off_its_bus() -> None:
    written = with_change(demo_case("dunlin"), Change(hears={leg("U9.21"): 0}))
    assert written.solved.driven[leg("U9.17")].hi & ALL == 0


def test_who_names_the_place_and_not_the_kind_is_half_right() -> None:
    fault = next(
        f for s in range(20)
        if (f := make_fault(demo_case("dunlin").board, random.Random(s), 11)) is not None
    )  # fmt: skip
    [part] = fault.cures
    assert verdict(fault, "chip", (part,)) == "right"
    assert verdict(fault, "joint", (f"{part}.2", "R1")) == "half"
    assert verdict(fault, "outside", ()) == "wrong"
    assert verdict(Fault("", "", NO_CHANGE, (OUTSIDE,)), "outside", ()) == "right"


# -- whole loops ------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def loops() -> list[Loop]:
    return run_loops(20, seed=3)


def test_loops_end_and_are_told_in_the_programs_words(loops: list[Loop]) -> None:
    for loop in loops:
        assert set(loop.words) == {"red", "green", "blue"}
        assert 1 <= loop.measurements <= 12
        assert 0 <= loop.said <= 1
        for step in loop.steps:
            kind, _, answers = step.partition(" ")[0], *step.rpartition(": ")[1:]
            for answer in answers.split(", "):
                assert answer in ANSWERS[kind] or answer.endswith(" V")


def test_the_same_seed_gives_the_same_loop(loops: list[Loop]) -> None:
    assert run_loop("3 7", N_RANDOM) == loops[7]


def test_the_figures_are_those_of_the_loops(loops: list[Loop]) -> None:
    data = report_as_data(loops)
    whole = data["all"]
    assert isinstance(whole, dict)
    assert whole["n"] == len(loops)
    assert whole["right"] + whole["half"] + whole["wrong"] == pytest.approx(1)
    for key in ("by fault", "by board"):
        groups = data[key]
        assert isinstance(groups, dict)
        assert sum(g["n"] for g in groups.values()) == len(loops)
    deciles = data["said and true"]
    assert isinstance(deciles, list)
    assert sum(d["n"] for d in deciles) == len(loops)
    assert json.loads(json.dumps(data)) == data
    assert max(map(len, report_text(loops).splitlines())) <= 80


@pytest.mark.slow
def test_most_faults_are_found_and_few_wrong_ones_told_with_conviction() -> None:
    """The bounds stand below what README says of 1,000 loops, by what chance does to 100."""
    loops = run_loops(100, seed=11)
    right = sum(x.verdict == "right" for x in loops) / len(loops)
    wrong = sum(x.verdict == "wrong" and x.is_convinced for x in loops) / len(loops)
    plain = sum(x.plain == "right" for x in loops) / len(loops)
    assert right >= 0.7
    assert right >= plain + 0.25
    assert wrong <= 0.08
    assert sum(x.measurements for x in loops) / len(loops) <= 7
