"""Selecting by mouse, touch and keyboard: what lights up is what the map says, found here from the map alone."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Locator, Page

from tests.browser.conftest import Open, unfold
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

SEARCH = "Find a part, leg, net, marking or place"


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
    tag = f"{colour} {number}"
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
    return f".diagram .stage .tag:has(text:text-is('{colour} {bit}'))"


def _button(page: Page, colour: str, bit: int) -> Locator:
    """The bar shows the number; who does not see the colour hears it."""
    return page.locator(".bar").get_by_role("button", name=f"{colour} {bit}", exact=True)


def _table_button(page: Page, part: str) -> Locator:
    return page.locator(".part h3").get_by_role("button", name=part, exact=True)


def _search(page: Page, typed: str) -> None:
    page.get_by_label(SEARCH).fill(typed)
    page.keyboard.press("Enter")


def test_a_click_on_each_bit_lights_its_path(board: str, open_page: Open) -> None:
    page, bit_map = open_page(board), traced_board(board).bit_map
    for colour, bit in _bits(board):
        page.click(_tag(colour, bit))
        assert lit(page) == _expected(bit_map, colour, bit)
        told = page.inner_text("#told").splitlines()
        assert told[0] == f"{colour} {bit}"
        [own] = [b for c in bit_map.colours if c.name == colour for b in c.bits if b.bit == bit]
        assert told[-1] == f"{own.weight:.1%} of full scale"


def test_the_lit_sources_are_those_the_board_was_designed_with(board: str, open_page: Open) -> None:
    page = open_page(board)
    for colour, truth in TRUTH[board].items():
        for bit, true in zip(range(len(truth) - 1, -1, -1), truth, strict=True):
            _button(page, colour, bit).click()
            assert set(true.sources) <= set(lit(page)["legs"])
            others = {s for c, ts in TRUTH[board].items() for t in ts for s in t.sources if t is not true}
            assert not (others - set(true.sources)) & set(lit(page)["legs"]), (colour, bit)


def test_each_bit_by_keyboard_in_the_diagram(board: str, open_page: Open) -> None:
    page, bit_map = open_page(board), traced_board(board).bit_map
    wanted = {f"{c} {b}": (c, b) for c, b in _bits(board)}
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
    unfold(page)
    fed = [chip for chip in bit_map.chips if any(bits for _, bits in chip.feeds)]
    assert fed
    for chip in fed:
        _table_button(page, chip.part).click()
        tags = sorted(f"{colour} {bit}" for colour, bits in chip.feeds for bit in bits)
        assert lit(page)["tags"] == tags
        buttons = page.locator("#detail .pick").all_inner_texts()
        assert sorted(buttons) == tags if len(tags) > 1 else tags == buttons


def test_a_line_selects_its_net(open_page: Open) -> None:
    page, circuit = open_page("dunlin"), traced_board("dunlin").circuit
    lines = page.locator(".diagram g.edge > title").all_text_contents()
    nets = {
        circuit.net_of("U9", "17"): ["U7.11", "U9.17", "U13.18"],
        circuit.net_of("U13", "19"): ["R1.1", "U13.19"],
    }
    for net, legs in nets.items():
        at = next(i for i, line in enumerate(lines) if net is not None and line.startswith(f"net {net}:"))
        page.locator(".diagram g.edge > .under").nth(at).focus()
        page.locator(".diagram g.edge > .under").nth(at).press("Enter")
        assert page.inner_text("#told") == f"net {net}"
        joined = page.locator("#detail p").first.locator("button").all_inner_texts()
        assert {words.split()[1] for words in joined} == set(legs)


def test_a_write_path_is_told_from_the_picture(open_page: Open) -> None:
    page = open_page("dunlin")
    unfold(page)
    page.click(_tag("red", 3))
    assert page.locator(".diagram g.edge.also > title").all_text_contents() == ["net /PA7: U7.11 to U9.17"]
    _table_button(page, "U7").click()
    assert "no picture bit" in page.inner_text("#detail")


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("U13.18", "leg U13.18 8D"),
        ("u9 d7", "leg U9.17 D7"),
        ("blank", "leg U13.1 /CLR"),
        ("74LS273", "U13 74LS273"),
        ("74x273", "U13 74LS273"),
        ("SN74LS273", "U13 74LS273"),
        ("8D", "U13 74LS273"),
        ("red 3", "red 3"),
        ("/pa7", "net /PA7"),
        ("u9.24", "leg U9.24 VCC"),
    ],
)
def test_searching(open_page: Open, typed: str, first: str) -> None:
    page = open_page("dunlin")
    page.get_by_label(SEARCH).fill(typed)
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
    assert page.evaluate("() => document.activeElement.id") == "selected"


def test_r3_is_the_resistor_before_all_else(open_page: Open) -> None:
    page = open_page("dunlin")
    page.get_by_label(SEARCH).fill("r3")
    hits = page.locator("#found li").all_inner_texts()
    assert hits[0] == "R3 1k resistor"
    assert not any(hit.startswith(("red", "R3:")) for hit in hits)
    page.keyboard.press("Enter")
    assert page.inner_text("#told").splitlines()[0] == "R3 1k resistor"
    assert lit(page)["rows"] == ["red 1"]


def test_every_part_of_the_board_is_found_by_its_name(board: str, open_page: Open) -> None:
    """Parts beside the path too: each with why it is not in it."""
    page = open_page(board)
    silent = page.evaluate(
        """(parts) => parts.filter((part) => {
          const find = document.getElementById("find");
          find.value = part;
          find.dispatchEvent(new Event("input"));
          const hits = [...document.querySelectorAll("#found li")].map((e) => e.textContent);
          return !hits.some((h) => h.startsWith(part + " ")) || hits.some((h) => h.startsWith("nothing of"));
        })""",
        sorted(traced_board(board).circuit.identified),
    )
    assert silent == []


def test_a_search_without_a_hit_says_so(open_page: Open) -> None:
    page = open_page("wren")
    page.get_by_label(SEARCH).fill("U99")
    assert "nothing of that name" in page.inner_text("#found")
    assert page.inner_text("#found-count") == "0 found"
    page.keyboard.press("Escape")
    assert page.locator("#found").is_hidden()


def test_a_stopped_bit_says_why_and_names_stay_text(open_page: Open) -> None:
    page = open_page("odd")
    unfold(page)
    _button(page, "blue", 0).click()
    [bit] = next(c for c in traced_board("odd").bit_map.colours if c.name == "blue").bits
    assert bit.because is not None
    assert bit.because in page.inner_text("#detail")
    # The script's own: the share of a suspect in figures and as a bar.
    own = "#ask-suspects summary > b, #ask-suspects summary > .share, .swatch > i"
    assert page.locator(f"main :is(b, i):not({own})").count() == 0
    assert page.title() == "odd <board> & co: colour bits"
    assert page.locator("section[aria-labelledby=h-evidence]").get_by_text("red <missing>").is_visible()


def test_nothing_is_selected_at_first_and_after_closing(open_page: Open) -> None:
    page = open_page("dunlin")
    sheet, close = page.locator("#sheet"), page.get_by_role("button", name="Close", exact=True)
    assert sheet.is_hidden()
    assert close.is_hidden()
    for way in ("Close", "Escape", "the bit again"):
        _button(page, "red", 3).click()
        assert sheet.is_visible()
        assert lit(page)["rows"] == ["red 3"]
        if way == "Close":
            close.click()
        elif way == "Escape":
            page.keyboard.press("Escape")
        else:
            _button(page, "red", 3).click()
        assert sheet.is_hidden()
        assert page.inner_text("#told") == ""
        assert lit(page)["rows"] == []


def test_the_sheet_of_a_leg_shows_it_on_its_chip(open_page: Open) -> None:
    page = open_page("dunlin")
    _search(page, "U13.19")
    assert page.inner_text("#told").splitlines()[0] == "leg U13.19 8Q"
    chip = page.locator("#sheet svg.chip-drawing")
    assert chip.count() == 1
    assert chip.locator(".leg").count() == 20
    assert chip.locator(".leg.on .no").all_text_contents() == ["19"]
    # A DIP from above: leg 1 at the top left, the last one across from it.
    at = {
        n: chip.locator(f".leg:has(.no:text-is('{n}')) .pad").bounding_box() for n in ("1", "10", "11", "20")
    }
    box = {n: (b["x"], b["y"]) for n, b in at.items() if b is not None}
    assert box["1"][1] == pytest.approx(box["20"][1], abs=1)
    assert box["10"][1] == pytest.approx(box["11"][1], abs=1)
    assert box["1"][0] < box["20"][0]
    assert box["1"][1] < box["10"][1]
    # Another leg of the drawing is one click away.
    chip.locator(".leg:has(.no:text-is('18'))").click()
    assert page.inner_text("#told").splitlines()[0] == "leg U13.18 8D"


def test_the_sheet_of_a_chip_shows_the_chip_and_its_table(open_page: Open) -> None:
    page = open_page("dunlin")
    _search(page, "U13")
    chip, table = page.locator("#sheet svg.chip-drawing"), page.locator("#sheet table")
    legs = [leg.rpartition(".")[2] for leg in _legs_of("dunlin", "U13")]
    assert legs
    assert set(legs) <= set(chip.locator(".leg.on .no").all_text_contents())
    assert set(legs) <= {words.split()[-1] for words in table.locator("th button").all_inner_texts()}
    whole = page.locator(".part table:has(caption:text-is('Legs of U13')) tbody tr").all_text_contents()
    assert table.locator("tbody tr").all_text_contents() == whole


def _legs_of(board: str, part: str) -> list[str]:
    paths = [p for c in traced_board(board).bit_map.colours for b in c.bits for p in _shown(b)]
    return sorted({leg for path in paths for leg in _path_legs(path) if leg.startswith(f"{part}.")})


@pytest.mark.parametrize(
    ("name", "part", "legs", "ways"),
    [
        ("dunlin", "R3", ["R3.1", "R3.2"], ["R3 (1k) open", "R3 (1k) shorted", "R3 (1k) is 0.3 times its value"]),
        ("plover", "Q101", ["Q101.1", "Q101.2", "Q101.3"], ["Q101 open", "Q101 base-emitter short", "Q101 collector-base short"]),
    ],
)  # fmt: skip
def test_the_sheet_of_a_part_of_the_stage_shows_its_legs_and_how_it_fails(
    open_page: Open, name: str, part: str, legs: list[str], ways: list[str]
) -> None:
    page = open_page(name)
    _search(page, part)
    circuit = traced_board(name).circuit
    lines = page.locator("#detail > ul").first.locator("li").all_inner_texts()
    assert [line.split()[0] for line in lines] == legs
    for line, leg in zip(lines, legs, strict=True):
        net = circuit.net_of(part, leg.rpartition(".")[2])
        assert net is not None
        assert net.rpartition("/")[2] in line
    # It has no body of numbered legs to draw.
    assert page.locator("#sheet svg.chip-drawing").count() == 0
    fails = page.locator("#detail h3:text-is('If it fails') + ul li").all_inner_texts()
    # What shows alike is one line: the words of the screen, then the ways to it.
    named = [way for line in fails for way in line.partition(": ")[2].split(" or ")]
    assert set(ways) <= {way.partition(" and ")[0] for way in named}
    assert all(line.startswith("red ") and ", green " in line and ", blue " in line for line in fails)


def test_the_sheet_of_a_chip_says_how_it_fails_and_what_shows_then(open_page: Open) -> None:
    page = open_page("dunlin")
    _search(page, "U13")
    fails = page.locator("#detail h3:text-is('If it fails') + ul li").all_inner_texts()
    assert any(line.startswith("red missing, green missing, blue fine: ") for line in fails)
    assert not any("blue missing" in line for line in fails)


def test_boards_are_the_demo_boards() -> None:
    assert set(BOARDS) <= set(TRUTH)
