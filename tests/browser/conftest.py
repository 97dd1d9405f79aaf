"""A headless Chromium for the page: Debian's, driven by the PyPI package playwright (which brings no browser here).

``RGBROOTS_CHROMIUM`` names the program, else it is looked for as ``chromium``. ``RGBROOTS_REFERENCES`` names the
folder of outside packages (see ``tests/published/conftest.py``); in it ``npm/node_modules`` has the npm packages
``axe-core`` and ``html-validate``. Without a browser these tests are skipped and say so; with the references set a
missing browser is a mistake.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from tests.browser.built import built_folder
from tests.browser.pages import BOARDS, write_pages

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

#: Milliseconds by the clock until a page that does nothing fails its test; a busy machine is slow, not wrong.
_PATIENCE = 60_000


def npm_folder() -> Path | None:
    """``node_modules`` with the outside checks; None when no references are set."""
    base = os.environ.get("RGBROOTS_REFERENCES")
    if not base:
        return None
    folder = Path(base) / "npm" / "node_modules"
    if not folder.is_dir():
        raise pytest.UsageError(f"RGBROOTS_REFERENCES={base} has no folder npm/node_modules")
    return folder


@pytest.fixture(scope="session")
def npm() -> Path:
    folder = npm_folder()
    if folder is None:
        pytest.skip("RGBROOTS_REFERENCES names no folder of unpacked reference packages")
    return folder


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    program = os.environ.get("RGBROOTS_CHROMIUM") or shutil.which("chromium")
    if program is None:
        if os.environ.get("RGBROOTS_REFERENCES"):
            raise pytest.UsageError("there is no chromium, and RGBROOTS_CHROMIUM names none")
        pytest.skip("there is no chromium, and RGBROOTS_CHROMIUM names none")
    with sync_playwright() as playwright:
        # A user data folder of its own is what playwright makes for every launch.
        started = playwright.chromium.launch(executable_path=program, args=FLAGS)
        yield started
        started.close()


@pytest.fixture(scope="session")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    return write_pages(tmp_path_factory.mktemp("pages"))


@pytest.fixture(scope="session")
def web_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder for a browser, built whole."""
    return built_folder(tmp_path_factory)


class Opened:
    """A page with what went wrong in it: errors, refusals of its policy, requests that leave the file."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.wrong: list[str] = []
        page.on("pageerror", lambda error: self.wrong.append(str(error)))
        page.on("console", lambda message: self.wrong.append(message.text))
        page.on(
            "request",
            lambda request: None if request.url.startswith("file:") else self.wrong.append(request.url),
        )


Open = Callable[..., Page]


@pytest.fixture
def open_page(browser: Browser, pages: dict[str, Path]) -> Iterator[Open]:
    """Opens a board's page with the network off; afterwards nothing may have gone wrong in it."""
    contexts: list[BrowserContext] = []
    opened: list[Opened] = []

    def start(
        board: str,
        width: int = 1280,
        height: int = 900,
        *,
        dark: bool = False,
        touch: bool = False,
        policy: bool = True,
        scripts: bool = True,
    ) -> Page:
        context = browser.new_context(
            viewport={"width": width, "height": height},
            color_scheme="dark" if dark else "light",
            offline=True,
            has_touch=touch,
            bypass_csp=not policy,
            java_script_enabled=scripts,
        )
        context.set_default_timeout(_PATIENCE)
        contexts.append(context)
        one = Opened(context.new_page())
        opened.append(one)
        one.page.goto(pages[board].as_uri())
        return one.page

    yield start
    for context in contexts:
        context.close()
    assert [one.wrong for one in opened] == [[] for _ in opened]


def unfold(page: Page) -> None:
    """Opens all sections that a person could open by their headings."""
    page.evaluate("() => { for (const fold of document.querySelectorAll('details.fold')) fold.open = true; }")


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """A test that takes ``board`` runs once for each demo board."""
    if "board" in metafunc.fixturenames:
        metafunc.parametrize("board", BOARDS)
