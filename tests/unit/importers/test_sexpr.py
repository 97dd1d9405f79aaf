"""The reader of s-expressions."""

from __future__ import annotations

import pytest

from tracer.base.errors import NetlistError
from tracer.importers.sexpr import DEEPEST, Expr, parse_sexpr


def plain(expr: Expr) -> list[object]:
    return [plain(item) if isinstance(item, Expr) else item for item in expr]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("()", []),
        ("(a)", ["a"]),
        ("(a b (c) d)", ["a", "b", ["c"], "d"]),
        ("(a(b)(c))", ["a", ["b"], ["c"]]),
        ('(a "b c")', ["a", "b c"]),
        ('(a "")', ["a", ""]),
        ('(a"b"c)', ["a", "b", "c"]),
        ('(a "(b)")', ["a", "(b)"]),
        (r'(a "\"" "\\" "\n\t\r" "\x")', ["a", '"', "\\", "\n\t\r", "x"]),
        # In a bare word a backslash is a letter (a path of KiCad 5 on Windows).
        (r"(source C:\TEMP\a.sch)", ["source", r"C:\TEMP\a.sch"]),
        ("(a;b 'c' [d] {e} #f)", ["a;b", "'c'", "[d]", "{e}", "#f"]),
        ("(Ω é\u00a0\u2003x)", ["Ω", "é", "x"]),
        ("\n\t ( a\n)\n ", ["a"]),
        # A head and one word, and what only looks like it.
        ('(a (b "c") (d e ) ( f "g" ))', ["a", ["b", "c"], ["d", "e"], ["f", "g"]]),
        (
            '(a (b "c"d) (e f"g") ("h" i) (j"k") (l "m\\"n") (o "p\nq"))',
            ["a", ["b", "c", "d"], ["e", "f", "g"], ["h", "i"], ["j", "k"], ["l", 'm"n'], ["o", "p\nq"]],
        ),
    ],
)
def test_forms(text: str, expected: list[object]) -> None:
    assert plain(parse_sexpr(text, "f")) == expected


def test_offsets_and_look_ups() -> None:
    root = parse_sexpr('(net (code 1) (node (ref "U1") (pin 2)) (node (ref U2) (pin)))', "f")
    assert root.head == "net"
    assert [node.at for node in root.all("node")] == [14, 40]
    assert [node.word("ref") for node in root.all("node")] == ["U1", "U2"]
    assert [node.word("pin", "none") for node in root.all("node")] == ["2", "none"]
    assert root.first("code") == ["code", "1"]
    assert root.first("name") is None
    text = '(n (a "1") (b) (b 2) (c (d)) (("e") 3) (a 4) f)'
    assert parse_sexpr(text, "f").facts() == {"a": "1", "b": "", "c": ""}
    assert plain(parse_sexpr('(NET (Ref U1) (RENAME N "Ab"))', "f", any_case=True)) == [
        "net", ["ref", "U1"], ["rename", "N", "Ab"]
    ]  # fmt: skip
    assert parse_sexpr("((a) b c)", "f").head == ""
    assert parse_sexpr("(a b (c) d)", "f").words() == ["b", "d"]


ERRORS = [
    ("", 'f:1:1: a KiCad or EDIF file starts with "(", and there is none in this file'),
    ("word", 'f:1:1: a KiCad or EDIF file starts with "(", and there is none in this file'),
    ("(", "f:1:1: the \"(\" that opens '' is never closed (the file ends at 1:2)"),
    ("(a\n (b c", "f:2:2: the \"(\" that opens 'b c' is never closed (the file ends at 2:6)"),
    ("(a))", 'f:1:4: this ")" closes nothing'),
    (")", 'f:1:1: this ")" closes nothing'),
    ('(a "b', "f:1:4: this string is never closed"),
    ('(a "b\\', "f:1:4: this string is never closed"),
    # A string that runs over the end of its line has most likely lost its closing quote.
    ('(a "b)\n(c "d")', "f:1:4: this string is never closed"),
    ('(a "b)\n(c "d" "e"))', "f:1:4: this string is never closed"),
    ("(a)\n(b)", "f:2:1: more follows here, though what begins at 1:1 is closed already"),
    (
        "(" * (DEEPEST + 1),
        f"f:1:{DEEPEST + 1}: brackets are nested more than {DEEPEST} deep, which no board needs",
    ),
]


@pytest.mark.parametrize(("text", "message"), ERRORS)
def test_errors(text: str, message: str) -> None:
    with pytest.raises(NetlistError) as caught:
        parse_sexpr(text, "f")
    assert str(caught.value).split("\n")[0] == message


def test_a_string_may_hold_line_ends() -> None:
    assert plain(parse_sexpr('(a "b\nc" d)', "f")) == ["a", "b\nc", "d"]


def test_nesting_as_deep_as_allowed() -> None:
    parse_sexpr("(" * DEEPEST + ")" * DEEPEST, "f")
