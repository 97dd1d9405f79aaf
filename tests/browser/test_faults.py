"""Faults on the page: ramps, swatches, and what is not known."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import Open
from tests.browser.pages import traced_board


def choose(page: Page, place: str, kind: str) -> None:
    page.get_by_label("Leg or chip", exact=True).select_option(label=place)
    page.get_by_label("Fault", exact=True).select_option(label=kind)


def volts(page: Page, colour: str) -> list[tuple[float, float]]:
    """Healthy and faulty volts by code, out of the colour's table."""
    figure = page.locator(f"#ramps figure:has(figcaption:text-is('{colour}'))")
    figure.locator("summary").click()
    rows = figure.locator("tbody tr").all_inner_texts()
    found = []
    for row in rows:
        a, b = re.findall(r"(-?\d+\.\d+) V", row)
        found.append((float(a), float(b)))
    return found


@pytest.mark.parametrize(("kind", "level"), [("stuck low", 0), ("stuck high", 1)])
@pytest.mark.parametrize(("place", "bit"), [("U9.17 D7", 3), ("U13.14 6D", 2), ("U13.5 2Q", 0)])
def test_a_stuck_leg_shows_the_codes_without_that_bit(
    open_page: Open, kind: str, level: int, place: str, bit: int
) -> None:
    page = open_page("dunlin")
    choose(page, place, kind)
    table = volts(page, "red")
    healthy = [a for a, _ in table]
    assert [b for _, b in table] == [healthy[c & ~(1 << bit) | level << bit] for c in range(16)]
    words = page.inner_text("#ramps figure:has(figcaption:text-is('red'))")
    assert words.startswith("red")
    assert "8 of 16 codes change" in words
    assert "Unchanged" in page.inner_text("#ramps figure:has(figcaption:text-is('green'))")
    assert page.inner_text("#told").splitlines()[0] == f"leg {place}"


def test_a_chip_out_of_its_socket_lets_its_colours_go(open_page: Open) -> None:
    page = open_page("dunlin")
    choose(page, "U14 74x174, whole", "out of its socket")
    assert page.inner_text("#effect").count("is let go") == 4
    assert [b for _, b in volts(page, "blue")] == [0.0] * 16


def test_an_open_cmos_input_is_not_known(open_page: Open) -> None:
    page = open_page("odd")
    choose(page, "U2.3 1D", "open")
    assert "an open input of U2 (HC) floats" in page.inner_text("#effect")
    assert "Faulty: not known" in page.inner_text("#ramps figure:has(figcaption:text-is('red'))")


def test_an_open_bipolar_input_reads_high(open_page: Open) -> None:
    page = open_page("dunlin")
    choose(page, "U13.18 8D", "open")
    assert "red bit 3 is always high" in page.inner_text("#effect")


def test_healing_and_selecting_follow_each_other(open_page: Open) -> None:
    page = open_page("dunlin")
    page.locator("tr[data-leg='U13.18'] th button").click()
    assert page.get_by_label("Leg or chip", exact=True).locator("option:checked").inner_text() == "U13.18 8D"
    page.get_by_role("button", name="No fault").click()
    assert page.inner_text("#effect") == "Healthy: no fault is chosen."
    page.keyboard.press("Escape")
    assert page.inner_text("#told") == "Nothing: the whole board is shown."


def test_the_swatches_of_the_contents_follow_the_fault(open_page: Open) -> None:
    page = open_page("wren-contents")
    # Contents 0, 8, 16 ...: bits 3 to 7 count, the lower three are low.
    bit_map = traced_board("wren").bit_map
    red = next(c for c in bit_map.colours if c.name == "red")
    assert [b.driver.pin for b in red.bits] == ["1", "2", "3"]
    assert page.locator("#healthy-swatches rect").count() == 32
    choose(page, "U9.1 O1", "stuck high")
    copy = page.locator("#faulty-swatches svg")
    assert copy.locator("rect").count() == 32
    assert "32 of 32 entries look different" in page.inner_text("#faulty-swatches")
    choose(page, "U9.9 O8", "stuck low")
    # O8 is bit 7 of the word: high in the upper half of the entries.
    assert "16 of 32 entries look different" in page.inner_text("#faulty-swatches")


#: Chooses every fault as a person would; gives those of which the page says nothing.
_TRY_ALL = """(places) => {
  const place = document.getElementById("place"), kind = document.getElementById("kind"), silent = [];
  for (const value of places) {
    place.value = value;
    place.dispatchEvent(new Event("change"));
    for (const { value: tried, text: name } of [...kind.options].map((o) => ({ value: o.value, text: o.text }))) {
      kind.value = tried;
      kind.dispatchEvent(new Event("change"));
      const said = [...document.querySelectorAll("#effect p")].map((p) => p.textContent);
      const told = document.querySelectorAll("#ramps figcaption + p, #ramps .ramp + p").length;
      if (said.length < 2 || !said[0].endsWith(name + ":") || told < 3) silent.push(value + " " + name);
    }
  }
  return silent;
}"""


def test_every_fault_of_every_board_is_shown(board: str, open_page: Open) -> None:
    page = open_page(board)
    places = page.locator("#place option").evaluate_all("(all) => all.map((o) => o.value).filter(Boolean)")
    assert len(places) == len(
        {(s.part, s.pin) for s in _legs(board)} | {(s.part, None) for s in _legs(board)}
    )
    silent: list[str] = page.evaluate(_TRY_ALL, places)
    assert silent == []


def _legs(board: str) -> list[_Leg]:
    found = []
    for colour in traced_board(board).bit_map.colours:
        for bit in colour.bits:
            path = bit.main_path
            assert path is not None
            found.append(_Leg(str(path.source.part), str(path.source.pin)))
            for step in path.steps:
                found += [_Leg(step.part, step.source_pin), _Leg(step.part, step.target_pin)]
    return found


class _Leg:
    def __init__(self, part: str, pin: str) -> None:
        self.part, self.pin = part, pin
