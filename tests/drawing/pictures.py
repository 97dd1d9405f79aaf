"""The README's pictures of what the program makes: ``python -m tests.drawing.pictures`` draws them anew.

They are photographs of outputs, taken by Chromium and by poppler's pdftoppm, so that no test compares their bytes; that
they are there, and no larger than a README should load, `tests/whole/test_readme.py` checks.
"""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

from tests.browser.built import served
from tests.browser.conftest import FLAGS
from tests.browser.web.conftest import demo
from tests.browser.web.test_beeping import begin
from tracer.cli.main import main
from tracer.web.build import build

PICTURES = Path(__file__).parent / "pictures"
BOARD = Path(__file__).parents[2] / "netlists" / "dunlin" / "dunlin.net"
#: Dots an inch of the card's picture.
_DPI = 72


def _diagnosis(page: Page) -> None:
    """Red comes coarse, the rest is fine: the legs to read are drawn."""
    for word in ("coarse", "fine", "fine"):
        page.locator("#ask-screen .grid button").filter(has=page.get_by_text(word, exact=True)).first.tap()
    page.wait_for_timeout(600)


def _without_install(browser: Browser, address: str) -> None:
    """The page that is the program: a board chosen, and a board beeped."""
    page = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True).new_page()
    page.goto(address)
    demo(page, "dunlin")
    page.screenshot(path=PICTURES / "browser-map.png")
    prober = begin(page)
    while not any(leg.startswith("U") for leg in prober.beeps()):
        prober.answer()
    page.screenshot(path=PICTURES / "browser-beep.png")


def draw() -> None:
    """All of them."""
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        report, card = Path(folder) / "board.html", Path(folder) / "card.pdf"
        main(["report", str(BOARD), "-o", str(report)])
        main(["card", str(BOARD), "-o", str(card)])
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=FLAGS)
            context = browser.new_context(
                viewport={"width": 390, "height": 844}, has_touch=True, offline=True
            )
            page = context.new_page()
            page.goto(report.as_uri())
            page.screenshot(path=PICTURES / "page.png")
            _diagnosis(page)
            page.screenshot(path=PICTURES / "page-asking.png")
            build(Path(folder) / "web")
            with served(Path(folder) / "web") as address:
                _without_install(browser, address)
            browser.close()
        subprocess.run(
            ["pdftoppm", "-r", str(_DPI), "-png", "-singlefile", str(card), str(PICTURES / "card")],
            check=True,
        )


if __name__ == "__main__":
    draw()
