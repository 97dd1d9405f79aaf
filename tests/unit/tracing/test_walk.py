"""The walk back from an output: how far it goes, which ways it counts, and what it says of each."""

from __future__ import annotations

import pytest

from tests.boards import board
from tracer.bitmap.model import Bit, BitMap
from tracer.tracing.pipeline import trace
from tracer.tracing.walk import LONGEST_WAY, MOST_PATHS

#: One resistor a colour; red comes from what a test adds, green and blue from a memory of their own.
COLOURS = """
part J1 RGB symbol=Conn_01x06 1=RED 2=GREEN 3=BLUE
part R1 470
part R2 470
part R3 470
part U90 27C256
R1.2 J1.1
R2.2 J1.2
R3.2 J1.3
U90.11 R2.1
U90.12 R3.1
GND: U90.14 J1.4
VCC: U90.28
"""


def traced(text: str) -> BitMap:
    return trace(board(COLOURS + text))


def red(text: str) -> Bit:
    """The one bit of red."""
    return next(c for c in traced(text).colours if c.name == "red").bits[0]


def sources(bit: Bit) -> list[str]:
    return [f"{path.source.part}.{path.source.pin}" for path in bit.paths]


def codes(text: str) -> list[str]:
    return [finding.code for finding in traced(text).findings]


# -- how far ----------------------------------------------------------------------------------------


def row_of_registers(count: int) -> str:
    lines = [f"part U{i} 74LS374" for i in range(1, count + 1)] + ["U1.2 R1.1"]
    lines += [f"U{i}.3 U{i + 1}.2" for i in range(1, count)]
    return "\n".join([*lines, f"U{count}.3 U90.13"])


def test_a_row_of_as_many_registers_as_a_way_may_be_long_is_followed_to_its_memory() -> None:
    bit = red(row_of_registers(LONGEST_WAY + 1))
    assert sources(bit) == ["U90.13"]
    assert bit.is_traced


def test_a_longer_row_stops_and_says_how_long_it_is() -> None:
    bit = red(row_of_registers(LONGEST_WAY + 2))
    assert not bit.is_traced
    assert f"more than {LONGEST_WAY} parts long at U{LONGEST_WAY + 2}.2" in (bit.because or "")


def row_of_resistors(count: int) -> str:
    lines = ["part U1 74LS374", "U1.2 R1.1", "U1.3 R11.1"]
    lines += [f"part R{10 + i} 22" for i in range(1, count + 1)]
    lines += [f"R{10 + i}.2 R{11 + i}.1" for i in range(1, count)]
    return "\n".join([*lines, f"R{10 + count}.2 U90.13"])


def test_resistors_in_a_row_count_as_parts_of_the_way() -> None:
    assert sources(red(row_of_resistors(LONGEST_WAY))) == ["U90.13"]
    assert "parts long" in (red(row_of_resistors(LONGEST_WAY + 1)).because or "")


def test_thousands_of_resistors_in_a_row_are_no_deeper_than_the_limit() -> None:
    assert "parts long" in (red(row_of_resistors(2000)).because or "")


def tree_of_multiplexers(branches: int) -> str:
    """Some legs of a multiplexer, each from another one of eight, each leg of those one of two: 16 ways a leg."""
    lines = ["part U1 74LS151", "U1.5 R1.1"]
    inputs = (4, 3, 2, 1, 15, 14, 13, 12)
    pairs = ((2, 3, 4), (5, 6, 7), (11, 10, 9), (14, 13, 12))
    leaf = 0
    for a, leg in enumerate(inputs[:branches]):
        lines += [f"part U{10 + a} 74LS151", f"U1.{leg} U{10 + a}.5"]
        for b, under in enumerate(inputs):
            chip, section = divmod(8 * a + b, 4)
            if section == 0:
                lines.append(f"part U{100 + chip} 74LS157")
            first, second, out = pairs[section]
            lines.append(f"U{10 + a}.{under} U{100 + chip}.{out}")
            for pin in (first, second):
                memory, data = divmod(leaf, 8)
                if data == 0:
                    lines.append(f"part U{200 + memory} 27C256")
                lines.append(f"U{100 + chip}.{pin} U{200 + memory}.{(11, 12, 13, 15, 16, 17, 18, 19)[data]}")
                leaf += 1
    return "\n".join(lines)


def test_that_there_are_more_ways_than_are_kept_is_said() -> None:
    text = tree_of_multiplexers(8)
    assert len(red(text).paths) == MOST_PATHS
    assert any(f"more ways back than these; the first {MOST_PATHS}" in f.text for f in traced(text).findings)


def test_as_many_ways_as_are_kept_leave_nothing_to_say() -> None:
    text = tree_of_multiplexers(MOST_PATHS // 16)
    assert len(red(text).paths) == MOST_PATHS
    assert "several-drivers" not in codes(text)


# -- which ways -------------------------------------------------------------------------------------

SHIFTED = "part U1 74LS166\npart U2 27C256\nU1.13 R1.1\nU1.14 U2.11\nU1.12 U2.12\n"


def test_every_parallel_input_of_a_shift_register_shows_in_turn() -> None:
    assert sorted(sources(red(SHIFTED))) == ["U2.11", "U2.12"]


def test_the_serial_input_of_a_shift_register_counts_only_where_a_memory_feeds_it() -> None:
    assert sorted(sources(red(SHIFTED + "U1.1 U2.13"))) == ["U2.11", "U2.12", "U2.13"]
    logic = "part U3 74LS161\nU1.1 U3.14"
    assert sorted(sources(red(SHIFTED + logic))) == ["U2.11", "U2.12"]


CHOSEN = "part U1 74LS157\nU1.4 R1.1\nU1.2 U90.13\npart C1 100n\n"


def test_a_leg_of_a_multiplexer_that_leads_to_nothing_is_left_out_and_said() -> None:
    text = CHOSEN + "U1.3 C1.1\nGND: C1.2"
    assert sources(red(text)) == ["U90.13"]
    assert [(path.role, path.when) for path in red(text).paths] == [("picture", ())]
    assert codes(text).count("unused-leg") == 1


def test_the_only_leg_of_a_multiplexer_is_never_left_out() -> None:
    text = "part U1 74LS157\npart C1 100n\nU1.4 R1.1\nU1.2 C1.1\nGND: C1.2\n"
    assert "unused-leg" not in codes(text)
    assert not red(text).is_traced


# -- what is said of each ---------------------------------------------------------------------------


def test_a_switch_in_the_way_is_taken_as_closed_and_said() -> None:
    behind = "part U1 74LS374\nU1.2 R1.1\n{part}\nU1.3 {a}\n{b} U90.13"
    switch = behind.format(part="part SW1 SW_SPST symbol=SW_SPST", a="SW1.1", b="SW1.2")
    resistor = behind.format(part="part R9 22", a="R9.1", b="R9.2")
    trimmer = behind.format(part="part RV1 100 symbol=R_Potentiometer_Trim", a="RV1.1", b="RV1.2")
    assert sources(red(switch)) == sources(red(resistor)) == sources(red(trimmer)) == ["U90.13"]
    assert "switch-assumed" in codes(switch)
    assert "switch-assumed" not in [*codes(resistor), *codes(trimmer)]


def test_a_chip_that_must_drive_though_it_is_drawn_with_inputs_is_said() -> None:
    """Nothing else stands on the net of a register's input: the drawing has the leg's type wrong."""
    text = "part U1 74LS374\npart U7 CUSTOM-1 1=A:input\nU1.2 R1.1\nU1.3 U7.1"
    assert sources(red(text)) == ["U7.1"]
    assert codes(text).count("drawn-as-input") == 1


@pytest.mark.parametrize(("out", "supply", "turned"), [("3", "1", True), ("1", "3", False)])
def test_a_transistor_turns_a_bit_over_at_its_collector_and_not_at_its_emitter(
    out: str, supply: str, turned: bool
) -> None:
    text = f"part U1 74LS374\npart Q1 2N3904\nU1.2 R1.1\nU1.3 Q1.{out}\nQ1.2 U90.13\nX: Q1.{supply}"
    bit = red(text)
    assert sources(bit) == ["U90.13"]
    assert bit.paths[0].inverts is turned


def test_a_transistor_without_a_base_leg_ends_the_way() -> None:
    """The transistor of an optocoupler, drawn apart: light is its base."""
    text = (
        "part U1 74LS374\npart Q1 PHOTO symbol=Q_Photo_NPN 1=C 2=E\nU1.2 R1.1\nU1.3 Q1.{leg}\nX: Q1.{other}"
    )
    for leg, other in (("1", "2"), ("2", "1")):
        bit = red(text.format(leg=leg, other=other))
        assert not bit.is_traced
        assert "has no driver" in (bit.because or "")


def test_a_write_path_does_not_wait_for_the_register_that_shows_its_memory() -> None:
    """A register and a buffer take turns on a net; behind the register stands a RAM with a buffer that writes it."""
    bit = red(
        "part U1 74LS374\npart U2 74LS374\npart U3 6264\npart U4 74LS244\npart U5 74LS161\n"
        "U1.2 R1.1\nU1.3 U2.2 U4.16\nU2.3 U3.11 U4.18\nU4.2 U5.14\nU4.4 U5.13"
    )
    assert {(path.source.pin, path.role, tuple(w.pin for w in path.when)) for path in bit.paths} == {
        ("11", "picture", ("1",)),
        ("14", "write path", ()),
        ("13", "alternative", ("1",)),
    }


# -- levels that are tied ---------------------------------------------------------------------------

SELECTED = "part U1 74LS157\nU1.4 R1.1\nU1.2 U90.13\nU1.3 U90.15\n"


@pytest.mark.parametrize(("rail", "source"), [("GND", "U90.13"), ("VCC", "U90.15")])
def test_a_multiplexer_whose_select_is_tied_passes_one_leg_only(rail: str, source: str) -> None:
    bit = red(f"{SELECTED}{rail}: U1.1")
    assert sources(bit) == [source]
    assert [path.role for path in bit.paths] == ["picture"]


def test_legs_of_a_free_select_are_alternatives_each_with_its_level() -> None:
    bit = red(SELECTED)
    assert [path.role for path in bit.paths] == ["alternative", "alternative"]
    assert {(path.source.pin, path.when[0].level) for path in bit.paths} == {("13", 0), ("15", 1)}


def test_a_register_that_chooses_between_two_inputs_has_alternatives() -> None:
    """74LS298: its word select takes the first word when it is low."""
    bit = red("part U1 74LS298\nU1.15 R1.1\nU1.3 U90.13\nU1.2 U90.15")
    assert {(path.source.pin, path.role, path.when[0].level) for path in bit.paths} == {
        ("13", "alternative", 0),
        ("15", "alternative", 1),
    }


def test_a_multiplexer_shut_for_good_is_still_followed() -> None:
    """A tied enable that shuts all its ways is a drawing's slip or a fault: what it would pass is still of use."""
    assert "U90.13" in sources(red(SELECTED + "VCC: U1.15\nGND: U1.1"))


@pytest.mark.parametrize(("rail", "word"), [("GND", "low"), ("VCC", "high")])
def test_a_register_whose_input_is_tied_says_to_which_level(rail: str, word: str) -> None:
    bit = red(f"part U1 74LS374\nU1.2 R1.1\n{rail}: U1.3")
    assert not bit.is_traced
    assert f"tied {word}" in (bit.because or "")


@pytest.mark.parametrize(("near", "far", "towards"), [("18", "2", "VCC"), ("2", "18", "GND")])
@pytest.mark.parametrize("rail", ["VCC", "GND"])
def test_a_transceiver_drives_the_way_that_its_direction_is_tied_to(
    near: str, far: str, towards: str, rail: str
) -> None:
    """74LS245: DIR high drives from A to B. Where it points away from the net, only the register there drives."""
    text = (
        "part U1 74LS374\npart U2 74LS245\npart U3 74LS374\npart U91 27C256\n"
        f"U1.2 R1.1\nU1.3 U2.{near} U3.2\nU2.{far} U91.11\nU3.3 U90.13\n{rail}: U2.1\nGND: U2.19"
    )
    found = ["U90.13", "U91.11"] if rail == towards else ["U90.13"]
    assert sorted(sources(red(text))) == found


# -- rings and shapes -------------------------------------------------------------------------------


def test_registers_in_a_ring_end_with_a_sentence() -> None:
    bit = red("part U1 74LS374\nU1.2 R1.1 U1.4\nU1.3 U1.5")
    assert not bit.is_traced
    assert "circle" in (bit.because or "")


def test_a_shift_register_fed_by_logic_alone_is_followed_to_it() -> None:
    bit = red("part U1 74LS166\npart U3 74LS161\nU1.13 R1.1\nU1.1 U3.14")
    assert sources(bit) == ["U3.14"]
    assert not bit.is_traced


def test_a_buffer_is_called_an_inverter_only_where_it_turns_the_bit_over() -> None:
    plain = red("part U1 74LS244\nU1.18 R1.1\nU1.2 U90.13").paths[0]
    turned = red("part U1 74LS240\nU1.18 R1.1\nU1.2 U90.13").paths[0]
    assert [(s.how, s.inverts) for s in plain.steps] == [("buffer", False)]
    assert [(s.how, s.inverts) for s in turned.steps] == [("inverter", True)]
    chosen = red("part U1 74LS158\nU1.4 R1.1\nU1.2 U90.13").paths[0]
    assert [(s.how, s.inverts) for s in chosen.steps] == [("multiplexer", True)]


def test_a_gate_with_one_live_input_has_no_gating_ones() -> None:
    one = red("part U1 74LS08\nU1.3 R1.1\nU1.1 U90.13\nVCC: U1.2").paths
    assert [p.source.pin for p in one] == ["13"]
    two = red("part U1 74LS08\npart U3 74LS161\nU1.3 R1.1\nU1.1 U90.13\nU1.2 U3.14").paths
    assert [p.source.pin for p in two] == ["13"]
    assert [len(p.steps[0].controls) for p in (*one, *two)] == [0, 1]


def row_of_buffers(first: int, count: int, out: str, source: str) -> str:
    """From a net over buffers in a row to what the last of them takes in."""
    lines = [f"part U{i} 74LS125" for i in range(first, first + count)]
    lines += [f"{out} U{first}.3"]
    lines += [f"U{i}.2 U{i + 1}.3" for i in range(first, first + count - 1)]
    return "\n".join([*lines, source.format(f"U{first + count - 1}.2")])


def test_of_two_inputs_of_a_gate_the_one_with_a_memory_far_behind_it_is_the_data() -> None:
    far = row_of_buffers(10, 10, "U1.1", "{} U90.13")
    bit = red(f"part U1 74LS08\npart U3 74LS161\nU1.3 R1.1\nU1.2 U3.14\n{far}")
    assert sources(bit) == ["U90.13"]


def test_a_level_that_comes_over_buffers_is_an_option_and_no_bit() -> None:
    option = row_of_buffers(10, 10, "U1.1", "VCC: {}")
    text = f"part U1 74LS08\npart U3 74LS161\nU1.3 R1.1\nU1.2 U3.14\n{option}"
    assert sources(red(text)) == ["U3.14"]
    assert "gate-undecided" not in codes(text)
