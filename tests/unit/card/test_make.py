"""The order of probing, and the loads of a card."""

from __future__ import annotations

from pathlib import Path

from tests.boards import board
from tracer.bitmap.model import BitMap
from tracer.card.chips import chip_views
from tracer.card.make import make_card, probe_order
from tracer.card.values import ProbeStep
from tracer.importers import read_netlist
from tracer.netlist.join import join_boards, parse_join
from tracer.tracing.pipeline import Traced, trace_fully

CASES = Path(__file__).parents[2] / "cases" / "idioms"


def traced_of(name: str) -> Traced:
    return trace_fully(read_netlist(f"netlists/{name}/{name}.net"))


def order_of(traced: Traced) -> tuple[ProbeStep, ...]:
    return probe_order(traced.bit_map, chip_views(traced))


def legs(step: ProbeStep) -> list[str]:
    return [f"{g.part}.{g.pin}" for g in step.legs]


def test_from_the_connector_back_to_the_memory() -> None:
    steps = order_of(traced_of("plover"))
    kinds = [s.kind for s in steps]
    assert kinds == [
        "supply", "colour pins", "controls", "outputs", "inputs", "outputs", "inputs", "sources", "enables",
        "index", "resistors",
    ]  # fmt: skip
    assert legs(steps[1]) == ["J1.1", "J1.3", "J1.5"]
    assert legs(steps[3])[0] == "U33.16"
    assert legs(steps[4])[0] == "U33.17"
    assert legs(steps[7])[0] == "U27.18"
    assert steps[3].legs[0].word == "red 4"


def test_transistors_come_between_the_colour_pins_and_the_outputs() -> None:
    steps = make_card(traced_of("plover")).order
    kinds = [s.kind for s in steps]
    assert kinds.index("colour pins") < kinds.index("transistors") < kinds.index("outputs")
    own = steps[kinds.index("transistors")].legs
    assert {g.part for g in own} == {"Q101", "Q201", "Q301"}, "Q1 makes the sync: no colour passes it"
    assert {g.word: g.volts for g in own} == {"B": None, "C": 5.0, "E": None}


def test_what_blanks_a_colour_is_probed_with_the_level_that_lets_it_through() -> None:
    text = (CASES / "diode_blank.txt").read_text(encoding="utf-8").split("\n----\n")[0]
    steps = make_card(trace_fully(board(text.partition("\n")[2]))).order
    clamps = next(s for s in steps if s.kind == "clamps")
    assert [(g.part, g.pin, g.word, g.level) for g in clamps.legs] == [("U3", "2", "red, green, blue", 0)]


def test_tied_controls_need_no_probe() -> None:
    controls = next(s for s in order_of(traced_of("plover")) if s.kind == "controls")
    assert "U30.1" not in legs(controls), "its enable is tied low"
    assert {"U30.11", "U32.1", "U32.11"} <= set(legs(controls))


def test_every_data_leg_is_probed_once() -> None:
    traced = traced_of("dunlin")
    probed = [g for s in order_of(traced) if s.kind in ("outputs", "inputs", "sources") for g in legs(s)]
    assert len(probed) == len(set(probed))
    assert set(probed) == data_legs(traced.bit_map)


def test_both_banks_are_probed() -> None:
    halves = {h: read_netlist(f"netlists/avocet/avocet-{h}.net") for h in ("main", "video")}
    traced = trace_fully(join_boards(halves, [parse_join("main:J3=video:J1")]))
    probed = {g for s in order_of(traced) if s.kind in ("outputs", "inputs", "sources") for g in legs(s)}
    assert data_legs(traced.bit_map) <= probed
    assert {"main:U16.9", "main:U19.9"} <= probed


def data_legs(bit_map: BitMap) -> set[str]:
    found = set()
    for colour in bit_map.colours:
        for bit in colour.bits:
            for path in bit.paths:
                if path.role != "write path":
                    found |= {f"{s.part}.{p}" for s in path.steps for p in (s.source_pin, s.target_pin)}
                    found.add(f"{path.source.part}.{path.source.pin}")
    return found


def test_two_loads() -> None:
    traced = traced_of("wren")
    for load, loads in ((75.0, (75.0, 1000.0)), (1000.0, (1000.0, 75.0)), (None, (None, 1000.0))):
        levels = make_card(traced, load).levels
        assert levels
        assert tuple(x.load_ohm for x in levels.colours[0].loads) == loads
