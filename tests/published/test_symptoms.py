"""What the picture shows under a fault: rules that follow from the circuit.

S1 to S23 are consequences of Millman's theorem, superposition and the model of Ebers and Moll (``test_levels.py``), worded
as common practice has them; none has a source of its own. The computation must come out with each. F5: the number of
distinct colours. Bayes' rule is checked against pyAgrum (PyPI), a library for Bayesian networks.
"""

from __future__ import annotations

import pytest

from tests.stage_boards import PULLED_DOWN, stage_board, traced_stage, weighted
from tests.unit.levels.test_codes import FOLLOWER
from tracer.importers import read_netlist
from tracer.suspects.fault import Fault
from tracer.suspects.likelihood import CARES
from tracer.suspects.listing import list_faults
from tracer.suspects.observation import Observation
from tracer.suspects.picture import HEALTHY, picture_of
from tracer.suspects.priors import load_priors
from tracer.suspects.reasoning import Reasoning
from tracer.suspects.text import fault_text
from tracer.suspects.words import n_levels, words_of
from tracer.tracing.pipeline import Traced, trace_fully

PRIORS = load_priors()


class Board:
    """A board, its faults by name, and what they show."""

    def __init__(self, traced: Traced, load: float | None = 75.0) -> None:
        self.picture = picture_of(traced, load)
        self.faults = {fault_text(f): f for f in list_faults(traced, PRIORS)}

    def fault(self, *words: str) -> Fault:
        found = [f for text, f in self.faults.items() if all(w in text for w in words)]
        assert len(found) == 1, [fault_text(f) for f in found]
        return found[0]

    def volts(self, fault: Fault | None, colour: str = "red") -> tuple[float, ...]:
        return self.picture.shown(fault.effect if fault else HEALTHY).volts[colour]

    def words(self, fault: Fault) -> dict[str, str]:
        return words_of(self.picture.shown(fault.effect), self.picture.healthy)


@pytest.fixture(scope="module")
def three() -> Board:
    return Board(traced_stage(weighted(1000, 470, 220), 3))


@pytest.fixture(scope="module")
def dunlin() -> Board:
    return Board(trace_fully(read_netlist("netlists/dunlin/dunlin.net")))


def test_s1_stuck_low_halves_the_levels_and_takes_the_bright_ones(three: Board) -> None:
    whole, faulty = three.volts(None), three.volts(three.fault("U9.6", "stuck low"))
    assert (n_levels(whole), n_levels(faulty)) == (8, 4)
    assert max(faulty) < 0.5 * max(whole)
    assert all(f <= w + 1e-9 for f, w in zip(faulty, whole, strict=True))
    assert min(faulty) == min(whole), "dark areas are right"


def test_s2_stuck_high_lifts_black_and_leaves_full_right(three: Board) -> None:
    whole, faulty = three.volts(None), three.volts(three.fault("U9.6", "stuck high"))
    assert n_levels(faulty) == 4
    assert min(faulty) > 0.4 * max(whole)
    assert max(faulty) == max(whole)


def test_s3_an_open_resistor_leaves_the_rest_brighter_than_a_stuck_bit(three: Board) -> None:
    opened = three.volts(three.fault("R2 (220R) open"))
    stuck = three.volts(three.fault("U9.6", "stuck low"))
    assert n_levels(opened) == 4
    assert max(opened) > 1.1 * max(stuck)


def test_s3_without_a_load_the_others_still_reach_the_top() -> None:
    board = Board(traced_stage(weighted(1000, 470, 220), 3), None)
    assert max(board.volts(board.fault("R2 (220R) open"))) == pytest.approx(max(board.volts(None)), abs=1e-3)


def test_s7_a_latch_without_its_clock_shows_one_flat_tint(dunlin: Board) -> None:
    fault = dunlin.fault("U13 is not clocked", "low")
    assert {n_levels(dunlin.volts(fault, c)) for c in ("red", "green")} == {1}
    assert dunlin.volts(fault, "blue") == dunlin.volts(None, "blue"), "other latches still picture"


def test_s7_the_pixel_clock_dead_stops_every_colour(dunlin: Board) -> None:
    fault = dunlin.fault("U21.5", "PIXCLK", "dead, all outputs high")
    assert set(dunlin.words(fault).values()) == {"always on"}


def test_s25_blanking_stuck_active_is_a_black_screen(dunlin: Board) -> None:
    fault = dunlin.fault("U22.8", "BLANK")
    assert dunlin.words(fault) == {"red": "missing", "green": "missing", "blue": "missing"}
    assert fault.part == "U22"


def test_s8_a_latch_held_cleared_is_black_on_its_colours(dunlin: Board) -> None:
    assert dunlin.words(dunlin.fault("U13 is held cleared")) == {
        "red": "missing",
        "green": "missing",
        "blue": "fine",
    }


def test_s9_a_latch_not_enabled_leaves_nothing_with_a_load() -> None:
    board = Board(traced_stage(weighted(1000, 470), 2, "74LS374"))
    assert max(board.volts(board.fault("U9 is not enabled"))) == pytest.approx(0.0, abs=1e-6)


def test_s10_a_memory_out_of_its_socket_lights_its_colours(dunlin: Board) -> None:
    words = dunlin.words(dunlin.fault("U9 has no contact in its socket"))
    assert words == {"red": "always on", "green": "always on", "blue": "fine"}


def test_s10_one_memory_for_all_three_colours_makes_a_white_screen() -> None:
    board = Board(traced_stage(weighted(1000, 470, 220), 3))
    fault = board.fault("U4 has no contact in its socket")
    shown, healthy = board.picture.shown(fault.effect), board.picture.healthy
    for colour in ("red", "green", "blue"):
        assert set(shown.volts[colour]) == {max(healthy.volts[colour])}


def test_s10_cmos_behind_it_is_unsteady() -> None:
    board = Board(traced_stage(weighted(1000, 470), 2, "74HC273"))
    fault = board.fault("U4 has no contact in its socket")
    assert "red" in board.picture.shown(fault.effect).unsteady


def test_s12_a_memory_with_other_words_has_the_wrong_colours_everywhere(dunlin: Board) -> None:
    words = dunlin.words(dunlin.fault("U9 holds other words"))
    assert words == {"red": "wrong", "green": "wrong", "blue": "fine"}


def test_s13_an_address_line_stuck_shows_one_entry_for_both(dunlin: Board) -> None:
    """Entries that differ in that line only are alike; the others stand as they were."""
    fault = dunlin.fault("U9.8 A0 inside it stuck low")
    elements = dunlin.picture.sample.elements
    now, was = dunlin.volts(fault), dunlin.volts(None)
    at = {index: i for i, index in enumerate(elements)}
    for index, i in at.items():
        if index & 1 == 0:
            assert now[i] == was[i]
        elif index - 1 in at:
            assert now[i] == was[at[index - 1]]
    assert n_levels(now) <= n_levels(was)


def test_s17_a_colour_shorted_to_ground_is_missing_alone(dunlin: Board) -> None:
    assert dunlin.words(dunlin.fault("green shorted to ground")) == {
        "red": "fine",
        "green": "missing",
        "blue": "fine",
    }


def test_s18_two_colours_shorted_move_together(dunlin: Board) -> None:
    fault = dunlin.fault("red and green shorted together")
    assert dunlin.volts(fault, "red") == dunlin.volts(fault, "green")
    assert dunlin.words(fault)["blue"] == "fine"


def test_s19_a_follower_that_is_open_leaves_its_colour_dark() -> None:
    board = Board(trace_fully(stage_board(FOLLOWER, 2)), None)
    assert board.words(board.fault("Q1 open"))["red"] == "missing"


def test_s20_collector_emitter_shorted_is_full_on_and_flat() -> None:
    board = Board(trace_fully(stage_board(FOLLOWER, 2)), 1000.0)
    volts = board.volts(board.fault("Q1 collector-emitter short"))
    assert n_levels(volts) <= 2
    assert min(volts) > 4.5


def test_s21_base_emitter_shorted_loses_the_drop_and_loads_the_network() -> None:
    board = Board(trace_fully(stage_board(FOLLOWER, 2)), 1000.0)
    healthy, faulty = board.volts(None), board.volts(board.fault("Q1 base-emitter short"))
    assert n_levels(faulty) == 4, "dark steps that were cut off are seen"
    assert max(faulty) != pytest.approx(max(healthy), abs=0.05)


def test_s22_collector_base_shorted_is_a_diode_from_the_supply() -> None:
    board = Board(trace_fully(stage_board(FOLLOWER, 2)), 1000.0)
    assert board.volts(board.fault("Q1 collector-base short"))[0] == pytest.approx(5 - 0.75, abs=0.15)


def test_s15_two_address_lines_shorted_show_the_lowest_of_the_four(dunlin: Board) -> None:
    fault = dunlin.fault("U9.8 A0 and U9.7 A1 shorted")
    now, was = dunlin.volts(fault), dunlin.volts(None)
    at = {index: i for i, index in enumerate(dunlin.picture.sample.elements)}
    for index, i in at.items():
        if index & 3 in (0, 3):
            assert now[i] == was[i]
        elif index & ~3 in at:
            assert now[i] == was[at[index & ~3]]


def test_s16_two_data_lines_shorted_move_together(dunlin: Board) -> None:
    """U9's D3 is the heaviest of green, D4 the lightest of red: bits that differ both read low."""
    fault = dunlin.fault("U9.13 D3 and U9.14 D4 shorted")
    assert set(fault.effect.tied) == {("green", 3), ("red", 0)}
    now, was = dunlin.volts(fault, "green"), dunlin.volts(None, "green")
    assert all(n <= w + 1e-9 for n, w in zip(now, was, strict=True))
    assert now != was


def test_s23_the_common_of_a_pack_open_lets_the_lines_leak() -> None:
    """Lines of a pull-down pack: with its common open a dark line takes a share of the others."""
    board = Board(trace_fully(stage_board(PULLED_DOWN, 2)), None)
    fault = board.fault("common leg of RN1 open")
    assert max(board.volts(fault)) > max(board.volts(None)) + 0.3, "the pull-down is gone"


def test_a_write_path_held_on_makes_the_memorys_colours_unsteady(dunlin: Board) -> None:
    fault = dunlin.fault("U7 is held on and fights U9")
    assert dunlin.picture.shown(fault.effect).unsteady == {"red", "green"}


def test_what_identifies_a_chip_is_which_bits_fail_together(dunlin: Board) -> None:
    """S7 to S9 hit all bits of a latch, S10 and S12 all of a memory, S1 to S3 one."""

    def hit(text: str) -> set[str]:
        return {f"{c}{b}" for c, b in dunlin.fault(text).effect.hits}

    assert len(hit("U13 is held cleared")) == 8
    assert len(hit("U9 dead, all its outputs low")) == 8
    assert len(hit("U13.19 8Q stuck low")) == 1


def test_posteriors_equal_those_of_a_library_for_bayesian_networks() -> None:
    """pyAgrum, lazy propagation on the network fault -> each piece of evidence."""
    gum = pytest.importorskip("pyagrum", reason="PyPI pyagrum is not installed")
    traced = traced_stage(weighted(1000, 470), 2)
    ours = Reasoning(traced, PRIORS)
    evidence = [
        Observation("seen", ("red",), "weak"),
        Observation("read", ("U9", "5"), "low"),
        Observation("read", ("U9", "4"), "pulsing"),
        Observation("press", ("U9",), "no change"),
        Observation("ohms", ("R1",), "as it should be"),
    ]
    net = gum.BayesNet("board")
    n = len(ours.faults)
    fault = net.add(gum.LabelizedVariable("fault", "fault", n))
    net.cpt(fault).fillWith([f.prior for f in ours.faults])
    care = net.add(gum.LabelizedVariable("care", "care", len(CARES)))
    careless = PRIORS("careless", "person")
    net.cpt(care).fillWith([1 - careless, careless])
    for k, observation in enumerate(evidence):
        node = net.add(gum.LabelizedVariable(f"e{k}", f"e{k}", 2))
        net.addArc(fault, node)
        net.addArc(care, node)
        for i in range(n):
            for c, each in enumerate(CARES):
                p = ours.likelihood(i, observation, each)
                net.cpt(node)[{"fault": i, "care": c}] = [1 - p, p]
    inference = gum.LazyPropagation(net)
    inference.setEvidence({f"e{k}": 1 for k in range(len(evidence))})
    inference.makeInference()
    for observation in evidence:
        ours.observe(observation)
    assert ours.posterior == pytest.approx(inference.posterior("fault").tolist(), abs=1e-9)
