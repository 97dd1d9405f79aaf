"""What the page shows beyond the map: faults with their volts, and why some are not known."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from functools import cache

import pytest

from tests.browser.pages import traced_board
from tracer.levels.leg_paths import LegPath
from tracer.page.items import Items
from tracer.page.make import make_page
from tracer.page.tables import part_tables
from tracer.page.text import unknown_text
from tracer.page.values import BoardPage, FaultAt, MovedIndex, OpenInput
from tracer.suspects.fault import Fault
from tracer.suspects.listing import list_faults
from tracer.suspects.path_legs import LegKey, PathLegs, path_legs
from tracer.suspects.picture import HEALTHY, picture_of
from tracer.suspects.priors import load_priors

Trial = tuple[str, str | None, str]


@cache
def page_of(board: str) -> BoardPage:
    return make_page(traced_board(board))


def listed(page: BoardPage) -> Sequence[Fault]:
    assert page.tables is not None
    return page.tables.reasoning.faults


def by_place(page: BoardPage) -> dict[Trial, FaultAt]:
    """What a person gets who chooses a place and a fault: of several alike the first."""
    found: dict[Trial, FaultAt] = {}
    for shown in page.faults:
        found.setdefault((shown.part, shown.pin, shown.words), shown)
    return found


def ramps_of(board: str, trial: Trial) -> dict[str, tuple[float, ...] | None]:
    """The colours' volts by code as the page has them with a fault, those that it leaves alone included."""
    page, shown = page_of(board), by_place(page_of(board))[trial]
    ramps = picture_of(traced_board(board), 75.0).ramps(HEALTHY)
    return ramps | {c.colour: None if c.volts is None else page.volts[c.volts] for c in shown.colours}


BOARDS = ["wren", "dunlin", "plover", "avocet", "odd"]


@pytest.mark.parametrize("board", BOARDS)
def test_its_faults_are_those_that_suspects_are_ranked_by(board: str) -> None:
    page = page_of(board)
    assert page.faults
    ranked = list_faults(traced_board(board), load_priors())
    assert all(a is b for a, b in zip(listed(page), ranked, strict=True))
    for shown in page.faults:
        fault = listed(page)[shown.fault]
        if shown.pin is None:
            assert shown.part == fault.part
        else:
            legs = {f"{leg.part}.{leg.pin}" for leg in fault.legs}
            assert f"{shown.part}.{shown.pin}" in {*fault.place.ends, *legs}


def main_legs(legs: PathLegs) -> dict[LegKey, list[tuple[LegPath, int]]]:
    """Those of the main paths, which the page shows the faults of."""
    return {key: uses for key, uses in legs.uses.items() if uses[0][0].bank == 0}


def of_the_path(board: str) -> set[Trial]:
    legs = path_legs(traced_board(board))
    wanted: set[Trial]
    wanted = {(*key, words) for key in main_legs(legs) for words in ("stuck low", "stuck high", "open")}
    return wanted | {(part, None, "out of its socket") for part in {key[0] for key in main_legs(legs)}}


def of_the_address(board: str) -> set[Trial]:
    """Every line that chooses among the entries of a memory of the main paths, and its driver's leg."""
    traced = traced_board(board)
    own = {path.legs[0].part for path in path_legs(traced).paths.values()}
    wanted: set[Trial] = set()
    for memory in traced.bit_map.index:
        for line in memory.lines if memory.part in own else ():
            ends = [(memory.part, line.pin), *((d.part, d.pin) for d in line.drivers[:1])]
            if line.is_live:
                wanted |= {(*end, words) for end in ends for words in ("stuck low", "stuck high")}
    return wanted


def of_the_stage(board: str) -> set[Trial]:
    values = ("0.3 times its value", "2.5 times its value", "10 times its value")
    shorts = ("collector-emitter short", "base-emitter short", "collector-base short")
    wanted: set[Trial] = set()
    for part in page_of(board).stage_parts:
        if "resistor" in part.what:
            wanted |= {(part.part, None, words) for words in ("open", "shorted", *values)}
        if "transistor" in part.what:
            wanted |= {(part.part, None, words) for words in ("open", *shorts)}
    return wanted


def of_the_pins(board: str) -> set[Trial]:
    """At the pins of the three colours and behind them; what is about several is at the first of them."""
    pin = {c.name: (str(c.pin.part), c.pin.pin) for c in traced_board(board).bit_map.colours}
    assert list(pin) == ["red", "green", "blue"]
    wanted: set[Trial] = set()
    for name, at in pin.items():
        wanted |= {(*at, "no contact on the board"), (*at, "shorted to ground")}
        wanted |= {(*at, f"{name} open behind it"), (*at, f"{name} weak behind it")}
    for one, other in (("red", "green"), ("red", "blue"), ("green", "blue")):
        wanted |= {(*pin[one], f"{one} and {other} shorted together")}
        wanted |= {(*pin[one], f"wires of {one} and {other} swapped")}
    every = ("red and green and blue open behind it", "red and green and blue weak behind it")
    return wanted | {(*pin["red"], words) for words in (*every, "no load at the monitor")}


@pytest.mark.parametrize("board", BOARDS)
def test_every_leg_of_the_path_is_tried_three_ways_and_every_chip_pulled(board: str) -> None:
    page, legs = page_of(board), main_legs(path_legs(traced_board(board)))
    tried = {key for key in by_place(page) if (key[0], key[1]) in legs or key[2] == "out of its socket"}
    assert tried == of_the_path(board)


@pytest.mark.parametrize("board", BOARDS)
def test_address_lines_parts_of_stages_and_colour_pins_are_tried_too(board: str) -> None:
    tried = set(by_place(page_of(board)))
    rest = tried - of_the_path(board)
    assert of_the_address(board) <= rest
    assert of_the_stage(board) | of_the_pins(board) == {
        key for key in rest
        if key[1] is None or (key[0], key[1]) in {(c.pin.part, c.pin.pin) for c in traced_board(board).bit_map.colours}
    }  # fmt: skip
    # Nothing else is tried but what comes to the address by a chip further back.
    faults = by_place(page_of(board))
    others = rest - of_the_address(board) - of_the_stage(board) - of_the_pins(board)
    assert all(listed(page_of(board))[faults[key].fault].effect.address for key in others)


@pytest.mark.parametrize("board", BOARDS)
def test_a_choice_of_place_and_fault_is_one_fault(board: str) -> None:
    """Two of one name could not be chosen: the page finds a fault by its place and its words."""
    count = Counter((f.part, f.pin, f.words) for f in page_of(board).faults)
    assert {key: n for key, n in count.items() if n > 1} == {}


@pytest.mark.parametrize("board", BOARDS)
def test_every_fault_is_of_a_leg_or_part_that_can_be_chosen(board: str) -> None:
    page = page_of(board)
    items = Items(page)
    places = {(f.part, f.pin) for f in page.faults}
    found = {(p, q): items.get("leg", p, q) if q else items.get("part", p) for p, q in places}
    assert [place for place, item in found.items() if item is None] == []


@pytest.mark.parametrize("board", BOARDS)
def test_every_fault_has_the_volts_of_its_own_solution(board: str) -> None:
    """Volts are kept once for equal changes of bits; each fault must still lead to its own."""
    page, picture = page_of(board), picture_of(traced_board(board), 75.0)
    healthy = picture.ramps(HEALTHY)
    for shown in page.faults:
        effect = listed(page)[shown.fault].effect
        bits = {(c.colour, b.bit): (b.level, b.let_go) for c in shown.colours for b in c.bits}
        assert bits == {key: (e.level, e.let_go) for key, e in picture.bits_hit(effect).items()}
        ramps = picture.ramps(effect)
        for colour in shown.colours:
            volts = None if colour.volts is None else page.volts[colour.volts]
            assert volts == ramps[colour.colour], (shown.part, shown.pin, shown.words)
        alone = ramps.keys() - {colour.colour for colour in shown.colours}
        assert {c: ramps[c] for c in alone} == {c: healthy[c] for c in alone}
        if not (effect.joined or effect.severed or effect.gains or effect.swapped or effect.lifted):
            # Nothing is done to the pins: what the monitor gets is what the stage gives.
            own = {c.colour: picture.volts_by_code(c.colour, effect) for c in shown.colours}
            assert own == {c: ramps[c] for c in own}


@pytest.mark.parametrize("board", BOARDS)
def test_a_leg_that_stands_has_its_level_whether_it_sends_or_hears(board: str) -> None:
    """An input by its track, an output by its chip: the same bits, the same levels."""
    legs, found = path_legs(traced_board(board)), by_place(page_of(board))
    for key, uses in main_legs(legs).items():
        for level, words in ((0, "stuck low"), (1, "stuck high")):
            bits = {(c.colour, b.bit): b.level for c in found[(*key, words)].colours for b in c.bits}
            # Volts are of the main way alone.
            main = [(p, at) for p, at in uses if p.bank == 0]
            assert bits == {(p.colour, p.bit): p.level_at(at, level, len(p.legs) - 1) for p, at in main}


def test_an_open_resistor_takes_its_bit_and_a_tenfold_one_most_of_it() -> None:
    """R1 of dunlin carries red 3 alone: open, codes differ no more by that bit; at ten times its value they do by less."""
    opened = ramps_of("dunlin", ("R1", None, "open"))
    red, green = opened["red"], opened["green"]
    whole = picture_of(traced_board("dunlin"), 75.0).ramps(HEALTHY)
    tenfold = ramps_of("dunlin", ("R1", None, "10 times its value"))["red"]
    assert red is not None
    assert tenfold is not None
    assert whole["red"] is not None
    assert green == whole["green"]
    for code in range(8):
        assert red[code] == pytest.approx(red[code + 8], abs=1e-5)
        assert 0.01 < tenfold[code + 8] - tenfold[code] < 0.2 * (whole["red"][code + 8] - whole["red"][code])


@pytest.mark.parametrize(
    ("words", "is_flat"),
    [("open", True), ("collector-emitter short", True), ("base-emitter short", False), ("collector-base short", True)],
)  # fmt: skip
def test_a_faulty_transistor_changes_its_colour_alone(words: str, is_flat: bool) -> None:
    """plover's emitter followers, collector at the supply: only past a base shorted to its emitter the code still comes."""
    whole, ramps = (
        picture_of(traced_board("plover"), 75.0).ramps(HEALTHY),
        ramps_of("plover", ("Q101", None, words)),
    )
    red, was = ramps["red"], whole["red"]
    assert red is not None
    assert was is not None
    assert (ramps["green"], ramps["blue"]) == (whole["green"], whole["blue"])
    assert red != was
    assert (max(red) - min(red) < 0.25 * (max(was) - min(was))) == is_flat


def test_what_is_done_at_the_plug_is_seen_in_the_volts() -> None:
    whole = picture_of(traced_board("plover"), 75.0).ramps(HEALTHY)
    assert ramps_of("plover", ("J1", "1", "no contact on the board")) == whole | {"red": (0.0,) * 32}
    swapped = ramps_of("wren", ("J1", "1", "wires of red and green swapped"))
    healthy = picture_of(traced_board("wren"), 75.0).ramps(HEALTHY)
    assert swapped == healthy | {"red": healthy["green"], "green": healthy["red"]}
    ground = ramps_of("dunlin", ("J1", "N", "shorted to ground"))["green"]
    assert ground is not None
    assert max(ground) < 0.01


@pytest.mark.parametrize("board", BOARDS)
def test_a_line_of_the_address_that_stands_moves_entries(board: str) -> None:
    """Lines are numbered among those that choose; the bits are those that the memory stores."""
    traced, found = traced_board(board), by_place(page_of(board))
    own = {(p.colour, p.bit): p.legs[0].part for p in path_legs(traced).paths.values()}
    memories = [m for m in traced.bit_map.index if m.part in own.values()]
    assert memories
    for memory in memories:
        lines = [line for line in memory.lines if line.is_live]
        assert lines
        for number, line in enumerate(lines):
            for level, words in ((0, "stuck low"), (1, "stuck high")):
                moved = found[memory.part, line.pin, words].moved
                assert isinstance(moved, MovedIndex)
                assert (moved.held, moved.joined) == (((number, level),), None)
                assert moved.n_lines == max(sum(x.is_live for x in m.lines) for m in memories)
                assert {key for key, part in own.items() if part == memory.part} <= set(moved.bits)


def test_the_volts_are_kept_once() -> None:
    page = page_of("dunlin")
    assert len(set(page.volts)) == len(page.volts) < len(page.faults) / 4


def test_why_a_bit_is_not_known() -> None:
    faults = by_place(page_of("odd"))
    for key in (("U2", "3", "open"), ("U1", "1", "open")):
        [colour] = faults[key].colours
        assert colour.volts is None
        [bit] = colour.bits
        assert (bit.level, bit.let_go) == (None, False)
        assert bit.unknown == OpenInput("U2", "HC")
        assert (
            unknown_text(bit.unknown)
            == "an open input of U2 (HC) floats: it may read low or high, and change"
        )
    [colour] = faults["U2", "2", "open"].colours
    assert colour.bits[0].let_go
    assert colour.bits[0].unknown is None


def test_evidence_and_legs_beside_the_path_go_with_it() -> None:
    page = page_of("odd")
    assert [e.kind for e in page.evidence] == ["seen", "read"]
    u1 = next(c for c in page.chips if c.part == "U1")
    assert len(u1.legs) == 16
    assert dict.fromkeys(((p, q) for p, q, _ in page.nets if p == "U2")) == dict.fromkeys(
        [("U2", "2"), ("U2", "3"), ("U2", "5"), ("U2", "4")]
    )


@pytest.mark.parametrize("board", BOARDS)
def test_a_fault_without_effect_is_left_out(board: str) -> None:
    assert all(shown.colours or shown.moved for shown in page_of(board).faults)
    assert ("U9", "15") not in {(f.part, f.pin) for f in page_of("wren").faults}


@pytest.mark.parametrize("board", BOARDS)
def test_one_net_has_one_reading(board: str) -> None:
    """Legs that copper joins have the same volts and the same activity, whichever of them the probe is on."""
    by_net: dict[str, list[tuple[str, tuple[str, ...]]]] = {}
    for part in part_tables(Items(page_of(board))):
        for row in part.rows:
            by_net.setdefault(row.net, []).append((f"{part.part}.{row.pin}", row.reads))
    by_net.pop("not stated", None)
    n_compared = 0
    for rows in by_net.values():
        told = {
            leg: [line for line in reads if re.match(r"pulses|still|held|low |high ", line)]
            for leg, reads in rows
        }
        assert len({str(lines) for lines in told.values()}) == 1, told
        n_compared += len(told) > 1 and any(told.values())
    assert n_compared or board in ("wren", "odd")


def test_a_leg_without_a_reading_of_its_own_names_the_leg_it_reads_as() -> None:
    """U7 writes dunlin's memory over the net on which U9's data leg stands: /PA7."""
    rows = {(t.part, r.pin): r for t in part_tables(Items(page_of("dunlin"))) for r in t.rows}
    own, like = rows["U7", "11"], rows["U9", "17"]
    assert own.net == like.net == "/PA7"
    assert own.reads[: len(like.reads) + 1] == (*like.reads, "one net with U9.17")
