"""The page as text: same bytes, strict policy, names that are hostile, no Graphviz, colours that can be read."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from dataclasses import replace
from html.parser import HTMLParser
from importlib.resources import files
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.boards import board as small_board
from tests.browser.pages import traced_board
from tests.unit.diagram.diagram_values import a_bit, a_map, latch, prom, way
from tracer.base.findings import warning
from tracer.bitmap.model import BitMap, Source
from tracer.diagram import diagram, layout
from tracer.levels.values import LevelTable
from tracer.netlist.board import Evidence
from tracer.page.html import emit
from tracer.page.make import make_page
from tracer.page.paths import as_spans, page_paths
from tracer.page.values import BoardPage
from tracer.tracing.pipeline import trace_fully

STYLE = (files("tracer.page") / "assets" / "page.css").read_text(encoding="utf-8")
#: The tags that the template itself writes.
TAGS = frozenset(
    [
        "html",
        "head",
        "meta",
        "title",
        "style",
        "body",
        "div",
        "a",
        "header",
        "h1",
        "p",
        "nav",
        "button",
        "span",
        "search",
        "label",
        "input",
        "ul",
        "main",
        "section",
        "h2",
        "h3",
        "svg",
        "g",
        "polygon",
        "polyline",
        "text",
        "path",
        "ellipse",
        "rect",
        "table",
        "caption",
        "thead",
        "tbody",
        "tr",
        "th",
        "td",
        "strong",
        "select",
        "details",
        "summary",
        "figure",
        "figcaption",
        "ol",
        "li",
        "footer",
        "script",
    ]
)


class _Read(HTMLParser):
    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.names: set[str] = set()
        self.ids: list[str] = []
        self.scripts: list[str] = []
        self.policy = ""
        self._in_script = False
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = dict(attrs)
        self.tags.add(tag)
        self.names.update(values)
        self._in_script = tag == "script"
        if "id" in values:
            self.ids.append(str(values["id"]))
        if values.get("http-equiv") == "Content-Security-Policy":
            self.policy = str(values["content"])

    def handle_endtag(self, tag: str) -> None:
        self._in_script &= tag != "script"

    def handle_data(self, data: str) -> None:
        if self._in_script:
            self.scripts.append(data)


def _plain(bit_map: BitMap, **more: object) -> BoardPage:
    empty = BoardPage(bit_map, (), (), LevelTable(bit_map.name, ()), None, (), ())
    return replace(empty, **more)  # type: ignore[arg-type]


def _named(name: str) -> BitMap:
    stop = Source(name, name, name, name, "custom", name)
    bits = (a_bit(1, way(prom("12"), latch("13", "12"))), a_bit(0, way(stop, because=f"why {name}")))
    named = replace(a_map(red=bits), name=name, findings=(warning("odd-weight", name),))
    return replace(named, colours=tuple(replace(c, name=name) for c in named.colours))


def test_the_same_page_gives_the_same_bytes() -> None:
    page = make_page(traced_board("dunlin"))
    assert emit(page) == emit(page) == emit(make_page(traced_board("dunlin")))


def test_the_policy_grants_its_own_script_and_nothing_else() -> None:
    """Content Security Policy Level 3 (W3C): a hash-source is the base64 of the SHA-256 of the script's text."""
    read = _Read(emit(make_page(traced_board("wren"))))
    [data, script] = read.scripts
    own = base64.b64encode(hashlib.sha256(script.encode("utf-8")).digest()).decode("ascii")
    rules = dict(rule.strip().split(" ", 1) for rule in read.policy.split(";"))
    assert rules == {
        "default-src": "'none'",
        "style-src": "'unsafe-inline'",
        "script-src": f"'sha256-{own}'",
        "img-src": "data:",
        "base-uri": "'none'",
        "form-action": "'none'",
    }
    assert json.loads(data)["items"]


def test_nothing_is_named_that_could_be_fetched() -> None:
    text = emit(make_page(traced_board("plover")))
    assert not re.search(
        r"https?:|//[a-z]+\.|@import|url\(|src=", text.replace("http://www.w3.org/2000/svg", "")
    )


@pytest.mark.parametrize(
    "name",
    [
        "</script><script>alert(1)</script>",
        "<!--<script>",
        "\"' onload=alert(1) x='",
        "{{ 7 * 7 }}{% raw %}",
        "&lt;b&gt; &amp; \u202e\x00\x1b[31m",
        "]]>\u2028\u2029",
        "U1;}*{display:none}",
        "-",
        " ",
    ],
)
def test_names_stay_text(name: str) -> None:
    _check_named(name)


@settings(max_examples=25, deadline=None)
@given(st.text(st.characters(codec="utf-8"), min_size=1, max_size=20))
def test_any_name_stays_text(name: str) -> None:
    _check_named(name)


def _check_named(name: str) -> None:
    page = _plain(_named(name), evidence=(Evidence("seen", (name,), name),), palette_words=(name,))
    read = _Read(emit(page))
    assert read.tags <= TAGS
    assert not {n for n in read.names if n.startswith("on")}
    assert len(read.scripts) == 2
    assert json.loads(read.scripts[0])["paths"]
    assert len(set(read.ids)) == len(read.ids)


def test_without_graphviz_the_tables_stand_and_say_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(layout, "_programs", lambda: iter(()))
    text = emit(make_page(traced_board("wren")))
    assert "No diagram: no Graphviz program is installed" in text
    assert 'class="diagram"' not in text
    assert "Where each bit comes from" in text


def test_a_map_without_bits_has_a_page() -> None:
    text = emit(_plain(a_map(red=(), green=())))
    assert "0 of 0 colour bits traced" in text
    assert text.count("nothing drives it") >= 2


def test_without_scripts_the_suspects_stand_in_the_page_and_nothing_is_folded() -> None:
    """The script asks; a reader without one gets what the notes alone lead to."""
    page = make_page(traced_board("odd"))
    assert page.suspects is not None
    text = emit(page)
    [still] = re.findall("<noscript>(.*?)</noscript>", text, re.DOTALL)
    lines = re.findall(r"<li><strong>(\d+% [^<]+)</strong>: \S", still)
    assert lines
    assert lines[0].startswith(f"{round(100 * page.suspects.suspects[0].probability)}% ")
    assert f"Next: {page.suspects.next[0].what}" in still
    folds = re.findall('<details class="fold[^>]*>', text)
    assert len(folds) >= 5
    assert all(fold.endswith(" open>") for fold in folds)
    assert "<noscript>" not in emit(make_page(traced_board("dunlin")))


def test_a_bit_is_called_by_its_colour_and_number_everywhere() -> None:
    """R3 is a resistor; the bit is red 3, in the table, in the diagram and, its colour unseen, in the bar."""
    text = emit(make_page(traced_board("dunlin")))
    for colour in ("red", "green", "blue"):
        for bit in range(4):
            assert len(re.findall(rf">{colour} {bit}</button></th>", text)) == 1
            assert f">{colour} {bit}</text>" in text
            assert len(re.findall(rf'><span class="hear">{colour} </span>{bit}</button>', text)) == 1
    shown = text.partition('<script type="application/json"')[0]
    # No part and no leg of the board begins with G.
    assert not re.search(r"\bG[0-3]\b", shown)


def test_chips_are_called_what_they_are_sold_as() -> None:
    text = emit(make_page(traced_board("dunlin")))
    assert re.search(r">U13</button> 74LS273[,; ]", text)
    assert ">74LS273<" in text
    assert "74x273" not in text.partition('<script type="application/json"')[0]


def test_every_box_and_line_of_the_picture_knows_its_paths() -> None:
    for board in ("wren", "dunlin", "plover", "avocet"):
        text = emit(make_page(traced_board(board)))
        groups = re.findall(r'<g [^>]*class="(?:node|edge)[^>]*>', text)
        assert len(groups) > 10
        for group in groups:
            assert re.search(r'data-item="\d+"', group), group
            assert re.search(r'data-paths="\d[\d -]*"', group), group


def test_paths_are_numbered_in_the_order_of_the_map() -> None:
    bit_map = traced_board("avocet").bit_map
    paths = page_paths(bit_map)
    assert [w.number for w in paths] == list(
        range(sum(len(b.paths) for c in bit_map.colours for b in c.bits))
    )
    for each in paths:
        assert each.legs[0] == (each.source.part, each.source.pin) if each.source else True
        bit = next(b for b in bit_map.colours[each.colour].bits if b.bit == each.bit)
        assert each.legs[-1] == (bit.driver.part, bit.driver.pin)


@given(st.sets(st.integers(0, 400)))
def test_spans_are_read_back(numbers: set[int]) -> None:
    found: set[int] = set()
    for span in as_spans(numbers).split():
        first, _, last = span.partition("-")
        found.update(range(int(first), int(last or first) + 1))
    assert found == numbers


# -- contrast ---------------------------------------------------------------------------------------


def _luminance(colour: str) -> float:
    """Relative luminance of sRGB as WCAG 2.2 defines it."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def _contrast(a: str, b: str) -> float:
    light, dark = sorted((_luminance(a), _luminance(b)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _variables(block: str) -> dict[str, str]:
    return dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6})", block))


LIGHT, DARK = (_variables(block) for block in re.findall(r":root \{(.*?)\}", STYLE, re.DOTALL)[:2])


def test_the_formula_gives_the_standards_own_figure() -> None:
    """WCAG 2.2: black on white is 21 to 1."""
    assert _contrast("#000000", "#ffffff") == pytest.approx(21.0)


@pytest.mark.parametrize("theme", [LIGHT, LIGHT | DARK], ids=["light", "dark"])
def test_texts_of_both_themes_can_be_read(theme: dict[str, str]) -> None:
    """WCAG 2.2, success criteria 1.4.3 (4.5 to 1 for text) and 1.4.11 (3 to 1 for what is no text)."""
    for ink in ("ink", "soft", "faded", "link"):
        for paper in ("paper", "ground"):
            assert _contrast(theme[ink], theme[paper]) >= 4.5, (ink, paper)
    assert _contrast(theme["press-ink"], theme["press"]) >= 4.5
    assert _contrast(theme["mark-ink"], theme["mark"]) >= 4.5
    assert _contrast(theme["edge"], theme["paper"]) >= 3.0


def test_the_pictures_own_colours_can_be_read_on_a_dark_ground() -> None:
    """Inks of letters 4.5 to 1, lines 3 to 1 (WCAG 2.2), for every colour that a diagram uses."""
    text = str(diagram.emit(traced_board("dunlin").bit_map, "svg")) + str(
        diagram.emit(traced_board("avocet").bit_map, "svg")
    )
    used = set(re.findall(r"#[0-9a-f]{6}", text)) | {"#7a3b8f", "#6b4a12", "#136b73"}
    for colour in used - {"#ffffff", "#dcdcdc", "#2b2b2b"}:
        least = 3.0 if colour in ("#3aa655", "#8c8c8c") else 4.5
        assert _contrast(DARK[f"d{colour[1:]}"], DARK["dffffff"]) >= least, colour
    # Heads of boxes: memory is light on dark here and dark on light there.
    assert _contrast(DARK["dffffff"], DARK["d2b2b2b"]) >= 4.5
    assert _contrast(DARK["d000000"], DARK["ddcdcdc"]) >= 4.5


def test_what_a_selector_shows_else_stands_below_the_bits() -> None:
    """One bank or the other: whoever reads the page must not take the first for all."""
    case = Path(__file__).parents[2] / "cases" / "idioms" / "selector_before.txt"
    drawn = case.read_text(encoding="utf-8").partition("\n----\n")[0].partition("\n")[2]
    text = emit(make_page(trace_fully(small_board(drawn, "selector"))))
    assert "when U5.9 C high: red 0 from U4.11 D0 over R1 470R" in text
    assert "2 levels, when U5.9 C low" in text
