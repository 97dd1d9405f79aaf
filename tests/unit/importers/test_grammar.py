"""The grammars in ``grammars/``: without ambiguities, and what they refuse."""

from __future__ import annotations

from pathlib import Path

import pytest
from lark import Lark
from lark.exceptions import UnexpectedInput

from tracer.base.data_folder import data_folder
from tracer.importers.grammar import load_grammar

FOLDER = Path(str(data_folder("grammars")))
SHARED = "terminals"
GRAMMARS = sorted(path.stem for path in FOLDER.glob("*.lark") if path.stem != SHARED)

#: Grammar -> texts it reads; the first ones are those of the grammar's own head.
GOOD = {
    "bus_label": [
        "D[0..7]",
        "{CLK D[1..0]}",
        "RAM{WE OE A[0..3]}",
        "~{D}[0..7]",
        "~{D[0..7]}",
        "A_{0}[0..1]",
        "{ A  B }",
        "X{~{RD} ~{CS[0..3]}}",
        "[0..3]",
    ],
    "pin_list": [
        "U5.AF16 R208.1",
        "U1-3, U2 pin 7",
        "U1:3;U2/4+U3.5",
        "U1 leg 3",
        " U1.1 ",
        "CN-1-5",
        "J1.A12",
    ],
}

#: Grammar -> texts it refuses.
BAD = {
    "bus_label": [
        "",
        "D",
        "D[",
        "D[]",
        "D[0]",
        "D[0..]",
        "D[..7]",
        "D[0.7]",
        "D[0..7",
        "D[a..b]",
        "D[0..7]_N",
        "D[0..7] E[0..7]",
        "~{RD}",
        "A_{0}",
        "{",
        "{A",
        "A}",
        "{A{B C}}",
        "{A}}",
        "{A} B",
        "USB_{DP DM}",
    ],
    "pin_list": [
        "",
        "U1",
        "U1.",
        ".1",
        "U1.1,,U2.2",
        ",U1.1",
        "U1.1,",
        "pin 3",
        "U1 pin",
        "U1 3",
        "-",
        "U1.1 U2",
    ],
}


def strict(name: str) -> Lark:
    """The parser with all that is ambiguous as an error: rules and terminals."""
    text = (FOLDER / f"{name}.lark").read_text(encoding="utf-8")
    text = "\n".join(line for line in text.splitlines() if not line.startswith("%import ."))
    shared = (FOLDER / f"{SHARED}.lark").read_text(encoding="utf-8")
    return Lark(text + "\n" + shared, parser="lalr", strict=True, maybe_placeholders=False)


@pytest.mark.parametrize("name", GRAMMARS)
def test_no_grammar_is_ambiguous(name: str) -> None:
    strict(name)


@pytest.mark.parametrize(("name", "text"), [(name, text) for name, texts in GOOD.items() for text in texts])
def test_texts_that_are_read(name: str, text: str) -> None:
    assert load_grammar(name).parse(text) == strict(name).parse(text)


@pytest.mark.parametrize(("name", "text"), [(name, text) for name, texts in BAD.items() for text in texts])
def test_texts_that_are_refused(name: str, text: str) -> None:
    with pytest.raises(UnexpectedInput):
        load_grammar(name).parse(text)


def test_each_sample_in_the_head_of_a_grammar_is_read() -> None:
    heads = [
        line
        for line in (FOLDER / "bus_label.lark").read_text(encoding="utf-8").splitlines()
        if line.startswith("//   ")
    ]
    samples = [line.removeprefix("//").strip() for line in heads]
    assert len(samples) >= 3
    for sample in samples:
        label = sample.split("  ")[0] if "  " in sample else sample[: sample.index("}") + 1]
        load_grammar("bus_label").parse(label)


def test_a_parser_is_made_once() -> None:
    assert load_grammar("pin_list") is load_grammar("pin_list")
