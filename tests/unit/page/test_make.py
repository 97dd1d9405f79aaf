"""What the page shows beyond the map: faults with their volts, and why some are not known."""

from __future__ import annotations

from functools import cache

import pytest

from tests.browser.pages import traced_board
from tracer.page.make import make_page
from tracer.page.values import BoardPage
from tracer.suspects.leg_faults import Fault, bits_hit, faults_of_path, volts_with


@cache
def page_of(board: str) -> BoardPage:
    return make_page(traced_board(board))


@pytest.mark.parametrize("board", ["wren", "dunlin", "avocet", "odd"])
def test_every_fault_has_the_volts_of_its_own_solution(board: str) -> None:
    """Volts are kept once for equal changes of bits; each fault must still lead to its own."""
    traced, page = traced_board(board), page_of(board)
    shown = {(f.part, f.pin, f.kind): f for f in page.faults}
    for fault in faults_of_path(traced):
        hit = bits_hit(traced, fault)
        if not hit:
            continue
        own = shown[fault.part, fault.pin or "", fault.kind]
        assert {(c.colour, b.bit): (b.level, b.let_go) for c in own.colours for b in c.bits} == {
            key: (e.level, e.let_go) for key, e in hit.items()
        }
        for colour in own.colours:
            volts = None if colour.volts is None else page.volts[colour.volts]
            assert volts == volts_with(traced, colour.colour, hit, 75.0)
    assert len(shown) == len(page.faults)


def test_the_volts_are_kept_once() -> None:
    page = page_of("dunlin")
    assert len(set(page.volts)) == len(page.volts) < len(page.faults) / 4


def test_why_a_bit_is_not_known() -> None:
    faults = {(f.part, f.pin, f.kind): f for f in page_of("odd").faults}
    for key in (("U2", "3", "open"), ("U1", "1", "open"), ("U1", "1", "open")):
        [colour] = faults[key].colours
        assert colour.volts is None
        [bit] = colour.bits
        assert (bit.level, bit.let_go) == (None, False)
        assert bit.why == "an open input of U2 (HC) floats: it may read low or high, and change"
    [colour] = faults["U2", "2", "open"].colours
    assert colour.bits[0].let_go
    assert colour.bits[0].why == ""


def test_evidence_and_legs_beside_the_way_go_with_it() -> None:
    page = page_of("odd")
    assert [e.kind for e in page.evidence] == ["seen", "read"]
    u1 = next(c for c in page.chips if c.part == "U1")
    assert len(u1.legs) == 16
    assert dict.fromkeys(((p, q) for p, q, _ in page.nets if p == "U2")) == dict.fromkeys(
        [("U2", "2"), ("U2", "3"), ("U2", "5"), ("U2", "4")]
    )


def test_a_fault_without_effect_on_a_bit_is_left_out() -> None:
    traced = traced_board("wren")
    assert not bits_hit(traced, Fault("open", "U9", "15"))
    assert all(f.colours for f in page_of("wren").faults)
