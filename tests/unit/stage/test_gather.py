"""What belongs to the output stage of a colour pin, and what ends it."""

from __future__ import annotations

import pytest

from tests.boards import board
from tracer.circuit.graph import build_circuit
from tracer.parts.library import load_library
from tracer.stage.gather import gather_stage
from tracer.stage.model import Stage
from tracer.stage.supplies import CROWDED_NET


def stage(text: str, start: str = "RED") -> Stage:
    return gather_stage(build_circuit(board("part J1 symbol=Conn_01x06\n" + text), load_library()), start)


def drivers(found: Stage) -> list[list[str]]:
    return [[str(pin) for pin in driver.pins] for driver in found.drivers]


def resistors(found: Stage) -> set[str]:
    return {r.part for r in found.network.resistors}


def codes(found: Stage) -> list[str]:
    return [finding.code for finding in found.findings]


#: Two bits of a latch on the pin.
TWO = "part U1 74LS374\npart R1 470\npart R2 1k\nRED: J1.1 R1.2 R2.2\nU1.2 R1.1\nU1.5 R2.1\n"


def test_each_resistor_ends_at_the_output_that_drives_it() -> None:
    found = stage(TWO)
    assert sorted(drivers(found)) == [["U1.2"], ["U1.5"]]
    assert resistors(found) == {"R1", "R2"}


def test_nothing_is_walked_through_an_output_that_holds_its_net() -> None:
    beyond = TWO.replace("U1.2 R1.1", "U1.2 R1.1 R9.1") + "part R9 100\npart U2 74LS374\nU2.2 R9.2"
    assert "R9" not in resistors(stage(beyond))


def test_an_open_collector_does_not_hold_its_net() -> None:
    text = "part U1 7407\npart R1 470\npart R2 1k\nRED: J1.1 R1.2\nX: U1.2 R1.1 R2.1\nVCC: R2.2"
    found = stage(text)
    assert found.drivers[0].open_collector
    assert resistors(found) == {"R1", "R2"}
    assert found.fixed == {"VCC": 5.0}


# -- nets that stand still --------------------------------------------------------------------------

PULLED = TWO + "part R3 220\nRED: R3.1\nHOLD: R3.2 C1.1\nGND: C1.2\n"


@pytest.mark.parametrize(("value", "supply"), [("100n", True), ("10u", True), ("100p", False), ("", False)])
def test_a_net_that_is_bypassed_to_ground_is_a_supply_and_is_said_to_be(value: str, supply: bool) -> None:
    text = PULLED.replace("RED: J1.1 R1.2 R2.2\n", "").replace("RED: R3.1", "RED: J1.1 R1.2 R2.2 R3.1")
    found = stage(f"part C1 {value} symbol=C 1= 2=\n{text}")
    assert found.fixed.get("HOLD") == (5.0 if supply else None)
    assert ("guessed-supply" in codes(found)) is supply


@pytest.mark.parametrize(("pins", "supply"), [(CROWDED_NET, False), (CROWDED_NET + 1, True)])
def test_a_net_of_many_pins_that_no_output_drives_is_a_supply(pins: int, supply: bool) -> None:
    others = [f"R{10 + i}" for i in range(pins - 1)]
    parts = "\n".join(f"part {r} 4k7" for r in others)
    net = " ".join(f"{r}.1" for r in others)
    text = TWO.replace("R2.2\n", "R2.2 R3.1\n") + f"part R3 220\n{parts}\nHOLD: R3.2 {net}"
    assert ("HOLD" in stage(text).fixed) is supply


def test_a_bypassed_net_behind_a_trimmer_is_a_supply_as_well() -> None:
    text = "part C1 100n symbol=C\npart RV1 500 symbol=R_Potentiometer_Trim\nHOLD: RV1.2 C1.1\nGND: C1.2\n"
    found = stage(TWO.replace("R2.2\n", "R2.2 RV1.1\n") + text)
    assert found.fixed.get("HOLD") == 5.0


# -- parts ------------------------------------------------------------------------------------------


def test_a_pack_whose_common_leg_no_net_names_still_joins_its_resistors() -> None:
    pack = "part RN1 8x1k symbol=R_Network08\n"
    text = f"{pack}part U1 74LS374\nRED: J1.1 RN1.2\nU1.2 RN1.3\nU1.5 RN1.4"
    assert sorted(drivers(stage(text))) == [["U1.2"], ["U1.5"]]


def test_the_two_halves_of_a_divider_whose_tap_no_net_names_are_in_series() -> None:
    text = "part RN1 1k symbol=R_Divider 1=COM1 2=R1 3=COM2\npart U1 74LS374\nRED: J1.1 RN1.1\nU1.2 RN1.3"
    found = stage(text)
    assert drivers(found) == [["U1.2"]]
    assert [r.ohm for r in found.network.resistors] == [1000.0, 1000.0]


def test_a_resistor_with_an_open_end_brings_nothing() -> None:
    found = stage(TWO.replace("R2.2\n", "R2.2 R3.1\n") + "part R3 220")
    assert resistors(found) == {"R1", "R2"}


def test_a_switch_that_is_passed_is_remembered_and_a_resistor_is_not() -> None:
    text = TWO.replace("U1.2 R1.1", "SW1.1 R1.1\nU1.2 SW1.2") + "part SW1 SW symbol=SW_SPST"
    assert stage(text).switches == ("SW1",)
    assert stage(TWO).switches == ()


def test_a_resistor_without_a_value_is_named() -> None:
    assert stage(TWO.replace("part R2 1k", "part R2 ? symbol=R")).unread == ("R2",)


def test_diodes_to_the_rails_are_clamps_and_others_are_part_of_the_stage() -> None:
    rail = TWO.replace("R2.2\n", "R2.2 D1.2\n") + "part D1 1N4148\nVCC: D1.1"
    assert stage(rail).network.diodes == ()
    series = TWO.replace("U1.2 R1.1", "D1.1 R1.1\nU1.2 D1.2") + "part D1 1N4148"
    assert [d.part for d in stage(series).network.diodes] == ["D1"]
    assert len(stage(series).drivers) == 2


@pytest.mark.parametrize(("value", "passed"), [("470u", True), ("1u", True), ("100n", False)])
def test_a_large_capacitor_couples_and_a_small_one_does_not_beside_other_ways(
    value: str, passed: bool
) -> None:
    text = TWO.replace("R2.2\n", "R2.2 C1.1\n") + f"part C1 {value} symbol=C\npart U2 74LS374\nU2.2 R9.1\n"
    found = stage(text + "part R9 330\nX: C1.2 R9.2")
    assert ("R9" in resistors(found)) is passed


def test_a_small_capacitor_couples_where_there_is_no_other_way() -> None:
    text = "part C1 100n symbol=C\npart U1 74LS374\npart R1 330\nRED: J1.1 C1.1\nX: C1.2 R1.2\nU1.2 R1.1"
    assert drivers(stage(text)) == [["U1.2"]]


def test_a_capacitor_too_small_for_a_picture_never_couples() -> None:
    text = "part C1 100p symbol=C\npart U1 74LS374\npart R1 330\nRED: J1.1 C1.1\nX: C1.2 R1.2\nU1.2 R1.1"
    assert drivers(stage(text)) == []


def test_inputs_on_the_stage_are_listed_and_drive_nothing() -> None:
    found = stage(TWO.replace("R2.2\n", "R2.2 U2.3\n") + "part U2 74LS374")
    assert [str(pin) for pin in found.inputs] == ["U2.3"]
    assert len(found.drivers) == 2


# -- pins that the drawing types wrongly ------------------------------------------------------------

CUSTOM = "part U7 CUSTOM-1 1=A:{kind} 2=B:{kind}\npart R1 470\npart R2 1k\n"


@pytest.mark.parametrize("kind", ["passive", "input"])
def test_legs_of_an_unknown_chip_that_end_resistors_drive_them(kind: str) -> None:
    text = CUSTOM.format(kind=kind) + "RED: J1.1 R1.2 R2.2\nU7.1 R1.1\nU7.2 R2.1"
    found = stage(text)
    assert sorted(drivers(found)) == [["U7.1"], ["U7.2"]]
    assert codes(found).count("drawn-as-input") == (2 if kind == "input" else 0)


def test_what_is_drawn_as_an_input_drives_nothing_beside_an_output() -> None:
    text = CUSTOM.format(kind="input") + "part U1 74LS374\nRED: J1.1 R1.2 R2.2\nU1.2 R1.1\nU7.2 R2.1"
    found = stage(text)
    assert drivers(found) == [["U1.2"]]
    assert "drawn-as-input" not in codes(found)


def test_an_open_collector_is_no_input_of_its_own_net() -> None:
    text = "part U1 7407\npart R1 470\npart R2 1k\nRED: J1.1 R1.2\nX: U1.2 R1.1 R2.1\nVCC: R2.2"
    assert stage(text).inputs == ()


def test_an_unknown_chip_on_the_colour_pin_itself_does_not_drive_it_beside_outputs() -> None:
    text = TWO.replace("R2.2\n", "R2.2 U7.1\n") + "part U7 CUSTOM-1 1=A:passive"
    assert sorted(drivers(stage(text))) == [["U1.2"], ["U1.5"]]


@pytest.mark.parametrize(("kind", "fixed"), [("power_in", {"X": 5.0}), ("no_connect", {})])
def test_a_supply_leg_or_an_unused_one_of_an_unknown_chip_drives_nothing(
    kind: str, fixed: dict[str, float]
) -> None:
    found = stage(f"part U7 CUSTOM-1 1=A:{kind}\npart R1 470\nRED: J1.1 R1.2\nX: R1.1 U7.1")
    assert drivers(found) == []
    assert found.fixed == fixed


# -- boards that end at a plug ----------------------------------------------------------------------


def test_without_any_output_the_legs_of_another_plug_drive() -> None:
    text = "part J2 symbol=Conn_01x04\npart R1 470\npart R2 1k\nRED: J1.1 R1.2 R2.2\nJ2.1 R1.1\nJ2.2 R2.1"
    assert sorted(drivers(stage(text))) == [["J2.1"], ["J2.2"]]


def test_plugs_side_by_side_on_one_line_are_one_way_in() -> None:
    text = (
        "part J2 symbol=Conn_01x04\npart J3 symbol=Conn_01x04\npart R1 470\npart R2 1k\nRED: J1.1 R1.2 R2.2\n"
        "J2.1 J3.1 R1.1\nJ2.2 J3.2 R2.1"
    )
    assert sorted(drivers(stage(text))) == [["J2.1", "J3.1"], ["J2.2", "J3.2"]]


def test_beside_an_output_a_plug_drives_nothing() -> None:
    text = TWO.replace("R2.2\n", "R2.2 R3.2\n") + "part J2 symbol=Conn_01x04\npart R3 2k2\nJ2.1 R3.1"
    assert sorted(drivers(stage(text))) == [["U1.2"], ["U1.5"]]


def test_a_leg_of_a_plug_that_feeds_several_parts_is_no_bit() -> None:
    """A bit from another board ends at its resistor alone."""
    text = (
        "part J2 symbol=Conn_01x04\npart R1 470\npart R2 1k\npart R3 1k\nRED: J1.1 R1.2 R2.2\n"
        "J2.1 R1.1\nJ2.2 R2.1 R3.1\nY: R3.2"
    )
    assert drivers(stage(text)) == [["J2.1"]]


def test_the_colour_pin_is_never_its_own_driver() -> None:
    assert stage("part R1 75\nRED: J1.1 R1.1\nGND: R1.2").drivers == ()


# -- switches, amplifiers and transistors in the stage ----------------------------------------------

#: One section of a 4066 between a latch and the resistor; its control is leg 13.
SWITCHED = "part U1 74LS374\npart U5 4066\npart R1 470\nRED: J1.1 R1.2\nX: R1.1 U5.1\nU1.2 U5.2\n"


@pytest.mark.parametrize(
    ("control", "passed", "assumed"),
    [("VCC: U5.13", True, False), ("C: U5.13", True, True), ("GND: U5.13", False, False)],
)
def test_an_analogue_switch_is_passed_unless_its_control_is_tied_to_open_it(
    control: str, passed: bool, assumed: bool
) -> None:
    """That one is closed whose control is tied so is no assumption."""
    found = stage(SWITCHED + control)
    assert (drivers(found) == [["U1.2"]]) is passed
    assert (found.switches == ("U5",)) is assumed


@pytest.mark.parametrize(("driven", "other"), [("12", "13"), ("13", "12")])
@pytest.mark.parametrize("latch", ["U1", "U9"])
def test_of_the_ways_of_an_analogue_selector_the_one_that_is_driven_is_taken(
    driven: str, other: str, latch: str
) -> None:
    text = (
        f"part {latch} 74LS374\npart U5 4053\npart R1 470\nRED: J1.1 R1.2\nX: R1.1 U5.14\n"
        f"{latch}.2 U5.{driven}\nC: U5.{other}"
    )
    assert drivers(stage(text)) == [[f"{latch}.2"]]


def test_of_two_driven_ways_of_an_analogue_selector_one_is_taken() -> None:
    """Its control closes one at a time: both at once would short two outputs."""
    text = "part U1 74LS374\npart U5 4053\npart R1 470\nRED: J1.1 R1.2\nX: R1.1 U5.14\nU1.2 U5.12\nU1.5 U5.13"
    assert drivers(stage(text)) == [["U1.2"]]


@pytest.mark.parametrize(("source", "count"), [("U1.5 U6.1", 1), ("GND: U6.1", 0)])
def test_an_amplifier_is_part_of_the_stage_unless_its_input_is_grounded(source: str, count: int) -> None:
    text = f"part U1 74LS374\npart U6 THS7374\npart R1 75\nRED: J1.1 R1.2\nX: R1.1 U6.14\n{source}"
    assert len(stage(text).network.amplifiers) == count


@pytest.mark.parametrize("which", ["1", "2"])
@pytest.mark.parametrize(
    "names", [("B1", "C1", "E1", "B2", "C2", "E2"), ("B2", "C2", "E2", "B1", "C1", "E1")]
)
def test_transistors_in_one_case_keep_their_own_legs(which: str, names: tuple[str, ...]) -> None:
    case = " ".join(f"{number}={name}" for number, name in enumerate(names, 1))
    base, collector, emitter = (names.index(f"{letter}{which}") + 1 for letter in "BCE")
    text = (
        f"part Q1 ARRAY symbol=Q_Array {case}\npart U1 74LS374\npart R1 470\n"
        f"RED: J1.1 Q1.{emitter}\nX: Q1.{base} R1.1\nU1.2 R1.2\nVCC: Q1.{collector}"
    )
    found = stage(text)
    assert [(t.base, t.collector, t.emitter) for t in found.network.transistors] == [("X", "VCC", "RED")]
    assert drivers(found) == [["U1.2"]]


def test_a_transistor_that_is_reached_at_its_base_is_a_way_out() -> None:
    text = TWO.replace("R2.2\n", "R2.2 Q1.2\n") + "part Q1 2N3904\nVCC: Q1.3\nOUT: Q1.1"
    found = stage(text)
    assert found.network.transistors == ()
    assert "OUT" not in found.nets


def test_an_electrolytic_without_a_value_couples() -> None:
    text = "part C1 ? symbol={symbol}\npart U1 74LS374\npart R1 330\npart R2 1k\nRED: J1.1 C1.1 R2.1\nX: C1.2 R1.2\nU1.2 R1.1\nU1.5 R2.2"
    assert "R1" in resistors(stage(text.format(symbol="C_Polarized")))
    assert "R1" not in resistors(stage(text.format(symbol="C")))


@pytest.mark.parametrize(("marking", "polarity"), [("2N3904", "npn"), ("2N3906", "pnp")])
def test_a_follower_is_solved_by_its_polarity(marking: str, polarity: str) -> None:
    text = (
        f"part Q1 {marking}\npart U1 74LS374\npart R1 470\nRED: J1.1 Q1.1\nX: Q1.2 R1.1\nU1.2 R1.2\nVCC: Q1.3"
    )
    assert [t.polarity for t in stage(text).network.transistors] == [polarity]


def test_a_clamp_of_two_diodes_leaves_the_second_out_as_well() -> None:
    text = TWO.replace("R2.2\n", "R2.2 D1.3\n") + "part D1 BAV99\nGND: D1.1\nVCC: D1.2"
    assert stage(text).network.diodes == ()
