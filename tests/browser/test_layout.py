"""The page at three widths, light and dark, and on paper: nothing cut, nothing over one another, the first things first."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Page

from tests.boards import board as small_board
from tests.browser.conftest import Open, unfold
from tests.browser.pages import traced_board
from tracer.card.make import make_card
from tracer.card.pages import lay_out
from tracer.page.html import emit
from tracer.page.make import make_page
from tracer.suspects.words import WORDS
from tracer.tracing.pipeline import trace_fully

#: Texts that stick out of the window or their box, or lie over one another; within a region that scrolls a text may
#: stick out, and what it shows of it counts. A quarter of a line may overlap: the boxes of letters are higher than letters.
_BAD = """() => {
  /* The bar stays in sight when the page is scrolled; then it lies over what passes below it. */
  window.scrollTo({ top: 0, behavior: "instant" });
  const bad = [], boxes = [];
  const wide = document.documentElement.clientWidth;
  if (document.documentElement.scrollWidth > wide) bad.push("the window scrolls sideways");
  const sheet = document.getElementById("sheet"), lies = getComputedStyle(sheet).position === "fixed";
  const scrolls = (e) => /auto|scroll/.test(getComputedStyle(e).overflowX + getComputedStyle(e).overflowY);
  const regions = (e) => { const all = []; for (let up = e; up && !up.matches(".page"); up = up.parentElement) if (scrolls(up)) all.push(up); return all; };
  const walker = document.createTreeWalker(document.querySelector(".page"), NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const node = walker.currentNode, parent = node.parentElement;
    if (!node.textContent.trim() || parent.closest(".hear, .skip, title, option, [hidden], noscript") || !parent.checkVisibility()) continue;
    if (parent.closest("details:not([open])") && !parent.closest("summary")) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    const inSvg = parent.closest("svg"), own = regions(parent);
    for (const r of inSvg ? [parent.getBoundingClientRect()] : range.getClientRects()) {
      if (r.width < 1 || r.height < 1) continue;
      const words = node.textContent.trim().slice(0, 40);
      const scroller = parent.closest(".scroller");
      if (!scroller && (r.right > wide + 1 || r.left < -1)) bad.push("sticks out: " + words);
      for (let up = parent; up && !up.matches(".scroller, .page"); up = up.parentElement)
        if (getComputedStyle(up).overflowX === "hidden" && r.right > up.getBoundingClientRect().right + 1) bad.push("cut: " + words);
      for (const region of own)
        if (!region.matches(".scroller") && r.right > region.getBoundingClientRect().right + 1) bad.push("cut: " + words);
      const svg = parent.closest("svg");
      if (svg) {
        const s = svg.getBoundingClientRect();
        if (r.right > s.right + 2 || r.left < s.left - 2 || r.bottom > s.bottom + 2) bad.push("cut by its picture: " + words);
      }
      const seen = [r.left, r.top, r.right, r.bottom];
      for (const region of own) {
        const s = region.getBoundingClientRect();
        [seen[0], seen[1]] = [Math.max(seen[0], s.left), Math.max(seen[1], s.top)];
        [seen[2], seen[3]] = [Math.min(seen[2], s.right), Math.min(seen[3], s.bottom)];
      }
      boxes.push({ whole: [r.left, r.top, r.right, r.bottom], seen, words, node, region: own[0] || null, above: lies && sheet.contains(parent) });
    }
  }
  boxes.sort((a, b) => a.whole[1] - b.whole[1]);
  for (let i = 0; i < boxes.length; i++)
    for (let j = i + 1; j < boxes.length && boxes[j].whole[1] < boxes[i].whole[3]; j++) {
      const [one, other] = [boxes[i], boxes[j]];
      /* The sheet from below lies over the page; what it covers can be scrolled from under it. */
      if (one.node === other.node || one.above !== other.above) continue;
      const [a, b] = one.region === other.region ? [one.whole, other.whole] : [one.seen, other.seen];
      const x = Math.min(a[2], b[2]) - Math.max(a[0], b[0]), y = Math.min(a[3], b[3]) - Math.max(a[1], b[1]);
      if (x > 1 && y > 1 && y > 0.25 * Math.min(a[3] - a[1], b[3] - b[1])) bad.push("over one another: " + one.words + " | " + other.words);
    }
  return bad;
}"""


def bring_to(page: Page, state: str) -> None:
    """What a person does until the page looks so."""
    if state != "at first":
        unfold(page)
    if state == "a bit":
        page.locator("button.bit").first.click()
    if state == "a leg":
        page.locator("tr[data-leg] th button").first.click()
    if state == "a part":
        page.locator(".part h3 button").first.click()
    if state == "a fault":
        page.locator("#place").select_option(index=2)
        page.locator("#ramps summary").first.click()
        page.locator(".part summary").first.click()
    if state == "told":
        page.locator("#ask-screen .grid button").nth(1).click()
        page.locator("#ask details > summary").first.click()
        page.locator("#ask-suspects summary").first.click()


_STATES = ("at first", "unfolded", "a bit", "a leg", "a part", "a fault", "told")


@pytest.mark.parametrize("width", [1280, 800, 390])
@pytest.mark.parametrize("state", _STATES)
def test_no_text_is_cut_or_lies_over_another(board: str, open_page: Open, width: int, state: str) -> None:
    page = open_page(board, width, dark=state == "a bit")
    bring_to(page, state)
    assert page.evaluate(_BAD) == []


@pytest.mark.parametrize("width", [1280, 390])
@pytest.mark.parametrize("name", ["odd", "wren-contents"])
def test_nor_on_boards_with_contents_and_evidence(open_page: Open, width: int, name: str) -> None:
    page = open_page(name, width)
    assert page.evaluate(_BAD) == []
    unfold(page)
    assert page.evaluate(_BAD) == []


@pytest.mark.parametrize(
    ("style", "found"),
    [
        ("h1 { margin-bottom: -1.2em !important }", "over one another: "),
        (".verdict { white-space: nowrap; font-size: 60px }", "sticks out: "),
        (".verdict { white-space: nowrap; overflow: hidden; width: 9em }", "cut: "),
        (".diagram text { font-size: 19px !important }", "over one another: "),
        (".side { margin-left: -9rem }", "over one another: "),
        ("#ask button { white-space: nowrap; font-size: 30px }", "cut: "),
    ],
)
def test_cut_and_covered_texts_would_be_found(open_page: Open, style: str, found: str) -> None:
    page = open_page("dunlin")
    unfold(page)
    page.evaluate(
        "(css) => document.head.append(Object.assign(document.createElement('style'), {textContent: css}))",
        style,
    )
    assert any(line.startswith(found) for line in page.evaluate(_BAD))


#: Buttons, headings that fold, fields and choices that are lower than 44 CSS pixels, or words to click below 24.
_SMALL = """() => [...document.querySelectorAll("button, select, input, summary, textarea")].filter((e) => e.checkVisibility())
  .filter((e) => {
    const r = e.getBoundingClientRect(), least = e.matches(".link") ? 24 : 44;
    return r.width < 24 || r.height < least - 0.01;
  })
  .map((e) => [e.localName, e.id || e.textContent, Math.round(e.getBoundingClientRect().height)])"""


@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize("state", ["at first", "a bit", "a leg", "a part", "a fault", "told"])
def test_what_is_to_touch_is_large_enough(board: str, open_page: Open, width: int, state: str) -> None:
    """44 CSS pixels as WCAG 2.5.5 has it; words in tables and sentences 24 a side: WCAG 2.2, success criterion 2.5.8."""
    page = open_page(board, width, touch=True)
    bring_to(page, state)
    page.evaluate(
        "(all) => { if (all) for (const e of document.querySelectorAll('details')) e.open = true; }",
        state != "at first",
    )
    # What folds open fills itself a moment later.
    page.wait_for_function("() => new Promise((done) => setTimeout(() => done(true), 50))")
    assert page.evaluate(_SMALL) == []


# -- the first screen -------------------------------------------------------------------------------

_WINDOWS = [(1280, 800), (390, 844)]
#: Names of what does not lie within the window, of the diagram its upper half.
_OUTSIDE = """() => {
  const outside = [], wide = document.documentElement.clientWidth, high = window.innerHeight;
  const test = (name, r, bottom) => {
    if (!r.width || !r.height || r.left < 0 || r.top < 0 || r.right > wide || bottom > high) outside.push(name + " to " + Math.round(bottom));
  };
  const all = (selector) => [...document.querySelectorAll(selector)].map((e) => [e, e.getBoundingClientRect()]);
  for (const [e, r] of all("h1, button.bit, #ask-screen > .grid button, #ask-screen > .question")) test(e.textContent, r, r.bottom);
  const region = document.getElementById("scroller").getBoundingClientRect();
  const picture = document.querySelector("svg.diagram").getBoundingClientRect();
  test("diagram", region, picture.top + picture.height / 2);
  if (picture.top + picture.height / 2 > region.bottom) outside.push("diagram cut at " + Math.round(region.bottom));
  return outside;
}"""


@pytest.mark.parametrize(("width", "height"), _WINDOWS)
@pytest.mark.parametrize("name", ["dunlin", "wren", "plover"])
def test_the_first_screen_has_the_bits_the_diagram_and_the_first_question(
    open_page: Open, name: str, width: int, height: int
) -> None:
    page, bit_map = open_page(name, width, height), traced_board(name).bit_map
    assert page.evaluate(_OUTSIDE) == []
    assert page.locator("h1").inner_text() == bit_map.name
    assert page.locator("button.bit").count() == bit_map.n_bits
    words = page.locator("#ask-screen .grid").first.locator("button > span")
    assert words.all_inner_texts() == list(WORDS)
    assert page.locator("#ask-screen .question").first.inner_text() == "What does red do on the screen?"
    page.evaluate("() => { document.querySelector('header').style.paddingTop = '45rem'; }")
    assert page.evaluate(_OUTSIDE) != []


@pytest.mark.parametrize("name", ["dunlin", "wren", "plover"])
def test_on_a_telephone_the_sheet_of_a_bit_lies_within_the_window(open_page: Open, name: str) -> None:
    page = open_page(name, 390, 844, touch=True)
    for colour in ("red", "green", "blue"):
        page.locator(".bar").get_by_role("button", name=f"{colour} 0", exact=True).tap()
        box = page.locator("#sheet").bounding_box()
        assert box is not None
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= 390
        assert box["height"] > 100
        assert box["y"] > 844 / 4
        assert box["y"] + box["height"] <= 844 + 0.5
        assert page.get_by_role("button", name="Close", exact=True).is_visible()
        # The last line of the page can be scrolled from under it.
        last = page.evaluate(
            "() => { window.scrollTo({ top: 1e6, behavior: 'instant' });"
            " const r = document.querySelector('footer').getBoundingClientRect().bottom;"
            " window.scrollTo({ top: 0, behavior: 'instant' }); return r; }"
        )
        assert last <= box["y"]
        page.get_by_role("button", name="Close", exact=True).tap()
        assert page.locator("#sheet").is_hidden()


@pytest.mark.parametrize(("width", "opened"), [(1280, ["h-map"]), (960, ["h-map"]), (959, []), (390, [])])
def test_sections_are_folded_at_first(board: str, open_page: Open, width: int, opened: list[str]) -> None:
    """On wide windows the map alone is open; each section opens at its heading."""
    page = open_page(board, width, 844)
    folds = page.locator("details.fold")
    is_open = "(all) => all.filter((e) => e.open).map((e) => e.querySelector('h2').id)"
    assert folds.evaluate_all(is_open) == opened
    assert folds.count() >= 4
    high = page.evaluate("() => document.documentElement.scrollHeight")
    if width == 390:
        assert high <= 4 * 844
    unfold(page)
    assert page.evaluate("() => document.documentElement.scrollHeight") > high + 844
    page.evaluate("() => { for (const e of document.querySelectorAll('details.fold')) e.open = false; }")
    for fold in folds.all():
        assert fold.locator("summary h2").first.is_visible()
    page.locator("summary:has(#h-legs)").click()
    assert folds.evaluate_all(is_open) == ["h-legs"]
    assert page.locator("tr[data-leg] th").first.is_visible()


def test_a_link_into_a_folded_section_opens_it(open_page: Open) -> None:
    """As the count of warnings at the top has one."""
    page = open_page("dunlin", 390)
    page.evaluate(
        "() => document.querySelector('header').append("
        "Object.assign(document.createElement('a'), { href: '#h-legs', textContent: 'legs' }))"
    )
    row = page.locator("tr[data-leg] th").first
    assert row.is_hidden()
    page.locator("header a[href='#h-legs']").click()
    assert row.is_visible()


@pytest.mark.parametrize("name", ["odd", "dunlin"])
def test_without_scripts_everything_that_can_be_read_is_open(open_page: Open, name: str) -> None:
    page = open_page(name, scripts=False)
    for section in ("h-map", "h-legs", *(["h-suspects", "h-evidence"] if name == "odd" else [])):
        inside = page.locator(f"section[aria-labelledby={section}] :is(td, li)").first
        assert inside.is_visible(), section
    for needs in (".bar", "#fault", "#sheet"):
        assert page.locator(needs).is_hidden(), needs
    assert page.locator("p.no-script").is_visible()


def test_lit_and_faded_differ_without_colour(open_page: Open) -> None:
    """Thickness and marks: what is lit is thicker than what is faded, and its row has a sign."""
    page = open_page("dunlin")
    unfold(page)
    page.locator("button.bit").first.click()
    lit, off = (
        page.locator(f".diagram g.edge.{state} > path:not(.under)").first.evaluate(
            "(e) => parseFloat(getComputedStyle(e).strokeWidth)"
        )
        for state in ("lit", "off")
    )
    assert lit >= 2.5 * off
    sign = page.locator("tr.lit[data-leg] th").first.evaluate(
        "(e) => getComputedStyle(e, '::before').content"
    )
    assert "\u25b8" in sign
    assert page.locator("button.bit[aria-pressed=true]").text_content() == "red 3"


def test_the_print_is_the_card_on_a4(board: str, open_page: Open, tmp_path: Path) -> None:
    """A4 is 210 mm by 297 mm (ISO 216), 595.28 by 841.89 points of 1/72 inch."""
    page = open_page(board)
    data = page.pdf(path=tmp_path / "card.pdf", prefer_css_page_size=True)
    sizes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", data)
    assert len(sizes) == len(lay_out(make_card(traced_board(board), 75.0)))
    for wide, high in sizes:
        assert float(wide) == pytest.approx(595.28, abs=1.0)
        assert float(high) == pytest.approx(841.89, abs=1.0)
    page.emulate_media(media="print")
    assert page.locator(".page").is_hidden()
    assert page.locator(".printed svg").first.is_visible()


def test_without_a_card_the_page_itself_is_printed(open_page: Open) -> None:
    page = open_page("odd", 794)
    page.emulate_media(media="print")
    assert page.locator("h1").is_visible()
    assert page.locator(".bar").is_hidden()
    assert page.evaluate("() => document.documentElement.scrollWidth <= document.documentElement.clientWidth")


def test_on_paper_nothing_stays_folded(open_page: Open, tmp_path: Path) -> None:
    page = open_page("odd", 390)
    folds = page.locator("details.fold")
    is_open = "(all) => all.map((e) => e.open)"
    assert not any(folds.evaluate_all(is_open))
    page.pdf(path=tmp_path / "page.pdf")
    assert all(folds.evaluate_all(is_open))


def test_a_colour_of_eight_bits_stays_within_a_phone(
    open_page: Open, pages: dict[str, Path], tmp_path: Path
) -> None:
    outputs = (1, 2, 3, 4, 5, 6, 7, 9)
    lines = ["part J1 socket 1=RED", "part U1 82S123", "VCC: U1.16", "GND: U1.8 U1.15"]
    lines += [f"part R{n} {100 * 2**n}" for n in range(8)]
    lines += [f"U1.{pin} R{n}.1" for n, pin in enumerate(outputs)]
    lines.append("RED: J1.1 " + " ".join(f"R{n}.2" for n in range(8)))
    traced = trace_fully(small_board("\n".join(lines) + "\n", "eight"), pins={"red": "J1.1"})
    pages["eight"] = tmp_path / "eight.html"
    pages["eight"].write_text(emit(make_page(traced)), encoding="utf-8")
    page = open_page("eight", 390, touch=True)
    rights = page.locator(".bits button").evaluate_all(
        "(all) => all.map((e) => e.getBoundingClientRect().right)"
    )
    assert len(rights) == 9
    assert max(rights) <= 390
    assert page.evaluate(_BAD) == []
