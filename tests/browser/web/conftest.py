"""The page that needs no install: the built folder, served as people serve it, with the network off once it is kept."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from tests.browser.built import served

#: Milliseconds by the clock until a page that does nothing fails its test; a busy machine is slow, not wrong.
_PATIENCE = 120_000
Start = Callable[..., Page]


@pytest.fixture(scope="module")
def address(web_folder: Path) -> Iterator[str]:
    """Where the folder is served."""
    with served(web_folder) as found:
        yield found


@pytest.fixture
def start(browser: Browser, address: str) -> Iterator[Start]:
    """Opens the page and waits until it is kept; from then on there is no network. Nothing may go wrong in it, and it
    may ask for nothing but the folder's own files; `refused` is what the browser says of what a test tries to do.
    """
    contexts: list[BrowserContext] = []
    wrong: list[str] = []

    def opened(
        width: int = 1280,
        height: int = 900,
        *,
        context: BrowserContext | None = None,
        before: str = "",
        refused: str = "",
        is_kept: bool = True,
        **more: Any,
    ) -> Page:
        if context is None:
            context = browser.new_context(
                viewport={"width": width, "height": height},
                has_touch=width < 500,
                accept_downloads=True,
                **more,
            )
            contexts.append(context)
        context.set_default_timeout(_PATIENCE)
        if before:
            context.add_init_script(before)
        page = context.new_page()
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.on(
            "console",
            lambda message: None if refused and refused in message.text else wrong.append(message.text),
        )
        page.on(
            "request",
            lambda request: (
                None
                if request.url.startswith((address, "blob:", "data:", "about:"))
                else wrong.append(request.url)
            ),
        )
        page.goto(address)
        if not is_kept:
            return page
        page.wait_for_selector("body[data-is=ready][data-kept=yes]")
        context.set_offline(True)
        return page

    yield opened
    for context in contexts:
        context.close()
    assert wrong == []


def demo(page: Page, name: str) -> None:
    """Chooses a demo board; ends when its map is there."""
    page.click("[data-view=board]")
    page.locator("#demos button").filter(has=page.get_by_text(name, exact=True)).click()
    page.wait_for_selector("#map .map")


def choose(page: Page, *files: Path, folder: bool = False) -> None:
    """Chooses files, or a folder."""
    page.click("[data-view=board]")
    page.set_input_files(
        "#folder" if folder else "#files", [str(file) for file in files] if not folder else str(files[0])
    )


def saved(page: Page, name: str) -> bytes:
    """What a button saves."""
    with page.expect_download() as waited:
        page.get_by_role("button", name=name).click()
    return Path(waited.value.path()).read_bytes()


def said(page: Page) -> str:
    """The sentence about the board that was chosen."""
    page.wait_for_selector("#board-said .sentence")
    return page.inner_text("#board-said .sentence")
