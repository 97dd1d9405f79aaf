"""Faults on the page: ramps, swatches, entries, and what is not known."""

from __future__ import annotations

import re
from functools import cache

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import Open, unfold
from tests.browser.pages import traced_board
from tracer.page.make import make_page
from tracer.page.values import BoardPage
from tracer.suspects.picture import HEALTHY, picture_of

PLACE = "Leg or part"


@cache
def page_of(board: str) -> BoardPage:
    return make_page(traced_board(board))


def choose(page: Page, place: str, kind: str) -> None:
    """A place by its words, or by its name alone."""
    unfold(page)
    select = page.get_by_label(PLACE, exact=True)
    labels = select.locator("option").all_text_contents()
    [label] = [x for x in labels if x == place] or [x for x in labels if x.startswith(f"{place} ")][:1]
    select.select_option(label=label)
    page.get_by_label("Fault", exact=True).select_option(label=kind)


def words_of(page: Page, colour: str) -> str:
    return page.inner_text(f"#ramps figure:has(figcaption:text-is('{colour}'))")


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
    words = words_of(page, "red")
    assert words.startswith("red")
    assert "8 of 16 codes change" in words
    assert "Unchanged" in words_of(page, "green")
    assert page.inner_text("#told").splitlines()[0] == f"leg {place}"
    assert page.inner_text("#effect").splitlines()[0] == f"leg {place} {kind}:"


@pytest.mark.parametrize(
    ("name", "place", "kind", "part", "pin"),
    [
        ("dunlin", "R1", "open", "R1", None),
        ("dunlin", "R4", "0.3 times its value", "R4", None),
        ("plover", "Q101", "open", "Q101", None),
        ("plover", "Q201", "base-emitter short", "Q201", None),
        ("plover", "R106", "shorted", "R106", None),
        ("wren", "J1.1", "red and green shorted together", "J1", "1"),
        ("wren", "J1.2", "shorted to ground", "J1", "2"),
        ("wren", "J1.1", "no load at the monitor", "J1", "1"),
        ("avocet", "avocet-video:J2.2", "no contact on the board", "avocet-video:J2", "2"),
    ],
)
def test_parts_of_the_stage_and_the_plug_show_the_volts_of_their_solution(
    open_page: Open, name: str, place: str, kind: str, part: str, pin: str | None
) -> None:
    """What the tables of the page say is what the solver says, for every colour."""
    page, shown = open_page(name), page_of(name)
    assert shown.tables is not None
    [number] = [f.fault for f in shown.faults if (f.part, f.pin, f.words) == (part, pin, kind)]
    picture = picture_of(traced_board(name), 75.0)
    ramps, healthy = picture.ramps(shown.tables.reasoning.faults[number].effect), picture.ramps(HEALTHY)
    assert "shorted together" in kind or ramps != healthy
    choose(page, place, kind)
    assert f"{kind}:" in page.inner_text("#effect").splitlines()[0]
    for colour, faulty in ramps.items():
        was = healthy[colour]
        assert was is not None
        assert faulty is not None
        if faulty == was:
            assert "Unchanged" in words_of(page, colour)
            continue
        table = volts(page, colour)
        assert [a for a, _ in table] == pytest.approx(was, abs=0.0011)
        assert [b for _, b in table] == pytest.approx(faulty, abs=0.0011)


def test_swapped_wires_are_told_by_the_screen_where_the_steps_are_alike(open_page: Open) -> None:
    """dunlin's three stages have the same steps: no ramp changes, red and green come as one another all the same."""
    page = open_page("dunlin")
    choose(page, "J1.12", "wires of red and green swapped")
    assert "On the screen: red mixed, green mixed, blue fine." in page.inner_text("#effect")
    assert [c for c in ("red", "green", "blue") if "Unchanged" not in words_of(page, c)] == []


def test_wires_of_unlike_colours_swapped_have_no_ramp(open_page: Open) -> None:
    """wren's red has 8 steps and its blue 4: which code of one meets which of the other depends on the picture."""
    page = open_page("wren")
    choose(page, "J1.1", "wires of red and blue swapped")
    assert "Faulty: not known" in words_of(page, "red")
    assert "Faulty: not known" in words_of(page, "blue")
    assert "Unchanged" in words_of(page, "green")


def test_a_line_of_the_address_tells_which_entries_show_as_which(open_page: Open) -> None:
    """A0 low: every odd entry is read where the even one before it lies; A7 high: the lower half as the upper one."""
    page = open_page("dunlin")
    choose(page, "U9.8 A0", "stuck low")
    words = page.inner_text("#effect")
    assert "Of 256 entries 128 show another's colour: 1 shows as 0, 3 shows as 2, 5 shows as 4," in words
    choose(page, "U9.1 A7", "stuck high")
    assert "Of 256 entries 128 show another's colour: 0 shows as 128, 1 shows as 129," in page.inner_text(
        "#effect"
    )
    choose(page, "U9.8 A0", "shorted with leg 7")
    # A low level wins: of four entries only the last is reached with both lines high.
    assert "Of 256 entries 128 show another's colour: 1 shows as 0, 2 shows as 0, 5 shows as 4, 6 shows as 4" in (
        page.inner_text("#effect")
    )  # fmt: skip
    for colour in ("red", "green", "blue"):
        assert "Unchanged" in words_of(page, colour)


def test_a_chip_out_of_its_socket_lets_its_colours_go(open_page: Open) -> None:
    page = open_page("dunlin")
    choose(page, "U14 74LS174, whole", "out of its socket")
    assert page.inner_text("#effect").count("is let go") == 4
    assert [b for _, b in volts(page, "blue")] == [0.0] * 16


def test_an_open_cmos_input_is_not_known(open_page: Open) -> None:
    page = open_page("odd")
    choose(page, "U2.3 1D", "open")
    assert "an open input of U2 (HC) floats" in page.inner_text("#effect")
    assert "Faulty: not known" in words_of(page, "red")


def test_an_open_bipolar_input_reads_high(open_page: Open) -> None:
    page = open_page("dunlin")
    choose(page, "U13.18 8D", "open")
    assert "red bit 3 is always high" in page.inner_text("#effect")


def test_healing_and_selecting_follow_each_other(open_page: Open) -> None:
    page = open_page("dunlin")
    unfold(page)
    page.locator("tr[data-leg='U13.18'] th button").click()
    assert page.get_by_label(PLACE, exact=True).locator("option:checked").inner_text() == "U13.18 8D"
    page.get_by_role("button", name="No fault").click()
    assert page.inner_text("#effect") == "Healthy: no fault is chosen."
    assert page.inner_text("#told").splitlines()[0] == "leg U13.18 8D"
    choose(page, "U13.18 8D", "stuck low")
    page.keyboard.press("Escape")
    assert page.inner_text("#effect") == "Healthy: no fault is chosen."
    assert page.locator("#sheet").is_hidden()
    assert page.inner_text("#told") == ""


def test_a_bit_shows_what_the_picture_loses_without_it(open_page: Open) -> None:
    """Its ramp beside the healthy one, as the fault of its driver has it."""
    page = open_page("dunlin")
    page.locator(".bar").get_by_role("button", name="red 3", exact=True).click()
    loss = page.locator("#detail h3:text-is('Without it') + figure")
    assert loss.locator("figcaption").inner_text() == "red"
    assert loss.locator("svg .sw").count() == 2 * 16
    assert page.inner_text("#effect", timeout=1000) == ""  # nothing is chosen in the folded section
    choose(page, "U13.19 8Q", "stuck low")
    tried = page.locator("#ramps figure:has(figcaption:text-is('red'))")
    fills = "(all) => all.map((e) => e.getAttribute('fill'))"
    page.locator(".bar").get_by_role("button", name="red 3", exact=True).click()
    assert loss.locator("svg .sw").evaluate_all(fills) == tried.locator("svg .sw").evaluate_all(fills)


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


def test_the_swatches_follow_a_line_of_the_address(open_page: Open) -> None:
    """A0 low: each odd entry looks as the even one before it, all others as they should."""
    page = open_page("wren-contents")
    choose(page, "U9.10 A0", "stuck low")
    fills = "(all) => all.map((e) => e.getAttribute('fill'))"
    faulty: list[str] = page.locator("#faulty-swatches rect").evaluate_all(fills)
    assert faulty[1::2] == faulty[0::2]
    assert "16 of 32 entries look different" in page.inner_text("#faulty-swatches")
    assert len(set(faulty)) == 16


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
      const changed = /codes change|not known/.test(document.getElementById("ramps").textContent);
      const tells = said.slice(1).some((words) => !/^On the screen: (\\w+ fine[,.] ?)+$/.test(words)) || changed;
      if (!tells || !said[0].endsWith(name + ":") || told < 3) silent.push(value + " " + name);
    }
  }
  return silent;
}"""


def test_every_fault_of_every_board_is_shown(board: str, open_page: Open) -> None:
    page = open_page(board)
    unfold(page)
    places = page.locator("#place option").evaluate_all("(all) => all.map((o) => o.value).filter(Boolean)")
    silent: list[str] = page.evaluate(_TRY_ALL, places)
    assert silent == []
    assert _legs(board) <= set(_names(page))
    assert len(places) == len({(f.part, f.pin) for f in page_of(board).faults})


def _names(page: Page) -> list[str]:
    """What can be chosen, by its name alone."""
    return [words.split()[0] for words in page.locator("#place option").all_text_contents()]


def _legs(board: str) -> set[str]:
    """Legs and chips of the main paths."""
    found = set()
    for colour in traced_board(board).bit_map.colours:
        for bit in colour.bits:
            path = bit.main_path
            assert path is not None
            legs = [(path.source.part, path.source.pin)]
            for step in path.steps:
                legs += [(step.part, step.source_pin), (step.part, step.target_pin)]
            found |= {f"{part}.{pin}" for part, pin in legs} | {str(part) for part, _ in legs}
    return found
