"""The page before other people's judges: npm packages html-validate (preset recommended) and axe-core (all rules)."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

import pytest

from tests.browser.conftest import Open, unfold
from tests.browser.pages import BOARDS


def test_the_html_is_valid(npm: Path, pages: dict[str, Path], tmp_path: Path) -> None:
    config = tmp_path / "htmlvalidate.json"
    config.write_text(json.dumps({"root": True, "extends": ["html-validate:recommended"]}), encoding="utf-8")
    program = npm / "html-validate" / "bin" / "html-validate.mjs"
    result = subprocess.run(
        ["node", str(program), "--config", str(config), *map(str, pages.values())],
        capture_output=True,
        text=True,
        check=False,
    )
    assert (result.returncode, result.stdout) == (0, "")


def test_the_judge_of_html_finds_faults(npm: Path, pages: dict[str, Path], tmp_path: Path) -> None:
    bad = tmp_path / "bad.html"
    bad.write_text(
        pages["wren"].read_text(encoding="utf-8").replace("<main>", "<main><p><div>"), encoding="utf-8"
    )
    program = npm / "html-validate" / "bin" / "html-validate.mjs"
    result = subprocess.run(
        ["node", str(program), "--preset", "recommended", str(bad)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert result.returncode == 1


_STATES = ("at first", "unfolded", "a bit", "a leg", "a part", "a fault", "searching")
_CASES = [
    (name, state, dark)
    for name in (*BOARDS, "odd")
    for state, dark in (("at first", False), ("unfolded", False), ("a bit", True))
]
_CASES += [("dunlin", state, dark) for state in _STATES for dark in (False, True)]


@pytest.mark.parametrize(("name", "state", "dark"), dict.fromkeys(_CASES))
def test_axe_finds_nothing(npm: Path, open_page: Open, name: str, state: str, dark: bool) -> None:
    page = open_page(name, 390 if dark else 1280, dark=dark, policy=False)
    if state != "at first":
        unfold(page)
    if state == "a bit":
        page.locator("button.bit").first.click()
    if state == "a leg":
        page.locator("tr[data-leg] th button").first.click()
    if state == "a part":
        page.locator("#find").fill("r1")
        page.locator("#found button").first.click()
    if state == "a fault":
        page.locator("#place").select_option(index=2)
        page.locator("#ramps summary").first.click()
    if state == "searching":
        page.locator("#find").fill("u")
    page.evaluate((npm / "axe-core" / "axe.min.js").read_text(encoding="utf-8"))
    found = page.evaluate("() => axe.run(document, {resultTypes: ['violations']})")
    assert [(v["id"], v["nodes"][0]["html"]) for v in found["violations"]] == []
    assert len(found["passes"]) > 20
