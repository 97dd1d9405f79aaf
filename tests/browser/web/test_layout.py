"""The page on a phone and on a desk, light and dark: nothing cut, thumbs find everything, other people's judges content."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from tests.boards import NETLISTS
from tests.browser.web.conftest import Start, choose, demo

_VIEWS = ("board", "map", "wrong", "card", "beep")
#: Edge of what a thumb hits, in CSS pixels (WCAG 2.2, target size, enhanced).
_THUMB = 44


def _at(page: Page, view: str) -> None:
    demo(page, "dunlin")
    page.click(f"[data-view={view}]")
    if view in ("wrong", "card"):
        page.wait_for_selector(f"iframe.{view}")
    if view == "beep":
        page.get_by_role("button", name="Begin with the parts of dunlin").click()
        page.wait_for_selector(".hold")


@pytest.mark.parametrize("width", [1280, 390])
def test_no_view_is_wider_than_its_window_and_thumbs_find_all_buttons(start: Start, width: int) -> None:
    page = start(width, 844)
    for view in _VIEWS:
        _at(page, view)
        assert (
            page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 0
        ), view
        small = page.evaluate(
            f"""() => [...document.querySelectorAll("button, .choose-file, summary")].filter((e) => e.checkVisibility()).map((e) => [e.textContent, e.getBoundingClientRect()])
              .filter(([, box]) => box.height < {_THUMB} - 0.5 || box.width < {_THUMB} - 0.5).map(([words]) => words)"""
        )
        assert small == [], view


def test_the_html_is_valid(npm: Path, web_folder: Path, tmp_path: Path) -> None:
    config = tmp_path / "htmlvalidate.json"
    config.write_text(json.dumps({"root": True, "extends": ["html-validate:recommended"]}), encoding="utf-8")
    program = npm / "html-validate" / "bin" / "html-validate.mjs"
    done = subprocess.run(
        ["node", str(program), "--config", str(config), str(web_folder / "index.html")],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert (done.returncode, done.stdout) == (0, "")


@pytest.mark.parametrize("dark", [False, True])
def test_axe_finds_nothing(npm: Path, start: Start, dark: bool, tmp_path: Path) -> None:
    page = start(390 if dark else 1280, 844, color_scheme="dark" if dark else "light", bypass_csp=True)
    axe = (npm / "axe-core" / "axe.min.js").read_text(encoding="utf-8")
    picture = tmp_path / "scan.png"
    picture.write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(60))
    choose(page, picture, NETLISTS / "wren" / "wren.net")
    page.wait_for_selector("#map .map")
    page.evaluate(axe)
    for view in _VIEWS:
        if view != "board":
            _at(page, view)
        else:
            page.click("[data-view=board]")
        # What is in the frames is a board's page and a card, judged in tests of their own.
        found = page.evaluate(
            "axe.run({ exclude: [['iframe']] }, { iframes: false }).then((r) => r.violations.map((v) => v.id + ': ' + v.nodes.map((n) => n.html).join(' | ')))"
        )
        assert found == [], view


def test_by_keyboard(start: Start) -> None:
    page = start()
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "view"
    demo(page, "wren")
    page.locator("[data-view=beep]").focus()
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Begin with the parts of wren").press("Enter")
    page.wait_for_selector(".hold")
    page.locator(".none-of-them").press("Enter")
    page.wait_for_selector("#beep [role=status]:not(:empty)")


def test_a_browser_without_scripts_is_told(browser: Browser, address: str) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(address)
    assert page.get_by_text("it needs scripts").is_visible()
    context.close()
