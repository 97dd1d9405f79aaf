"""The diagram as a picture: names from files, size on paper, sameness, and which program draws it."""

from __future__ import annotations

import re
import shutil
import struct
import sys
import sysconfig
from pathlib import Path as FilePath

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.unit.diagram.diagram_values import (
    SVG,
    a_bit,
    a_map,
    edges,
    fifteen_bits,
    latch,
    prom,
    svg,
    way,
    words,
)
from tracer.base.errors import EmitError
from tracer.base.findings import warning
from tracer.bitmap.model import BitMap, Colour, ColourPin, Control, Source, StageResistor, Step, When
from tracer.diagram.diagram import emit
from tracer.diagram.html import shorten
from tracer.netlist.board import Input

ONE_BIT = a_map(red=(a_bit(0, way(prom("12"), latch("13", "12"))),))


# -- names ------------------------------------------------------------------------------------------

_TAGS = {f"{SVG}{tag}" for tag in ("svg", "g", "title", "polygon", "polyline", "path", "ellipse", "text")}


def _named(name: str) -> BitMap:
    """A map in which a name stands everywhere a file can put one."""
    step = Step(name, name, "3", "2", "register", False, (Control("11", name, name), Control(name, "", None)))
    when = (When(name, name, name, 1),)
    source = Source("U4", name, name, name, "prom", name)
    stop = Source(name, name, name, name, "custom", name)
    bits = (
        a_bit(1, way(source, step, when=when), resistors=(StageResistor(name, 47.0),)),
        a_bit(0, way(stop, because=f"why {name}")),
    )
    colour = Colour(name, ColourPin(name, name, name, name, "told"), 4, bits)
    found = (warning("odd-weight", name),)
    return BitMap(name, (Input(name, "x", "0"),), 1, 1, None, (colour,), findings=found)


@pytest.mark.parametrize(
    "name",
    [
        '<B>&amp;</B>"',
        "</TD></TR></TABLE>>",
        "a\\N\\G\\",
        '" onload="alert(1)',
        "]]>--><script>",
        "'; drop",
        "Ω µ → ü 日本",
        "\x1b[31m\x00\n",
        "\ufffe\uffff",
        ":e:w",
        "",
        " ",
    ],
)
def test_no_name_is_taken_as_mark_up(name: str) -> None:
    root = svg(_named(name))
    assert {e.tag for e in root.iter()} <= _TAGS
    assert not any(key.startswith("on") for e in root.iter() for key in e.attrib)


@settings(max_examples=30, deadline=None, derandomize=True)
@given(st.text(max_size=30))
def test_any_name_gives_a_sound_picture(name: str) -> None:
    root = svg(_named(name))
    assert {e.tag for e in root.iter()} <= _TAGS


def test_names_are_shown_as_written() -> None:
    step = latch("3", "2", "U<9>", (Control("1", "~{CLR}", "/~{BLANK}"), Control("11", "CLK", 'A&B "c"')))
    root = svg(a_map(red=(a_bit(0, way(prom("12", "U&4", 'D"<0>', "7'E"), step)),)))
    assert words(root, "chip-U_3c_9_3e_").endswith('1 /CLR: /BLANK 11 CLK: A&B "c"')
    assert words(root, "chip-U_26_4") == "U&4 82S129 7'E red 0 D\"<0> 12"


def test_a_net_of_sixty_letters_is_shortened_in_its_middle() -> None:
    net = "/cpu_board/video/palette_write_strobe_from_the_address_decoder"
    root = svg(
        a_map(red=(a_bit(0, way(prom("12"), latch("3", "2", controls=(Control("11", "CLK", net),)))),))
    )
    assert words(root, "chip-U9").endswith("11 CLK: /cpu_board...ess_decoder")
    assert shorten(net, 24) == "/cpu_board...ess_decoder"
    assert len(shorten(net, 24)) == 24


# -- the picture ------------------------------------------------------------------------------------


def test_fifteen_bits_over_two_ranks_fit_a4_and_stay_readable() -> None:
    # ISO 216: A4 is 210 x 297 mm; a point is 1/72 inch.
    root = svg(fifteen_bits())
    width, height = (float((root.get(k) or "").removesuffix("pt")) for k in ("width", "height"))
    assert width <= 297 / 25.4 * 72
    assert height <= 210 / 25.4 * 72
    scale = float(re.findall(r"scale\(([\d.]+)", root[0].get("transform") or "")[0])
    assert 11 * scale >= 8
    assert len([e for e in edges(fifteen_bits()) if "write-path" in e.classes]) == 15


def test_a_big_board_gets_a_bigger_sheet_instead_of_smaller_letters() -> None:
    mixed = tuple(
        a_bit(
            n, *(way(prom(f"{n}", f"U{10 * k + n}"), latch(f"{k}", "2", f"U{100 + n}")) for k in range(1, 9))
        )
        for n in range(8)
    )
    root = svg(a_map(mixed, mixed, mixed))
    scale = float(re.findall(r"scale\(([\d.]+)", root[0].get("transform") or "")[0])
    assert scale >= 0.5


@pytest.mark.parametrize("form", ["svg", "png", "dot"])
def test_the_same_map_gives_the_same_bytes(form: str) -> None:
    assert emit(fifteen_bits(), form) == emit(fifteen_bits(), form)


def test_the_svg_names_no_program_and_fetches_nothing() -> None:
    text = str(emit(ONE_BIT))
    assert "<!--" not in text
    assert "<!DOCTYPE" not in text
    assert "raphviz" not in text
    assert not re.search(r'(href|src)="|url\(|@import', text)


def test_the_png_is_one() -> None:
    data = emit(ONE_BIT, "png")
    assert isinstance(data, bytes)
    # Portable Network Graphics (W3C, ISO/IEC 15948): signature, then the IHDR chunk with width and height.
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    assert data[12:16] == b"IHDR"
    assert min(struct.unpack(">II", data[16:24])) > 200


def test_an_unknown_form_is_refused() -> None:
    with pytest.raises(ValueError, match="no such form of a diagram: 'pdf'"):
        emit(ONE_BIT, "pdf")


# -- the program ------------------------------------------------------------------------------------


def _without_programs(monkeypatch: pytest.MonkeyPatch, folder: FilePath) -> None:
    monkeypatch.setenv("PATH", str(folder))
    monkeypatch.setattr(sys, "executable", str(folder / "python"))
    monkeypatch.setattr(sysconfig, "get_path", lambda _: str(folder))


def _fake(folder: FilePath, name: str, script: str) -> None:
    (folder / name).write_text(f"#!/bin/sh\n{script}\n", encoding="utf-8")
    (folder / name).chmod(0o755)


def test_without_a_program_the_error_says_what_to_do(
    monkeypatch: pytest.MonkeyPatch, tmp_path: FilePath
) -> None:
    _without_programs(monkeypatch, tmp_path)
    with pytest.raises(EmitError) as caught:
        emit(ONE_BIT)
    assert str(caught.value) == (
        "no Graphviz program is installed: there is no diagram, and all else is as always (map, card, page ...)\n"
        "fix: install Graphviz (its installer, or apt install graphviz), or on a machine of 64 bits pip install "
        "graphviz-pure; rgbroots diagram BOARD -o NAME.dot writes the picture as a text for it"
    )
    assert str(emit(ONE_BIT, "dot")).startswith("digraph rgbroots {")


def test_the_package_s_program_draws_where_dot_is_missing(
    monkeypatch: pytest.MonkeyPatch, tmp_path: FilePath
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    assert words(svg(ONE_BIT), "chip-U4").startswith("U4 82S129")


@pytest.mark.skipif(shutil.which("dot") is None, reason="no dot on this machine")
def test_dot_of_the_machine_draws_the_same_names() -> None:
    assert words(svg(ONE_BIT), "chip-U4").startswith("U4 82S129")


def test_dot_of_the_machine_comes_first(monkeypatch: pytest.MonkeyPatch, tmp_path: FilePath) -> None:
    _fake(tmp_path, "dot", "echo '<svg>by dot</svg>'")
    monkeypatch.setenv("PATH", f"{tmp_path}:/usr/bin:/bin")
    assert emit(ONE_BIT) == "<svg>by dot</svg>\n"


def test_a_dot_that_fails_is_passed_over(monkeypatch: pytest.MonkeyPatch, tmp_path: FilePath) -> None:
    _fake(tmp_path, "dot", "echo 'Format: \"png\" not recognized' >&2; exit 1")
    monkeypatch.setenv("PATH", f"{tmp_path}:/usr/bin:/bin")
    assert bytes(emit(ONE_BIT, "png")).startswith(b"\x89PNG")  # type: ignore[arg-type]


def test_when_all_fail_the_program_s_words_are_shown(
    monkeypatch: pytest.MonkeyPatch, tmp_path: FilePath
) -> None:
    _without_programs(monkeypatch, tmp_path)
    _fake(tmp_path, "dot", "echo 'Error: out of ink' >&2; exit 1")
    monkeypatch.setenv("PATH", f"{tmp_path}:/usr/bin:/bin")
    with pytest.raises(EmitError, match=r"^Graphviz could not draw it: Error: out of ink\nfix: "):
        emit(ONE_BIT)
