"""What a code page lacks is written in letters that it has: never a traceback, never a question mark."""

from __future__ import annotations

import io
import json
import sys
from xml.etree import ElementTree as ET

import pytest

from tracer.base.plain import PLAIN, plain, write_what_streams_hold

#: What boards and readings bring: a bar, signs of units, accents, Soviet markings, other scripts, half a character.
ANYTHING = "████▌▍ 220 Ω ±5 % … 4µ7 10μ ≤ 75 – 80 “Grün” Łódź К155ЛА3 ├─┤ 黒 é \udcfc 😀"
CODE_PAGES = ("cp1252", "cp437", "cp850", "ascii")


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("██████", "######"),
        ("███▋", "###="),
        ("███▎", "###-"),
        ("4,7 µF", "4,7 uF"),
        ("10 μF", "10 uF"),
        ("220Ω", "220ohm"),
        ("220\u2126", "220ohm"),
        ("±5%", "+-5%"),
        ("8×470", "8x470"),
        ("and so on …", "and so on ..."),
        ("0–15", "0-15"),
        ("≤75", "<=75"),
        ("“MAIN”", '"MAIN"'),
        ("Grün", "Grun"),
        ("Straße", "Strasse"),
        ("К155ЛА3", "K155LA3"),
        ("красный", "krasnyi"),
        ("┌──┬──┐", "+--+--+"),
        ("│", "|"),
        ("mm²", "mm2"),
        ("黒", "\\u9ed2"),
        ("😀", "\\U0001f600"),
        ("d\udcfcnlin", "d\\udcfcnlin"),
    ],
)
def test_a_sign_that_is_lacking_is_typed_as_people_type_it(text: str, shown: str) -> None:
    assert plain(text) == shown
    assert text.encode("ascii", PLAIN) == shown.encode()


@pytest.mark.parametrize("code_page", CODE_PAGES)
def test_a_code_page_keeps_what_it_has_and_takes_anything(code_page: str) -> None:
    shown = ANYTHING.encode(code_page, PLAIN).decode(code_page)
    assert "?" not in shown
    kept = [c for c in set(ANYTHING) if c.encode(code_page, "ignore")]
    assert all(c in shown for c in kept)


def streams(monkeypatch: pytest.MonkeyPatch, encoding: str) -> tuple[io.BytesIO, io.BytesIO]:
    """Standard output and error as the interpreter opens them in that encoding."""
    raw = (io.BytesIO(), io.BytesIO())
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(raw[0], encoding, "strict", write_through=True))
    monkeypatch.setattr(
        sys, "stderr", io.TextIOWrapper(raw[1], encoding, "backslashreplace", write_through=True)
    )
    return raw


@pytest.mark.parametrize("encoding", [*CODE_PAGES, "utf-8", "utf-16"])
def test_json_and_xml_are_the_same_data_on_every_stream(
    encoding: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    out, _ = streams(monkeypatch, encoding)
    write_what_streams_hold("json")
    sys.stdout.write(json.dumps(ANYTHING, ensure_ascii=False))
    assert json.loads(out.getvalue().decode("utf-16" if encoding == "utf-16" else "utf-8")) == ANYTHING
    out, _ = streams(monkeypatch, encoding)
    write_what_streams_hold("xml")
    whole = ANYTHING.replace("\udcfc", "")
    sys.stdout.write(f"<a>{whole}</a>")
    assert ET.fromstring(out.getvalue().decode("utf-16" if encoding == "utf-16" else "utf-8")).text == whole


def test_a_stream_of_unicode_says_half_a_character_too(monkeypatch: pytest.MonkeyPatch) -> None:
    """It comes from the name of a file in another encoding."""
    out, error = streams(monkeypatch, "utf-8")
    write_what_streams_hold()
    print("d\udcfcnlin █")
    print("d\udcfcnlin █", file=sys.stderr)
    assert out.getvalue().decode() == error.getvalue().decode() == "d\\udcfcnlin █\n"


def test_an_answer_in_bytes_that_fit_no_encoding_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(b"15 \x81\n16\n"), "cp1252"))
    write_what_streams_hold()
    assert [input(), input()] == ["15 \\x81", "16"]
    write_what_streams_hold()


@pytest.mark.parametrize("gone", [None, io.StringIO()])
def test_a_stream_of_another_kind_stays_as_it_is(
    gone: io.StringIO | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A program without a console has none, another program may have put its own there."""
    for name in ("stdout", "stderr", "stdin"):
        monkeypatch.setattr(sys, name, gone)
    write_what_streams_hold()
    assert sys.stdout is gone
