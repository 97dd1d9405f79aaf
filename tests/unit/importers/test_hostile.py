"""Texts made to break the readers: each is refused in one sentence, in a few seconds, or is read as it stands."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.hostile import board_named, in_time, refused
from tracer.base.errors import NetlistError
from tracer.importers import parse_netlist
from tracer.importers.formats import FORMATS
from tracer.importers.visible_names import LONGEST_NAME


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("(export " + "(" * 200_000, "brackets are nested more than 400 deep"),
        ("(kicad_pcb " + "(" * 200_000, "brackets are nested more than 400 deep"),
        ("(edif x " + "(" * 200_000, "brackets are nested more than 400 deep"),
        ("<export>" + "<a>" * 200_000, "elements are nested more than 400 deep"),
        (
            "module t(a); wire a; R r(.\\1 (" + "{" * 20_000 + "a" + "}" * 20_000 + ")); endmodule",
            "braces are nested more than 100 deep",
        ),
        ("( { x }\n" + "( " * 100_000, None),
        ("(" * 300_000, None),
        ("[\n" * 150_000, None),
        ("{" * 300_000, None),
    ],
)
def test_deep_nesting(text: str, sentence: str | None) -> None:
    error = refused(text)
    assert sentence is None or sentence in error.what


_LAUGHS = "".join(f'<!ENTITY a{i + 1} "{f"&a{i};" * 10}">' for i in range(10))


@pytest.mark.parametrize(
    "text",
    [
        f'<?xml version="1.0"?><!DOCTYPE export [<!ENTITY a0 "lol">{_LAUGHS}]><export>&a10;</export>',
        '<!DOCTYPE export [<!ENTITY x SYSTEM "file:///etc/passwd">]><export><design><source>&x;</source></design></export>',
        '<!DOCTYPE export [<!ENTITY % x SYSTEM "http://x/">%x;]><export/>',
    ],
)
def test_xml_entities_are_not_taken_up(text: str) -> None:
    """Billion laughs and external entities (W3C, XML 1.0, section 4; CWE-776, CWE-611)."""
    assert "entities can swell to any size" in refused(text).what


def test_a_doctype_that_names_a_file_is_not_followed(tmp_path: Path) -> None:
    path = tmp_path / "secret.dtd"
    path.write_text('<!ENTITY x "secret">')
    error = refused(f'<!DOCTYPE export SYSTEM "{path.as_uri()}"><export>&x;</export>')
    assert "secret" not in error.what


def _doubled_modules() -> str:
    text = "module m0(a); wire b; R r1(.\\1 (a),.\\2 (b)); endmodule\n"
    for i in range(1, 40):
        text += f"module m{i}(a); m{i - 1} x(.a(a)); m{i - 1} y(.a(a)); endmodule\n"
    return text


def _doubled_cells() -> str:
    cells = "(cell R (cellType GENERIC) (view v (viewType NETLIST) (interface (port a))))"
    cells += (
        "(cell m0 (cellType GENERIC) (view v (viewType NETLIST) (interface (port a)) (contents (instance r (viewRef v "
        "(cellRef R))) (net n (joined (portRef a) (portRef a (instanceRef r)))))))"
    )
    for i in range(1, 40):
        two = "".join(f"(instance {n} (viewRef v (cellRef m{i - 1})))" for n in "xy")
        cells += (
            f"(cell m{i} (cellType GENERIC) (view v (viewType NETLIST) (interface (port a)) (contents {two} (net n (joined "
            "(portRef a) (portRef a (instanceRef x)) (portRef a (instanceRef y)))))))"
        )
    return f"(edif x (edifVersion 2 0 0) (library L {cells}) (design d (cellRef m39 (libraryRef L))))"


def _doubled_subcircuits() -> str:
    text = ".title x\n.subckt m0 a b\nR1 a b 1k\nR2 a b 2k\n.ends\n"
    for i in range(1, 40):
        text += f".subckt m{i} a b\nX1 a b m{i - 1}\nX2 a b m{i - 1}\n.ends\n"
    return f"{text}X1 a b m39\n.end\n"


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (_doubled_modules(), "more parts than any board has"),
        (_doubled_cells(), "make more than a board can hold"),
        (_doubled_subcircuits(), "put into one another, hold more than"),
        ("module t(a); wire a; R r1(.\\1 (a[99999999:0])); endmodule", "is too wide"),
        ("module t(a); wire a; R r1(.\\1 ({000000001999999999{a}})); endmodule", "copies are too many"),
        (
            "module t(a); " + "".join(f"wire [65535:0] a{i};" for i in range(9000)) + " R r1(.\\1 (a)); endmodule",
            "more than 2,000,000 wires",
        ),
        ("module t(a); " + "assign a = 65535'b0;" * 9000 + " R r1(.\\1 (a)); endmodule", "more than 2,000,000 wires"),
        ("module t(a); " + "assign a = {65535{a}};" * 9000 + " R r1(.\\1 (a)); endmodule", "more than 2,000,000 wires"),
        (
            "(edif x (edifVersion 2 0 0) (library L (cell R (cellType GENERIC) (view v (viewType NETLIST) (interface (port "
            "(array a 16000))))) (cell t (cellType GENERIC) (view v (viewType NETLIST) (interface) (contents "
            + "".join(f"(instance r{i} (viewRef v (cellRef R)))" for i in range(9000))
            + " (net n (joined (portRef (member a 0) (instanceRef r0)))))))) (design d (cellRef t (libraryRef L))))",
            "make more than a board can hold",
        ),
    ],
)  # fmt: skip
def test_a_few_lines_that_stand_for_millions_of_parts(text: str, sentence: str) -> None:
    assert sentence in refused(text).what


_LONG = {
    "blanks": " " * 400_000 + "x",
    "blanks behind a word": "x" + " " * 300_000 + "x",
    "blanks in a package list": "$PACKAGES\n!x" + " " * 300_000 + "\n$NETS\nA" + " " * 300_000,
    "blanks before a sign": ".title x\nR1 a b" + " " * 300_000 + "x=1\nU1" + " " * 300_000 + "<\n",
    "blanks in a record": ".HEA\n.ADD_TER U1 1" + " " * 300_000 + '"\n',
    "blanks in a list": "START nets\nA :" + " " * 300_000 + ",\n",
    "blanks in a signal": "*PADS-PCB*\n*NET*\n*SIGNAL*" + " " * 300_000 + "x" + " " * 300_000 + "\nU1.1",
    "tabs": "\t\n" * 200_000 + "x",
    "one word": "x" * 400_000,
    "words": "module " * 60_000,
    "quotes": '"' * 300_000,
    "backslashes": "\\" * 300_000,
    "commas": "," * 300_000,
    "comment signs": "/*" * 150_000,
    "xml comments": "<!--" * 100_000,
    "xml comments, closed": "<!-- -->" * 50_000 + "<x/>",
    "doctypes": "<!DOCTYPE eagle>" * 30_000,
    "hashes in a note": 'board x\nU1 is "' + "#" * 300_000,
    "hashes behind a word": "board x" + "#" * 300_000,
    "blanks in a note": "U1 is x" + " " * 300_000 + "y\n",
    "a pin of many signs": "(\nA\nU9" + "-2" * 150_000,
    "at": "U1 is x" + " at" * 100_000 + "\n",
    "drawn as": "U1 is x" + " drawn as" * 40_000 + "\n",
    "dots": "." * 300_000,
    "parts": "U1.1 " * 60_000,
    "braces": "{}" * 150_000,
    "escaped names": "module t(a);\n wire a, " + "".join(f'\\n{i}x.y"\\' for i in range(9000)),
    "no semicolon": "module t(a);\n wire " + "\\abc" * 60_000,
    "signals": "*PADS-PCB*\n*NET*\n" + "*SIGNAL* " * 40_000,
    "records": "P  CODE 00\n" + "3" * 300_000,
}
#: Each line of these is read by itself, which takes its time: with the other slow ones.
_MANY_LINES = {
    "stars": "*\n" * 150_000,
    "hashes": "#\n" * 150_000,
    "carried on": ".title x\nR1 a b 1k\n" + "+\n" * 150_000,
}
_TEXTS = [
    *(pytest.param(text, id=name) for name, text in _LONG.items()),
    *(pytest.param(text, id=name, marks=pytest.mark.slow) for name, text in _MANY_LINES.items()),
]


@pytest.mark.parametrize("form", [None, *(f.name for f in FORMATS if not f.from_file)])
@pytest.mark.parametrize("text", _TEXTS)
def test_long_lines_take_no_long_time(text: str, form: str | None) -> None:
    """No regular expression is tried again and again from every place of a row of like letters (CWE-1333)."""
    with in_time():
        try:
            parse_netlist(text, "x", format_name=form)
        except NetlistError as error:
            said = str(error)
        else:
            said = ""
    assert len(said.split("\n")[0]) < 1300


def test_a_note_of_many_parts_grows_with_its_length_alone() -> None:
    text = "board x\n" + "".join(f"U{i}.1 = U{i + 1}.2\n" for i in range(5000))
    with in_time():
        assert len(parse_netlist(text, "x").parts) == 5001


@pytest.mark.parametrize("letters", [LONGEST_NAME, LONGEST_NAME + 1])
def test_names_have_a_longest_length(letters: int) -> None:
    text = f'(export (version "E") (components) (nets (net (code 1) (name "{"N" * letters}") (node (ref U1) (pin 1)))))'
    if letters <= LONGEST_NAME:
        assert len(parse_netlist(text, "x").nets[0].name) == letters
    else:
        assert f"up to {LONGEST_NAME:,} are read" in refused(text).what


def test_names_that_differ_in_what_is_not_seen_are_not_joined() -> None:
    text = board_named("A\x1b").replace('"G"', '"A\\\\x1b"')
    assert "differ only in characters that cannot be seen" in refused(text).what
    found = parse_netlist(board_named("A\x1b"), "x")
    assert r"A\x1b" in found.by_net_name
    assert "unseen-characters" in {f.code for f in found.findings}
