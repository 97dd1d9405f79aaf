"""What people say at a bench: each phrase weighs as what it says, or is refused with what can be said."""

from __future__ import annotations

import random
import shlex
from functools import cache

import pytest

from tracer.base.errors import UsageError
from tracer.cli import suspect
from tracer.cli.main import build_parser
from tracer.importers import parse_netlist, read_netlist
from tracer.levels.legs import read_legs
from tracer.netlist.board import Evidence
from tracer.netlist.join import join_boards, parse_join
from tracer.suspects.evidence import observations_of, observations_told
from tracer.suspects.observation import ANSWERS, Observation
from tracer.suspects.priors import load_priors
from tracer.suspects.reasoning import Reasoning
from tracer.suspects.screen import said_of_screen
from tracer.suspects.text import tell_text
from tracer.tracing.pipeline import trace_fully

COLOURS = ("red", "green", "blue")


@cache
def board(name: str = "dunlin") -> Reasoning:
    return Reasoning(trace_fully(read_netlist(f"netlists/{name}/{name}.net")), load_priors())


def told(kind: str, where: str, words: str = "", name: str = "dunlin") -> list[str]:
    """What is taken from a piece of evidence, short."""
    found = observations_told(board(name), kind, where, words)
    return [f"{' to '.join(o.where)} {'not ' if o.is_denied else ''}{o.word}".strip() for o in found]


def refused(kind: str, where: str, words: str = "") -> str:
    with pytest.raises(UsageError) as caught:
        observations_told(board(), kind, where, words)
    assert caught.value.fix
    return f"{caught.value.what}; {caught.value.fix}"


# -- the screen -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "taken"),
    [
        ("red missing", ["red missing"]),
        ("no red", ["red missing"]),
        ("no red and green", ["red missing", "green missing"]),
        ("missing red", ["red missing"]),
        ("weak red and green, blue ok", ["red weak", "green weak", "blue fine"]),
        ("red missing and green fine", ["red missing", "green fine"]),
        ("red missing, the rest fine", ["red missing", "green fine", "blue fine"]),
        ("red and green missing but blue fine", ["red missing", "green missing", "blue fine"]),
        ("no picture", ["red missing", "green missing", "blue missing"]),
        ("everything is fine", ["red fine", "green fine", "blue fine"]),
        ("red half as bright", ["red weak"]),
        ("red twice as bright", ["red too strong"]),
        ("red as it should be", ["red fine"]),
        ("red mixed with green", ["red mixed"]),
        ("red is not missing", ["red not missing"]),
        ("red isn't fine", ["red not fine"]),
        ("red isn\u2019t fine", ["red not fine"]),
        ("red no longer flickers", ["red not flickers"]),
        ("red weak, not missing", ["red weak", "red not missing"]),
        ("white as blue", ["white blue"]),
        ("white shows as light blue", ["white lightblue"]),
        ("white is not as blue", ["white not blue"]),
        ("white as #00ffff and yellow as lime", ["white #00ffff", "yellow lime"]),
        ("white is pink", ["white pink"]),
        ("red is black", ["red missing"]),
        ("red's gone", ["red missing"]),
        ("red stays on", ["red always on"]),
        ("red missing after 10 minutes", ["changes", "red missing"]),
        ("shapes are right, only the colours are off", ["right"]),
        ("blue instead of white", ["white blue"]),
        ("white should be blue", ["blue white"]),
        ("shapes right", ["right"]),
        ("the shapes are not right", ["broken"]),
        ("shapes not broken", ["right"]),
        ("only the colours are wrong", ["right"]),
        ("red flickers when warm", ["changes", "red flickers"]),
        ("red flickers since warm", ["changes", "red flickers"]),
        ("red flickers, warm or cold", ["red flickers", "not changes"]),
        ("red wrong in the sprites only", ["one", "red wrong"]),
        ("red wrong in all layers", ["not one", "red wrong"]),
        ("red flickers when U13 is pressed", ["U13 changes", "red flickers"]),
    ],
)  # fmt: skip
def test_the_screen_in_peoples_words(text: str, taken: list[str]) -> None:
    assert told("seen", "", text) == taken


@pytest.mark.parametrize(
    ("text", "instead"),
    [
        ("red banded", "coarse"),
        ("red stripes", "shapes broken"),
        ("left half of red missing", "whole screen alike"),
        ("the right half is missing", "whole screen alike"),
        ("red missing from the left on", "whole screen alike"),
        ("red inverted", "white as black"),
        ("red a negative", "white as black"),
        ("red wrong only in some colours", "white as blue"),
        ("red low", "missing, weak"),
        ("red off", "missing, weak"),
        ("red flickers when pressed", "--pressed U13=changes"),
        ("red flickers, not when warm", "warm or cold"),
        ("red weak and flickers", "tell one of them"),
        ("red missing, red fine", "two things of red"),
        ("red fine in the sprites", "background only"),
        ("yellow missing", "yellow"),
        ("red almost missing", "almost"),
        ("red sometimes missing", "sometimes"),
        ("red not", "deny"),
        ("not red", "red missing"),
        ("missing", "red missing"),
        ("half missing", "half"),
        ("white as purpel", "purple"),
        ("red as dark as night", "white as blue"),
        ("shapes missing", "shapes right"),
        ("mauve missing", "mauve"),
        ("", "white as blue"),
    ],
)
def test_what_cannot_be_weighed_is_refused_with_what_can(text: str, instead: str) -> None:
    assert instead in refused("seen", "", text)


def test_every_colour_at_once_on_the_command_line() -> None:
    assert told("seen", "all", "missing") == ["red missing", "green missing", "blue missing"]
    assert told("seen", "red,green", "weak") == ["red weak", "green weak"]
    assert told("seen", "red and green", "weak") == ["red weak", "green weak"]
    assert told("seen", "RED", "Missing") == ["red missing"]


def test_right_shapes_speak_for_the_path_and_broken_ones_against() -> None:
    def outside(word: str) -> float:
        found = Reasoning(board().traced, load_priors())
        found.observe(Observation("shapes", (), word))
        return sum(p for (what, _), p in found.by_group().items() if what == "outside")

    before = sum(p for (what, _), p in board().by_group().items() if what == "outside")
    assert outside("right") < before < outside("broken")


@pytest.mark.parametrize(
    ("said", "denied"),
    [("red=missing", "red=not missing"), ("all=wrong in the sprites", "all=wrong in all layers")],
)
def test_to_deny_is_the_opposite_of_to_say(said: str, denied: str) -> None:
    for one, other in zip(
        observations_told(board(), "seen", *said.split("=")),
        observations_told(board(), "seen", *denied.split("=")),
        strict=True,
    ):
        if one.is_denied != other.is_denied:
            for i in (0, 99, len(board().faults) - 1):
                together = board().likelihood(i, one) + board().likelihood(i, other)
                assert together == pytest.approx(1.0)


# -- the probe ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("where", "words", "taken"),
    [
        ("u13.19", "LOW", "U13 to 19 low"),
        ("low", "U13.19", "U13 to 19 low"),
        ("U13.19", "low and high", "U13 to 19 pulsing"),
        ("U13.19", "pulses between low and high", "U13 to 19 pulsing"),
        ("U13.19", "pulses with the picture", "U13 to 19 pulsing"),
        ("U13.19", "between 0.2 and 3.5 V", "U13 to 19 pulsing"),
        ("U13.19", "0.2 V to 3.5 V", "U13 to 19 pulsing"),
        ("U13.19", "not pulsing", "U13 to 19 not pulsing"),
        ("U13.19", "no activity", "U13 to 19 not pulsing"),
        ("U13.19", "still", "U13 to 19 not pulsing"),
        ("U13.19", "still low", "U13 to 19 low"),
        ("U13.19", "still pulsing", "U13 to 19 pulsing"),
        ("U13.19", "not open", "U13 to 19 not floating"),
        ("U13.19", "neither low nor high", "U13 to 19 between"),
        ("U13.19", "3V3", "U13 to 19 high"),
        ("U13.19", "200 mV", "U13 to 19 low"),
        ("U13.11", "clock", "U13 to 11 pulsing"),
        # TI SN7400, recommended operating conditions: 4.75 to 5.25 V.
        ("U13.20", "5 V", "U13 to 20 high"),
        ("U13.20", "4.8 V", "U13 to 20 high"),
        ("U13.20", "4.6 V", "U13 to 20 between"),
        ("U13.20", "0.1 V", "U13 to 20 low"),
        ("U13.10", "0.02 V", "U13 to 10 low"),
        ("U13.10", "0.5 V", "U13 to 10 between"),
        ("J1.12", "moving", "J1 to 12 pulsing"),
        ("J1.12", "still", "J1 to 12 not pulsing"),
        ("J1.12", "0 V", "J1 to 12 low"),
    ],
)
def test_readings(where: str, words: str, taken: str) -> None:
    assert told("read", where, words) == [taken]


@pytest.mark.parametrize(
    ("where", "words", "instead"),
    [
        ("U13.19", "12 V", "check the supply"),
        ("U13.19", "-5 V", "check the supply"),
        ("U13.20", "5.6 V", "damages"),
        ("J1.12", "12 V", "check the supply"),
        ("U13.19", "active low", "two things"),
        ("U13.19", "0.2 V high", "high and low"),
        ("U13.19", "low or high", "'or'"),
        ("U13.19", "2.5", "volts: 0.2 V"),
        ("R1.1", "low", "--ohms 'R1=open'"),
        ("U13.99", "low", "the legs of U13"),
        ("U13", "low", "U4.11"),
    ],
)
def test_readings_that_are_questioned(where: str, words: str, instead: str) -> None:
    assert instead in refused("read", where, words)


def test_a_questioned_voltage_comes_with_the_caution() -> None:
    assert "the board is live, one hand" in refused("read", "U13.19", "12 V")


def test_what_can_be_told_of_a_transistor_is_said() -> None:
    """Nothing weighs a reading at its legs; its junctions can be measured."""
    plover = board("plover")
    transistor = next(f.part for f in plover.faults if f.what == "transistor")
    with pytest.raises(UsageError) as caught:
        observations_told(plover, "read", f"{transistor}.1", "low")
    assert f"--ohms '{transistor}=open'" in str(caught.value.fix)


@pytest.mark.parametrize("name", ["wren", "dunlin", "plover"])
def test_every_leg_at_which_a_reading_weighs_can_be_told(name: str) -> None:
    found = board(name)
    weighing = {leg for leg in found.likely._read if found.likely._read[leg]}
    assert weighing <= set(found.likely.readable)
    for leg in weighing:
        assert told("read", ".".join(leg).lower(), "HIGH", name) == [f"{leg[0]} to {leg[1]} high"]


def test_every_leg_that_the_levels_list_can_be_told() -> None:
    """Avocet has memories that take turns: a reading at each of them is taken."""
    halves = {n: read_netlist(f"netlists/avocet/{n}.net") for n in ("avocet-main", "avocet-video")}
    traced = trace_fully(join_boards(halves, [parse_join("avocet-main:J3=avocet-video:J1")]))
    found = Reasoning(traced, load_priors())
    legs = [(leg.part, leg.pin) for leg in read_legs(traced)]
    for leg in legs:
        assert observations_told(found, "read", ".".join(leg), "low") == [Observation("read", leg, "low")]


# -- ohms, beeps, pressing, swaps -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("kind", "where", "words", "taken"),
    [
        ("ohms", "R1", "220", "R1 as it should be"),
        ("ohms", "r1", "1k2", "R1 wrong value"),
        ("ohms", "R1", "0.5 ohm", "R1 short"),
        ("ohms", "R1", "10M", "R1 open"),
        ("ohms", "R1", "not open", "R1 not open"),
        ("ohms", "open", "R1", "R1 open"),
        ("ohms", "U9.17 to U13.18", "short", "U9.17 to U13.18 short"),
        ("ohms", "U13.18 to U9.17", "open to ground", "U9.17 to U13.18 as it should be"),
        ("ohms", "U9.17 to U13.18", "20k to ground", "U9.17 to U13.18 as it should be"),
        ("ohms", "U9.17 to U13.18", "0.2 to ground", "U9.17 to U13.18 short"),
        ("ohms", "U9.17 to U13.18", "0.3", "U9.17 to U13.18 beep"),
        ("ohms", "U9.17", "short to ground", "U9.17 to U13.18 short"),
        ("ohms", "J1.12 to ground", "75", "J1.12 to ground as it should be"),
        ("beep", "u13.18 - u9.17", "no", "U9.17 to U13.18 no beep"),
        ("beep", "U9.17 to U13.18", "does not beep", "U9.17 to U13.18 no beep"),
        ("beep", "U9.17 to U13.18", "0.3 ohm", "U9.17 to U13.18 beep"),
        ("beep", "none", "U9.17 to U13.18", "U9.17 to U13.18 no beep"),
        ("pressed", "u13", "nothing changes", "U13 no change"),
        ("pressed", "U13", "not changed", "U13 no change"),
        ("swapped", "U9", "not cured", "U9 no change"),
        ("swapped", "U9", "didn't help", "U9 no change"),
        ("swapped", "U9", "no effect", "U9 no change"),
        ("swapped", "U9", "no better", "U9 no change"),
        ("swapped", "cured", "u9", "U9 cured"),
    ],
)  # fmt: skip
def test_other_measurements(kind: str, where: str, words: str, taken: str) -> None:
    assert told(kind, where, words) == [taken]


# -- what is proposed can be answered -------------------------------------------------------------


def typed(found: Reasoning, options: str) -> list[Observation]:
    """What the command makes of options that it proposed."""
    args = build_parser().parse_args(["suspect", "board.net", *shlex.split(options)])
    return [o for told_so in suspect._told(args) for o in observations_told(found, *told_so)]


@pytest.mark.parametrize("name", ["wren", "dunlin", pytest.param("plover", marks=pytest.mark.slow)])
def test_every_proposal_can_be_answered_as_it_says(name: str) -> None:
    """Along random runs: each of the ten best measurements, each of its answers, through the text that tells it."""
    found = Reasoning(board(name).traced, load_priors())
    rng = random.Random(7)
    played: set[tuple[str, ...]] = set()
    for _ in range(3):
        found.begin_anew()
        for _ in range(4):
            steps = found.best_next(10)
            for step in steps:
                for answer in ANSWERS[step.kind]:
                    again = typed(found, tell_text(step.kind, step.where, answer))
                    assert again == [Observation(step.kind, step.where, answer)]
                    played.add(step.where)
            step = rng.choice(steps)
            found.observe(Observation(step.kind, step.where, rng.choice(ANSWERS[step.kind])))
    assert len(played) > 10


@pytest.mark.parametrize("name", ["wren", "dunlin", pytest.param("plover", marks=pytest.mark.slow)])
def test_every_measurement_there_is_can_be_told(name: str) -> None:
    found = board(name)
    for step in found.candidates():
        for answer in ANSWERS[step.kind]:
            again = typed(found, tell_text(step.kind, step.where, answer))
            assert again == [Observation(step.kind, step.where, answer)]


# -- notes ----------------------------------------------------------------------------------------


def test_notes_say_it_in_the_same_words() -> None:
    notes = parse_netlist(
        "seen white as #0000ff  # at the title\nseen shapes right\nread U13.19 12 V\nread u13.19 not pulsing\n"
        "swapped U9, didn't help\nmeasured U9.17 to U13.18 open\nmeasured R1.1 to R1.2 220 ohm\nmeasured U13.19 to ground, 0.3 ohm\nseen red banded\n",
        format_name="bench-notes",
        file="b.notes",
    ).notes
    found, unused = observations_of(board(), notes.evidence)
    assert found == [
        Observation("appears", ("white",), "#0000ff"),
        Observation("shapes", (), "right"),
        Observation("read", ("U13", "19"), "pulsing", is_denied=True),
        Observation("swapped", ("U9",), "no change"),
        Observation("beep", ("U9.17", "U13.18"), "no beep"),
        Observation("ohms", ("R1",), "as it should be"),
        Observation("ohms", ("U13.19", "R1"), "short"),
    ]
    assert [f.code for f in unused] == ["evidence-unused"] * 2
    assert "check the supply" in unused[0].text
    assert "coarse" in unused[1].text


def test_evidence_about_another_path_is_said() -> None:
    found, unused = observations_of(board(), (Evidence("read", ("U1.1",), "low"),))
    assert found == []
    assert "no leg of the colour path" in unused[0].text


def test_without_a_board_the_text_alone_is_read() -> None:
    assert [o.word for o in said_of_screen("all fine", COLOURS)] == ["fine"] * 3
