"""The page without an install, in headless Chromium: what is downloaded, and how long a person waits.

The clock counts here, as a person's does; beside each time stands what the same takes on the command line, measured by
turns. A cold start is a browser that has never seen the page: its files come from a server on the same machine.
"""

from __future__ import annotations

import shutil
import time
from collections.abc import Iterator
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

from tests.benchmarks.measure import Goal, Row, Spread, spread
from tests.benchmarks.starting import ROOT, run
from tests.browser.built import served
from tests.browser.conftest import FLAGS
from tracer.web.build import build

__all__ = ["in_a_browser"]

#: Megabytes compressed, seconds.
DOWNLOAD = Goal(at_most=12)
FIRST_MAP = Goal(at_most=8)
SECOND_MAP = {"dunlin": Goal(at_most=1), "plover": Goal(at_most=3)}
ADVICE = Goal(at_most=0.3)

_NETLISTS = ROOT / "netlists"
_DRAWN = {board: _NETLISTS / board / f"{board}.kicad_sch" for board in SECOND_MAP}
#: Answers of a search that are timed: all "no beep", so that each is looked at with all that was silent before.
_ANSWERS = 12


def in_a_browser(folder: Path, repeats: int) -> Iterator[Row]:
    """Rows of what is built into an empty folder."""
    program = shutil.which("chromium")
    if program is None:
        yield Row("the page in a browser", remark="chromium is not installed")
        return
    built = build(folder / "web")
    size = built.compressed / 1e6
    yield Row(
        "download, compressed",
        f"{built.size / 1e6:.1f} MB",
        figure=Spread(size, size, size),
        unit="MB",
        goal=DOWNLOAD,
    )
    with served(folder / "web") as address, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=FLAGS)
        yield from _timed(browser, address, repeats)
        browser.close()


def _timed(browser: Browser, address: str, repeats: int) -> Iterator[Row]:
    cold: list[float] = []
    again: dict[str, list[float]] = {board: [] for board in _DRAWN}
    here: dict[str, list[float]] = {board: [] for board in _DRAWN}
    pages: list[float] = []
    advice: dict[str, list[float]] = {board: [] for board in _DRAWN}
    for _ in range(repeats):
        # A context of its own has kept nothing.
        context = browser.new_context()
        page = context.new_page()
        start = time.perf_counter()
        page.goto(address)
        # Chosen while the program still starts.
        _choose(page, "dunlin")
        cold.append(time.perf_counter() - start)
        for board, file in _DRAWN.items():
            _choose(page, board)
            start = time.perf_counter()
            _choose(page, board)
            again[board].append(time.perf_counter() - start)
            start = time.perf_counter()
            run(["-m", "tracer", "trace", str(file), "--json"])
            here[board].append(time.perf_counter() - start)
        start = time.perf_counter()
        page.click("[data-view=wrong]")
        page.wait_for_selector("iframe.wrong")
        pages.append(time.perf_counter() - start)
        for board in _DRAWN:
            _choose(page, board)
            advice[board] += _advice(page)
        context.close()
    yield Row("first map, dunlin, cold", figure=spread(cold), unit="s", goal=FIRST_MAP)
    for board, goal in SECOND_MAP.items():
        other = f"{spread(here[board]).median:.2f} s"
        yield Row(f"next map, {board}: command line", "", other, spread(again[board]), "s", goal)
    yield Row("its page, plover", figure=spread(pages), unit="s")
    for board, times in advice.items():
        yield Row(f"a beep's advice, {board}", figure=spread(times), unit="s", goal=ADVICE)


def _choose(page: Page, board: str) -> None:
    """From choosing the files to the map that is seen."""
    files = sorted((_NETLISTS / board).glob("*.kicad_sch"))
    page.evaluate("document.getElementById('map').replaceChildren()")
    page.set_input_files("#files", [str(file) for file in files])
    page.wait_for_selector("#map .map", timeout=120_000)


def _advice(page: Page) -> list[float]:
    """Seconds from an answer to the next touch, of each of some answers."""
    found: list[float] = page.evaluate(
        f"""async () => {{
          const {{ engine, board }} = window.rgbroots, times = [];
          let notes = await engine.ask({{ do: "parts_as_notes", board: board.asked() }}), next = await engine.ask({{ do: "beep", notes }});
          for (let n = 0; n < {_ANSWERS} && next.advice.next; n++) {{
            const began = performance.now(), found = await engine.ask({{ do: "reply", notes, answer: "none" }});
            times.push((performance.now() - began) / 1000);
            ({{ notes, next }} = found);
          }}
          return times;
        }}"""
    )
    return found
