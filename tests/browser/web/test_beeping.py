"""Beeping by thumb: a whole board by its buttons, and whatever happens to a phone meanwhile."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest
from playwright.sync_api import Page

from tests.boards import NETLISTS
from tests.browser.web.conftest import Start, choose, demo

WREN = NETLISTS / "wren"
#: More answers than this on a board of 8 bits, and the search goes in circles.
_MOST_ANSWERS = 150


def _nets() -> dict[str, str]:
    """Leg -> net of the board, read from its table by the library alone."""
    with (WREN / "wren.csv").open(encoding="utf-8", newline="") as file:
        return {f"{row['part']}.{row['pin']}": row["net"] for row in csv.DictReader(file)}


class Prober:
    """Somebody with a meter before the board, who taps what it says."""

    def __init__(self, page: Page) -> None:
        self.page, self.nets, self.answers = page, _nets(), 0

    @property
    def held(self) -> str:
        return self.page.inner_text(".hold b")

    @property
    def legs(self) -> list[str]:
        return [
            str(leg)
            for leg in self.page.locator(".legs button").evaluate_all("all => all.map(b => b.dataset.leg)")
        ]

    def beeps(self) -> list[str]:
        """Of the legs to touch, those on the held one's net."""
        return [leg for leg in self.legs if self.nets.get(leg, leg) == self.nets.get(self.held, self.held)]

    def answer(self) -> None:
        """Taps what the meter says, and waits for the next touch."""
        found = self.beeps()
        self.tap(f'.legs button[data-leg="{found[0]}"]' if found else ".none-of-them")

    def tap(self, what: str) -> None:
        before = self.page.evaluate("window.rgbroots.beeping.turn")
        self.page.locator(what).tap()
        self.page.wait_for_selector(f'#beep[data-turn="{before + 1}"]')
        self.answers += 1

    @property
    def is_asked(self) -> bool:
        return self.page.locator(".hold").count() > 0


def begin(page: Page) -> Prober:
    """A wren of which only the parts and the colour pins are known."""
    demo(page, "wren")
    page.tap("[data-view=beep]")
    page.get_by_role("button", name="Begin with the parts of wren").tap()
    page.wait_for_selector(".hold")
    return Prober(page)


def found(text: str) -> dict[str, list[tuple[str, str]]]:
    """Colour -> the memory legs of its bits, in the order of the map."""
    return {
        colour: [
            (bit["paths"][0]["source"]["part"], bit["paths"][0]["source"]["pin"]) for bit in value["bits"]
        ]
        for colour, value in json.loads(text)["colours"].items()
    }


def test_a_whole_board_by_its_buttons(start: Start) -> None:
    page = start(390, 844)
    prober = begin(page)
    assert "tube holds high voltage" in page.inner_text("#beep .caution")
    while prober.is_asked:
        prober.answer()
        assert prober.answers < _MOST_ANSWERS
    assert "every bit that was found ends at a memory" in page.inner_text("#beep .sure")
    page.get_by_role("button", name="See the map").tap()
    page.wait_for_selector("#map .map")
    # The true map is the design's.
    true = (WREN / "wren.map.json").read_text(encoding="utf-8")
    assert found(str(page.evaluate("window.rgbroots.results.map.json"))) == found(true)


def test_the_legs_are_lit_on_the_chips(start: Start) -> None:
    page = start(390, 844)
    prober = begin(page)
    # On to a touch of the memory that beeps.
    while not any(leg.startswith("U") for leg in prober.beeps()):
        prober.answer()
    chips = page.locator("#beep figure.chip")
    lit = {
        f"{part}.{number}"
        for part, number in chips.evaluate_all(
            "all => all.flatMap(f => [...f.querySelectorAll('.leg.on:not(.held) .no')].map(n => [f.querySelector('figcaption').textContent.split(/[ ,]/)[0], n.textContent]))"
        )
    }
    drawn = {
        str(part)
        for part in chips.locator("figcaption").evaluate_all(
            "all => all.map(f => f.textContent.split(/[ ,]/)[0])"
        )
    }
    assert lit == {leg for leg in prober.legs if leg.split(".")[0] in drawn}
    assert lit
    # A leg that beeps can be tapped on the drawing.
    beeps = [leg for leg in prober.beeps() if leg in lit]
    assert beeps
    held = prober.held
    prober.tap(f'#beep g[data-item="{beeps[0]}"]')
    assert f"{held} = {beeps[0]}" in page.input_value("#notes")


def test_the_board_in_the_middle_of_beeping_survives_a_reload(start: Start) -> None:
    page = start(390, 844)
    prober = begin(page)
    for _ in range(8):
        prober.answer()
    held, legs, notes = prober.held, prober.legs, page.input_value("#notes")
    page.reload()
    page.wait_for_selector("body[data-is=ready]")
    assert page.input_value("#notes") == notes
    page.tap("[data-view=beep]")
    page.wait_for_selector(".hold")
    assert (prober.held, prober.legs) == (held, legs)
    assert "tube holds high voltage" in page.inner_text("#beep .caution")
    prober.answer()
    assert page.locator("#beep .caution").count() == 0


def test_answers_are_undone_skipped_and_several_at_once(start: Start) -> None:
    page = start(390, 844)
    prober = begin(page)
    first = (prober.held, prober.legs)
    prober.tap(".none-of-them")
    assert "!=" in page.inner_text("#beep [role=status]")
    prober.tap("#beep button:has-text('Undo')")
    assert (prober.held, prober.legs) == first
    assert page.inner_text("#beep [role=status]").startswith("Noted: taken back")
    prober.tap("#beep button:has-text('Skip')")
    assert (prober.held, prober.legs) != first
    while len(prober.beeps()) < 2:
        prober.answer()
    two = prober.beeps()[:2]
    page.tap("#several")
    for leg in two:
        page.tap(f'.legs button[data-leg="{leg}"]')
    held = prober.held
    prober.tap("#these")
    for leg in two:
        assert f"{held} = {leg}" in page.input_value("#notes")


def test_a_leg_that_was_not_swept_is_asked_about(start: Start) -> None:
    page = start(390, 844)
    prober = begin(page)
    while not any(leg.startswith("U9.") for leg in prober.legs):
        prober.answer()
    other = next(f"U9.{n}" for n in range(1, 17) if f"U9.{n}" not in prober.legs)
    notes = page.input_value("#notes")
    page.locator(f'#beep g[data-item="{other}"]').tap()
    page.wait_for_selector("#doubt button")
    assert f"{other} was not among the legs to touch" in page.inner_text("#doubt")
    page.get_by_role("button", name="No", exact=True).tap()
    assert page.input_value("#notes") == notes
    page.locator(f'#beep g[data-item="{other}"]').tap()
    prober.tap("#doubt button:has-text('Yes')")
    assert f"= {other}" in page.input_value("#notes")


def test_the_notes_are_saved_as_the_command_line_reads_them(
    start: Start, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from tracer.cli.main import main

    page = start(390, 844)
    prober = begin(page)
    for _ in range(6):
        prober.answer()
    with page.expect_download() as waited:
        page.locator("#beep summary", has_text="The notes so far").tap()
        page.locator("#beep details[open] button", has_text="Save").tap()
    assert waited.value.suggested_filename == "wren.notes"
    file = tmp_path / "wren.notes"
    waited.value.save_as(file)
    main(["beep", str(file), "--json"])
    advice = json.loads(capsys.readouterr().out)
    shown = page.evaluate("window.rgbroots.beeping.now.advice")
    # Their libraries of mathematics differ in the last digit of a double.
    near = pytest.approx(0, abs=1e-9)
    assert shown["next"]["held"] == advice["next"]["held"]
    for there, here in ((shown["next"]["legs"], advice["next"]["legs"]), (shown["chips"], advice["chips"])):
        assert [{**a, "chance": a["chance"] - b["chance"]} for a, b in zip(there, here, strict=True)] == [
            {**b, "chance": near} for b in here
        ]
    assert {**shown, "next": 0, "chips": 0, "progress": 0} == {**advice, "next": 0, "chips": 0, "progress": 0}


def test_notes_of_a_computer_are_gone_on_with(start: Start, tmp_path: Path) -> None:
    page = start(390, 844)
    prober = begin(page)
    for _ in range(5):
        prober.answer()
    notes, held, legs = page.input_value("#notes"), prober.held, prober.legs
    file = tmp_path / "wren.notes"
    file.write_text(notes, encoding="utf-8")
    page.tap("[data-view=board]")
    page.tap("#notes-new")
    choose(page, file)
    page.wait_for_selector("#board-said .sentence, #map .map")
    page.tap("[data-view=beep]")
    page.get_by_role("button", name="Go on with wren.notes").tap()
    page.wait_for_selector(".hold")
    assert (page.input_value("#notes"), prober.held, prober.legs) == (notes, held, legs)
    prober.tap("#beep button:has-text('Undo')")
    assert "# undone: " in page.input_value("#notes")


def test_two_tabs_never_write_over_each_other(start: Start) -> None:
    page = start()
    page.fill("#notes", "U9 is 82S123\n")
    name = page.evaluate("window.rgbroots.notes.name")
    page.context.set_offline(False)
    other = start(context=page.context, before=f"sessionStorage.setItem('rgbroots tab', {name!r});")
    assert other.input_value("#notes") == "U9 is 82S123\n"
    other.fill("#notes", "U9 is 82S123\nR1 is 220\n")
    page.wait_for_selector("#kept:not([hidden])")
    page.fill("#notes", "U9 is 82S123\nR2 is 470\n")
    assert "kept beside them" in page.inner_text("#kept")
    kept = page.evaluate(
        "Object.keys(localStorage).filter(k => k.startsWith('rgbroots notes ')).map(k => JSON.parse(localStorage[k]).notes)"
    )
    assert sorted(kept) == ["U9 is 82S123\nR1 is 220\n", "U9 is 82S123\nR2 is 470\n"]


@pytest.mark.parametrize("how", ["refused", "full"])
def test_a_browser_that_keeps_nothing_is_told_of(start: Start, how: str) -> None:
    limit = 0 if how == "refused" else 400
    page = start(
        390, 844,
        before=f"Storage.prototype.setItem = function (key, text) {{ if (String(text).length >= {limit}) throw new DOMException('no', 'QuotaExceededError'); }};",
    )  # fmt: skip
    prober = begin(page)
    assert page.locator("#kept").is_visible()
    assert "save" in page.inner_text("#kept")
    for _ in range(3):
        prober.answer()
    assert page.input_value("#notes").count("# answer 3") >= 1
