"""Contrast of the texts inside the pictures, computed: a checker of pages leaves what lies in an SVG undecided.

At least 4.5 to 1 (WCAG 2.2, success criterion 1.4.3), by the relative luminance that it defines.
"""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import Open

LEAST = 4.5
#: Of each text in a picture its colour and that of the last shape behind its middle, else of the paper.
_TEXTS = """(selector) => {
  const found = [];
  const paper = (e) => { for (let up = e; up; up = up.parentElement) { const c = getComputedStyle(up).backgroundColor; if (c !== "rgba(0, 0, 0, 0)") return c; } return "rgb(255, 255, 255)"; };
  for (const svg of document.querySelectorAll(selector)) {
    const shapes = [...svg.querySelectorAll("polygon, rect, path, text")];
    const boxes = shapes.map((e) => e.getBoundingClientRect());
    shapes.forEach((e, at) => {
      if (e.tagName !== "text" || !e.textContent.trim() || !e.checkVisibility()) return;
      const b = boxes[at], x = b.left + b.width / 2, y = b.top + b.height / 2;
      let ground = paper(svg);
      for (let i = 0; i < at; i++) {
        const s = getComputedStyle(shapes[i]), r = boxes[i];
        if (shapes[i].tagName === "text" || shapes[i].tagName === "path" || s.fill === "none" || s.fill === "rgba(0, 0, 0, 0)") continue;
        if (r.left <= x && x <= r.right && r.top <= y && y <= r.bottom) ground = s.fill;
      }
      found.push([e.textContent.trim(), getComputedStyle(e).fill, ground]);
    });
  }
  return found;
}"""


def luminance(colour: str) -> float:
    parts = [float(x) / 255 for x in colour[colour.index("(") + 1 : -1].replace(",", " ").split()[:3]]
    r, g, b = (x / 12.92 if x <= 0.04045 else ((x + 0.055) / 1.055) ** 2.4 for x in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(a: str, b: str) -> float:
    high, low = sorted((luminance(a), luminance(b)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def faint(page: Page, selector: str) -> list[Any]:
    texts = page.evaluate(_TEXTS, selector)
    assert len(texts) > 20
    return [(words, ink, ground) for words, ink, ground in texts if contrast(ink, ground) < LEAST]


def test_black_on_white_is_21_to_1() -> None:
    """The example of WCAG's definition of contrast ratio."""
    assert contrast("rgb(0, 0, 0)", "rgb(255, 255, 255)") == pytest.approx(21.0)


@pytest.mark.parametrize("dark", [False, True])
@pytest.mark.parametrize("chosen", [False, True])
def test_the_diagram_can_be_read(board: str, open_page: Open, dark: bool, chosen: bool) -> None:
    page = open_page(board, dark=dark)
    if chosen:
        page.locator("button.bit").first.click()
    assert faint(page, "svg.diagram") == []


@pytest.mark.parametrize("dark", [False, True])
def test_the_drawing_of_a_chip_can_be_read(open_page: Open, dark: bool) -> None:
    page = open_page("dunlin", dark=dark)
    for word in ("coarse", "fine", "fine"):
        page.locator("#ask-screen .grid button").filter(has=page.get_by_text(word, exact=True)).first.click()
    assert faint(page, "svg.chip-drawing") == []


def test_a_faint_text_would_be_found(open_page: Open) -> None:
    page = open_page("dunlin")
    page.evaluate(
        "() => document.head.append(Object.assign(document.createElement('style'),"
        " {textContent: '.diagram text { fill: #999999 !important }'}))"
    )
    assert faint(page, "svg.diagram")
