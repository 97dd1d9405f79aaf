"""The palette as pictures and as a page: every entry has its swatch, no name becomes mark-up, nothing is fetched."""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from html.parser import HTMLParser

import pytest
from PIL import Image

from tests.unit.palette.palette_values import difference_of, palette_of, sought_of
from tracer.palette.dot_letters import ADVANCE, HEIGHT, dots
from tracer.palette.grid import SHEET_WIDTH, grid_of
from tracer.palette.html import emit as as_html
from tracer.palette.png import emit as as_png
from tracer.palette.sheet import emit as as_svg

HOSTILE = "<b onload='x'>&\"\x07]]>\ufffe"
SVG = "{http://www.w3.org/2000/svg}"
SIZES = [1, 2, 16, 64, 128, 256, 512, 1024, 4096, 8192]


@pytest.mark.parametrize("n", SIZES)
def test_swatches_do_not_overlap_and_stay_inside(n: int) -> None:
    grid = grid_of(n)
    places = {grid.at(i) for i in range(n)}
    assert len(places) == n
    assert grid.swatch[0] <= grid.pitch[0]
    assert grid.swatch[1] <= grid.pitch[1]
    for x, y in places:
        assert x + grid.swatch[0] <= grid.size[0]
        assert y + grid.swatch[1] <= grid.size[1]


@pytest.mark.parametrize("n", SIZES)
def test_the_drawing_has_a_titled_swatch_for_every_entry(n: int) -> None:
    palette = palette_of(n, HOSTILE)
    root = ET.fromstring(as_svg(palette))
    width, height = int(root.attrib["width"]), int(root.attrib["height"])
    groups = root.findall(f"{SVG}g")
    assert len(groups) == n
    for entry, group in zip(palette.entries, groups, strict=True):
        rect, title = group.find(f"{SVG}rect"), group.find(f"{SVG}title")
        assert rect is not None
        assert title is not None
        assert rect.attrib["fill"] == entry.colour
        assert title.text is not None
        assert title.text.endswith(
            f": {entry.colour}, red {entry.codes[0]} {entry.volts[0]:.3f} V, green {entry.codes[1]} {entry.volts[1]:.3f} V, "
            f"blue {entry.codes[2]}"
        )
        assert float(rect.attrib["x"]) + float(rect.attrib["width"]) <= width
        assert float(rect.attrib["y"]) + float(rect.attrib["height"]) <= height


def test_figures_stand_below_the_swatches_up_to_256_entries() -> None:
    root = ET.fromstring(as_svg(palette_of(256)))
    texts = ["".join(t.itertext()) for t in root.findall(f"{SVG}text")]
    assert "2E #aaffaa" in texts
    assert "2/3/2" in texts
    heads = ["".join(t.itertext()) for t in ET.fromstring(as_svg(palette_of(4096))).findall(f"{SVG}text")]
    assert {"000", "040", "FC0", "00", "3E"} <= set(heads)
    assert not any("#" in t for t in heads)


@pytest.mark.parametrize("n", [64, 4096])
def test_an_entry_that_differs_shows_both_colours(n: int) -> None:
    palette = palette_of(n)
    palette = replace(palette, difference=difference_of(palette, 0x20))
    root = ET.fromstring(as_svg(palette))
    fills = [r.attrib["fill"] for r in root.findall(f"{SVG}g")[0x20].findall(f"{SVG}rect")]
    assert fills == ["#aa0000", "#000000", "none"]
    picture = Image.open(io.BytesIO(as_png(palette))).convert("RGB")
    plain = Image.open(io.BytesIO(as_png(replace(palette, difference=None)))).convert("RGB")
    assert picture.getcolors(1 << 24) != plain.getcolors(1 << 24)


@pytest.mark.parametrize("n", SIZES)
def test_the_picture_of_pixels_is_as_large_as_it_says(n: int) -> None:
    picture = Image.open(io.BytesIO(as_png(palette_of(n, HOSTILE))))
    picture.load()
    grid = grid_of(n)
    assert picture.width >= grid.size[0]
    assert picture.height >= grid.size[1]


def all_pixels(data: bytes) -> Image.Image:
    return Image.open(io.BytesIO(data)).convert("RGB")


@pytest.mark.parametrize("n", [*SIZES, 65_536])
def test_every_sheet_fits_a_screen_of_1280_pixels(n: int) -> None:
    assert SHEET_WIDTH == 1280
    palette = palette_of(n)
    head = re.match(r"<svg [^>]*width='(\d+)'", as_svg(palette))
    assert head
    assert int(head[1]) <= SHEET_WIDTH
    assert all_pixels(as_png(palette)).width <= SHEET_WIDTH


def test_figures_do_not_reach_the_next_swatch() -> None:
    """Where they are narrowest: 16 in a row; the mono fonts here are 0.6 em wide."""
    root = ET.fromstring(as_svg(palette_of(256)))
    wide = grid_of(256).pitch[0]
    for text in root.findall(f"{SVG}text"):
        if "Mono" in text.attrib["font-family"]:
            assert len("".join(text.itertext())) * 0.602 * float(text.attrib["font-size"]) < wide
    assert wide > 2 * ADVANCE * 2 + 4 + 7 * ADVANCE


def test_long_names_of_files_go_on_in_the_next_line_of_the_picture() -> None:
    long = " ".join(f"dump-{i}.bin" for i in range(30))
    few, many = (all_pixels(as_png(palette_of(16, "board", name))) for name in ("u4.bin", long))
    assert few.width == many.width
    assert many.height > few.height + 2 * HEIGHT


def test_one_entry_that_differs_is_one() -> None:
    palette = palette_of(64)
    one = as_svg(replace(palette, difference=difference_of(palette, 0x20)))
    assert "1 entry differs from U4" in one


def test_letters_of_dots_differ_from_one_another() -> None:
    letters = "0123456789ABCDEFGHIJKLMNPQRSTUVWXYZ#.,:-/()_+="
    shapes = {letter: frozenset(dots(letter)) for letter in letters}
    assert len(set(shapes.values())) == len(letters)
    assert all(x < ADVANCE - 1 and y < HEIGHT for shape in shapes.values() for x, y in shape)
    assert dots("a") == dots("A")
    assert dots(" ") == []
    assert dots("Ω")


class _Page(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += attrs


def test_the_page_fetches_nothing_and_takes_no_name_for_mark_up() -> None:
    palette = palette_of(256, HOSTILE, HOSTILE)
    palette = replace(palette, difference=difference_of(palette, 0x20), sought=sought_of())
    text = as_html(palette)
    page = _Page()
    page.feed(text)
    assert not {"script", "link", "img", "iframe", "b", "object"} & set(page.tags)
    assert not [name for name, _ in page.attributes if name.startswith("on") or name in ("src", "href")]
    assert not re.search(r"url\(|@import|https?://(?!www\.w3\.org/2000/svg)", text)
    assert text.count("<tr>") >= 257
    for words in (
        "always low in the other dump",
        "the nearest that the board can show",
        "the second sentence",
    ):
        assert words in text


def test_the_page_has_every_entry_with_codes_volts_and_colour() -> None:
    text = as_html(palette_of(64))
    assert (
        "<tr><td><code>2E</code></td><td>2</td><td>0.500</td><td>3</td><td>0.750</td><td>2</td><td>?</td>"
        "<td class='s'><span style='background:#aaffaa'></span></td><td><code>#aaffaa</code></td></tr>"
    ) in text
