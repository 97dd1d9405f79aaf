"""Selecting by mouse, touch and keyboard: what lights up is what the map says, found here from the map alone."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import Open
from tests.browser.pages import BOARDS, traced_board
from tests.drawing.truth import TRUTH
from tracer.bitmap.model import Bit, BitMap, Path

#: What a browser shows as lit: legs and parts of the tables, boxes and lines of the diagram, bits.
_LIT = """() => {
  const words = (selector, f) => [...new Set([...document.querySelectorAll(selector)].map(f))].sort();
  return {
    legs: words("tr.lit[data-leg]", (e) => e.dataset.leg),
    parts: words(".part.lit h3 button", (e) => e.textContent),
    boxes: words(".diagram g.node.chip.lit, .diagram g.node.part.lit", (e) => e.id),
    lines: words(".diagram g.edge.lit > title", (e) => e.textContent.replace(/^net .*: /, "")),
    tags: words(".diagram .stage .tag.lit text", (e) => e.textContent.trim()),
    rows: words("table.map tr.lit:not(.why) th", (e) => e.textContent.trim()),
  };
}"""


def lit(page: Page) -> dict[str, list[str]]:
    found: Any = page.evaluate(_LIT)
    return {str(key): [str(x) for x in value] for key, value in found.items()}


def _shown(bit: Bit) -> list[Path]:
    return [p for p in bit.paths if p.role != "write path"]


def _path_legs(path: Path) -> list[str]:
    legs = [f"{path.source.part}.{path.source.pin}"]
    for step in reversed(path.steps):
        legs += [f"{step.part}.{step.source_pin}", f"{step.part}.{step.target_pin}"]
    return list(dict.fromkeys(legs))


def _expected(bit_map: BitMap, colour: str, number: int) -> dict[str, list[str]]:
    own = next(c for c in bit_map.colours if c.name == colour)
    bit = next(b for b in own.bits if b.bit == number)
    tag = f"{colour[0].upper()}{number}"
    end = f"{own.pin.part}.{own.pin.pin}"
    legs, parts, lines = {end}, {str(own.pin.part)}, {f"resistors of {tag} to {end}"}
    for path in _shown(bit):
        way = _path_legs(path)
        legs.update(way)
        parts.update(leg.rpartition(".")[0] for leg in way)
        lines.add(f"{way[-1]} to resistors of {tag}")
        # Each second hop runs over a net, the others through a part.
        lines.update(f"{a} to {b}" for a, b in zip(way[0::2], way[1::2], strict=False))
    boxes = {f"chip-{part.replace(':', '_3a_').replace('-', '_2d_')}" for part in parts - {own.pin.part}}
    values = {"legs": legs, "parts": parts, "boxes": boxes, "lines": lines, "tags": {tag}, "rows": {tag}}
    return {key: sorted(str(x) for x in value) for key, value in values.items()}


def _bits(board: str) -> list[tuple[str, int]]:
    return [(c.name, b.bit) for c in traced_board(board).bit_map.colours for b in c.bits]


def _tag(colour: str, bit: int) -> str:
    return f".diagram .stage .tag:has(text:text-is('{colour[0].upper()}{bit}'))"


def test_a_click_on_each_bit_lights_its_path(board: str, open_page: Open) -> None:
    page, bit_map = open_page(board), traced_board(board).bit_map
    for colour, bit in _bits(board):
        page.click(_tag(colour, bit))
        assert lit(page) == _expected(bit_map, colour, bit)
        told = page.inner_text("#told")
        assert told.startswith(f"{colour[0].upper()}{bit}: {colour} bit {bit}")


def test_the_lit_sources_are_those_the_board_was_designed_with(board: str, open_page: Open) -> None:
    page = open_page(board)
    for colour, truth in TRUTH[board].items():
        for bit, true in zip(range(len(truth) - 1, -1, -1), truth, strict=True):
            page.get_by_role(
                "button", name=f"{colour[0].upper()}{bit} {colour} bit {bit}", exact=True
            ).click()
            assert set(true.sources) <= set(lit(page)["legs"])
            others = {s for c, ts in TRUTH[board].items() for t in ts for s in t.sources if t is not true}
            assert not (others - set(true.sources)) & set(lit(page)["legs"]), (colour, bit)


def test_each_bit_by_keyboard_in_the_diagram(board: str, open_page: Open) -> None:
    page, bit_map = open_page(board), traced_board(board).bit_map
    wanted = {f"{c[0].upper()}{b}": (c, b) for c, b in _bits(board)}
    page.locator("#scroller").focus()
    page.keyboard.press("Tab")
    seen: set[str] = set()
    for _ in range(page.locator(".diagram [role=button]").count()):
        tag: str = page.evaluate(
            "() => document.activeElement.closest('.stage') && document.activeElement.matches('.plate') ?"
            " document.activeElement.parentElement.textContent.trim() : ''"
        )
        if tag:
            page.keyboard.press("Enter" if len(seen) % 2 else "Space")
            assert lit(page) == _expected(bit_map, *wanted[tag])
            assert page.evaluate("() => document.activeElement.getAttribute('aria-pressed')") == "true"
            page.keyboard.press("Escape")
            assert lit(page)["legs"] == []
            seen.add(tag)
        page.keyboard.press("ArrowRight")
    assert seen == set(wanted)


def test_each_bit_by_touch(open_page: Open) -> None:
    page, bit_map = open_page("dunlin", 390, touch=True), traced_board("dunlin").bit_map
    for colour, bit in _bits("dunlin"):
        page.tap(_tag(colour, bit))
        assert lit(page) == _expected(bit_map, colour, bit)


def test_a_chip_lights_the_bits_that_it_feeds(board: str, open_page: Open) -> None:
    page, bit_map = open_page(board), traced_board(board).bit_map
    n_letters = {c.name: c.name[0].upper() for c in bit_map.colours}
    fed = [chip for chip in bit_map.chips if any(bits for _, bits in chip.feeds)]
    assert fed
    for chip in fed:
        page.get_by_role("button", name=chip.part, exact=True).first.click()
        tags = sorted(f"{n_letters[colour]}{bit}" for colour, bits in chip.feeds for bit in bits)
        assert lit(page)["tags"] == tags
        buttons = page.locator("#detail .pick").all_inner_texts()
        assert sorted(buttons) == tags if len(tags) > 1 else tags == buttons


def test_a_line_selects_its_net(open_page: Open) -> None:
    page, circuit = open_page("dunlin"), traced_board("dunlin").circuit
    lines = page.locator(".diagram g.edge > title").all_text_contents()
    nets = {circuit.net_of("U9", "17"): ["U7.11", "U9.17", "U13.18"], circuit.net_of("U13", "19"): ["U13.19"]}
    for net, legs in nets.items():
        at = next(i for i, line in enumerate(lines) if net is not None and line.startswith(f"net {net}:"))
        page.locator(".diagram g.edge > .under").nth(at).focus()
        page.locator(".diagram g.edge > .under").nth(at).press("Enter")
        assert page.inner_text("#told") == f"net {net}"
        joined = page.locator("#detail p").first.locator("button").all_inner_texts()
        assert {words.split()[1] for words in joined} == set(legs)


def test_a_write_path_is_told_from_the_picture(open_page: Open) -> None:
    page = open_page("dunlin")
    page.click(_tag("red", 3))
    assert page.locator(".diagram g.edge.also > title").all_text_contents() == ["net /PA7: U7.11 to U9.17"]
    page.get_by_role("button", name="U7", exact=True).first.click()
    assert "no picture bit" in page.inner_text("#detail")


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("U13.18", "leg U13.18 8D"),
        ("u9 d7", "leg U9.17 D7"),
        ("blank", "leg U13.1 /CLR"),
        ("74x273", "U13 74x273"),
        ("r3", "R3: red bit 3"),
        ("/pa7", "net /PA7"),
        ("u9.24", "leg U9.24 VCC"),
    ],
)
def test_searching(open_page: Open, typed: str, first: str) -> None:
    page = open_page("dunlin")
    page.get_by_label("Find a leg, net or part").fill(typed)
    hits = page.locator("#found button").all_inner_texts()
    if typed == "blank":
        assert "net /BLANK" in hits
        return
    assert first in hits[:3]
    page.keyboard.press("ArrowDown")
    for _ in range(hits.index(first)):
        page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    assert page.inner_text("#told").splitlines()[0] == first
    assert page.locator("#found").is_hidden()


def test_a_search_without_a_hit_says_so(open_page: Open) -> None:
    page = open_page("wren")
    page.get_by_label("Find a leg, net or part").fill("U99")
    assert "nothing of that name" in page.inner_text("#found")
    assert page.inner_text("#found-count") == "0 found"
    page.keyboard.press("Escape")
    assert page.locator("#found").is_hidden()


def test_a_stopped_bit_says_why_and_names_stay_text(open_page: Open) -> None:
    page = open_page("odd")
    page.get_by_role("button", name="B0 blue bit 0", exact=True).click()
    [bit] = next(c for c in traced_board("odd").bit_map.colours if c.name == "blue").bits
    assert bit.because is not None
    assert bit.because in page.inner_text("#detail")
    assert page.locator("main b, main i").count() == 0
    assert page.title() == "odd <board> & co: colour bits"
    assert page.get_by_text("red <missing>").is_visible()


def test_boards_are_the_demo_boards() -> None:
    assert set(BOARDS) <= set(TRUTH)
