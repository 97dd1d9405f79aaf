"""What the page shows beyond the map: faults with their volts, and why some are not known."""

from __future__ import annotations

from functools import cache

import pytest

from tests.browser.pages import traced_board
from tracer.levels.leg_paths import LegPath
from tracer.page.make import make_page
from tracer.page.text import TRIALS, unknown_text
from tracer.page.values import BoardPage, FaultAt, OpenInput
from tracer.suspects.listing import list_faults
from tracer.suspects.path_legs import LegKey, PathLegs, path_legs
from tracer.suspects.picture import picture_of
from tracer.suspects.priors import load_priors


@cache
def page_of(board: str) -> BoardPage:
    return make_page(traced_board(board))


def by_place(page: BoardPage) -> dict[tuple[str, str | None, str], FaultAt]:
    return {(f.part, f.pin, TRIALS[f.trial]): f for f in page.faults}


BOARDS = ["wren", "dunlin", "avocet", "odd"]


@pytest.mark.parametrize("board", BOARDS)
def test_its_faults_are_those_that_suspects_are_ranked_by(board: str) -> None:
    listed = {id(f) for f in list_faults(traced_board(board), load_priors())}
    assert page_of(board).faults
    assert {id(f.fault) for f in page_of(board).faults} <= listed


def main_legs(legs: PathLegs) -> dict[LegKey, list[tuple[LegPath, int]]]:
    """Those of the main paths, which the page shows the faults of."""
    return {key: uses for key, uses in legs.uses.items() if uses[0][0].bank == 0}


@pytest.mark.parametrize("board", BOARDS)
def test_every_leg_of_the_path_is_tried_three_ways_and_every_chip_pulled(board: str) -> None:
    legs = path_legs(traced_board(board))
    wanted: set[tuple[str, str | None, str]]
    wanted = {(*key, manner) for key in main_legs(legs) for manner in ("stuck low", "stuck high", "open")}
    wanted |= {(part, None, "out of its socket") for part in {key[0] for key in main_legs(legs)}}
    assert set(by_place(page_of(board))) == wanted
    assert len(page_of(board).faults) == len(wanted)


@pytest.mark.parametrize("board", BOARDS)
def test_every_fault_has_the_volts_of_its_own_solution(board: str) -> None:
    """Volts are kept once for equal changes of bits; each fault must still lead to its own."""
    page, picture = page_of(board), picture_of(traced_board(board), 75.0)
    for shown in page.faults:
        effect = shown.fault.effect
        bits = {(c.colour, b.bit): (b.level, b.let_go) for c in shown.colours for b in c.bits}
        assert bits == {key: (e.level, e.let_go) for key, e in picture.bits_hit(effect).items()}
        for colour in shown.colours:
            volts = None if colour.volts is None else page.volts[colour.volts]
            assert volts == picture.volts_by_code(colour.colour, effect)


@pytest.mark.parametrize("board", BOARDS)
def test_a_leg_that_stands_has_its_level_whether_it_sends_or_hears(board: str) -> None:
    """An input by its track, an output by its chip: the same bits, the same levels."""
    legs, found = path_legs(traced_board(board)), by_place(page_of(board))
    for key, uses in main_legs(legs).items():
        for level, manner in ((0, "stuck low"), (1, "stuck high")):
            bits = {(c.colour, b.bit): b.level for c in found[(*key, manner)].colours for b in c.bits}
            assert bits == {(p.colour, p.bit): p.level_at(at, level, len(p.legs) - 1) for p, at in uses}


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
def test_a_fault_without_effect_on_a_bit_is_left_out(board: str) -> None:
    assert all(shown.colours for shown in page_of(board).faults)
    assert ("U9", "15") not in {(f.part, f.pin) for f in page_of("wren").faults}
