"""The page at three widths, light and dark, and on paper: nothing cut, nothing over one another."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.browser.conftest import Open
from tests.browser.pages import traced_board
from tracer.card.make import make_card
from tracer.card.pages import lay_out

#: Texts that stick out of the window or their box, or lie over one another; within a region that scrolls a text may
#: stick out. A quarter of a line may overlap: the boxes of letters are higher than letters.
_BAD = """() => {
  /* The bar stays in sight when the page is scrolled; then it lies over what passes below it. */
  window.scrollTo(0, 0);
  const bad = [], boxes = [];
  const wide = document.documentElement.clientWidth;
  if (document.documentElement.scrollWidth > wide) bad.push("the window scrolls sideways");
  const walker = document.createTreeWalker(document.querySelector(".page"), NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const node = walker.currentNode, parent = node.parentElement;
    if (!node.textContent.trim() || parent.closest(".hear, .skip, title, option, [hidden]") || !parent.checkVisibility()) continue;
    if (parent.closest("details:not([open])") && !parent.closest("summary")) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    const inSvg = parent.closest("svg");
    for (const r of inSvg ? [parent.getBoundingClientRect()] : range.getClientRects()) {
      if (r.width < 1 || r.height < 1) continue;
      const words = node.textContent.trim().slice(0, 40);
      const scroller = parent.closest(".scroller");
      if (!scroller && (r.right > wide + 1 || r.left < -1)) bad.push("sticks out: " + words);
      for (let up = parent; up && !up.matches(".scroller, .page"); up = up.parentElement)
        if (getComputedStyle(up).overflowX === "hidden" && r.right > up.getBoundingClientRect().right + 1) bad.push("cut: " + words);
      const svg = parent.closest("svg");
      if (svg) {
        const s = svg.getBoundingClientRect();
        if (r.right > s.right + 2 || r.left < s.left - 2 || r.bottom > s.bottom + 2) bad.push("cut by its picture: " + words);
      }
      boxes.push([r.left, r.top, r.right, r.bottom, words, node]);
    }
  }
  boxes.sort((a, b) => a[1] - b[1]);
  for (let i = 0; i < boxes.length; i++)
    for (let j = i + 1; j < boxes.length && boxes[j][1] < boxes[i][3]; j++) {
      const [a, b] = [boxes[i], boxes[j]];
      if (a[5] === b[5]) continue;
      const x = Math.min(a[2], b[2]) - Math.max(a[0], b[0]), y = Math.min(a[3], b[3]) - Math.max(a[1], b[1]);
      if (x > 1 && y > 0.25 * Math.min(a[3] - a[1], b[3] - b[1])) bad.push("over one another: " + a[4] + " | " + b[4]);
    }
  return bad;
}"""


@pytest.mark.parametrize("width", [1280, 800, 390])
@pytest.mark.parametrize("state", ["at first", "a bit", "a fault"])
def test_no_text_is_cut_or_lies_over_another(board: str, open_page: Open, width: int, state: str) -> None:
    page = open_page(board, width, dark=state == "a bit")
    if state == "a bit":
        page.locator("button.bit").first.click()
    if state == "a fault":
        page.locator("#place").select_option(index=2)
        page.locator("#ramps summary").first.click()
        page.locator(".part summary").first.click()
    assert page.evaluate(_BAD) == []


@pytest.mark.parametrize("width", [1280, 390])
@pytest.mark.parametrize("name", ["odd", "wren-contents"])
def test_nor_on_boards_with_contents_and_evidence(open_page: Open, width: int, name: str) -> None:
    page = open_page(name, width)
    assert page.evaluate(_BAD) == []


@pytest.mark.parametrize(
    ("style", "found"),
    [
        ("h2 { margin-bottom: -1.2em !important }", "over one another: "),
        (".verdict { white-space: nowrap; font-size: 60px }", "sticks out: "),
        (".verdict { white-space: nowrap; overflow: hidden; width: 9em }", "cut: "),
        (".diagram text { font-size: 19px !important }", "over one another: "),
    ],
)
def test_cut_and_covered_texts_would_be_found(open_page: Open, style: str, found: str) -> None:
    page = open_page("dunlin")
    page.evaluate(
        "(css) => document.head.append(Object.assign(document.createElement('style'), {textContent: css}))",
        style,
    )
    assert any(line.startswith(found) for line in page.evaluate(_BAD))


@pytest.mark.parametrize("width", [390, 1280])
def test_what_is_to_touch_is_large_enough(board: str, open_page: Open, width: int) -> None:
    """24 CSS pixels a side, or as much room: WCAG 2.2, success criterion 2.5.8 (buttons in a sentence are exempt)."""
    page = open_page(board, width, touch=True)
    small = page.evaluate(
        "() => [...document.querySelectorAll('button, select, input, summary')].filter((e) => e.checkVisibility())"
        ".filter((e) => { const r = e.getBoundingClientRect(); return r.width < 24 || r.height < 24; })"
        ".map((e) => e.textContent)"
    )
    assert small == []


def test_lit_and_faded_differ_without_colour(open_page: Open) -> None:
    """Thickness and marks: what is lit is thicker than what is faded, and its row has a sign."""
    page = open_page("dunlin")
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
    assert page.locator("button.bit[aria-pressed=true]").inner_text().startswith("R3")


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
