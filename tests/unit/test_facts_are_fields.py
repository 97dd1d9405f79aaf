"""Facts are fields: nothing is decided by how a sentence is worded.

Two ways to hold it. Over the syntax tree: no module but those that word things, or read what a person typed, looks into a
sentence. By running: with every sentence of the suspects scrambled the ranking, the probabilities, the next measurement and
the faults of the page stay as they were.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

TRACER = Path(__file__).parents[2] / "tracer"
#: Fields and names that hold a sentence for people.
SENTENCES = frozenset({
    "text", "what", "why", "means", "because", "caution", "tell", "words", "sentence", "says", "driven_by",
    "evidence", "afterwards",
})  # fmt: skip
#: Those that are nothing else as variables.
PLAINLY = frozenset({"why", "means", "because", "caution", "sentence", "driven_by"})
#: What looks into a text.
LOOKS = frozenset({
    "startswith", "endswith", "removeprefix", "removesuffix", "split", "rsplit", "partition", "rpartition", "find",
    "index", "count", "replace", "match", "fullmatch", "search", "sub", "findall",
})  # fmt: skip
#: Modules that word things or read what a person wrote.
WORDING = frozenset({"text", "words", "labels", "terminal", "evidence", "told"})
ROOMS = (
    "bitmap", "stage", "tracing", "diagram", "levels", "suspects", "palette", "beeps", "card", "export", "page", "cli",
)  # fmt: skip
#: What a person wrote is read here too, and the words of the saved map until its index says by fields what drives a line.
MAY = {
    ("beeps/bench.py", "words"),
    ("bitmap/model.py", "driven_by"),
    ("card/chips.py", "driven_by"),
    ("palette/entry_index.py", "driven_by"),
}


def closed_words() -> frozenset[str]:
    """The members of every Literal in the package: words of closed lists, which the type checker compares."""
    found: set[str] = set()
    for path in TRACER.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if (
                isinstance(node, ast.Subscript)
                and isinstance(node.value, ast.Name)
                and node.value.id == "Literal"
            ):
                found |= {str(c.value) for c in ast.walk(node.slice) if isinstance(c, ast.Constant)}
    return frozenset(found)


CLOSED = closed_words()


def sentence(node: ast.AST) -> str | None:
    """The sentence that an expression is: a field, or a variable that can be nothing else."""
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and not node.args:
        return sentence(node.func.value)  # text.lower()
    if isinstance(node, ast.Name):
        # A variable called text or words may be what a file holds.
        return node.id if node.id in PLAINLY else None
    return node.attr if isinstance(node, ast.Attribute) and node.attr in SENTENCES else None


def looks_into(tree: ast.AST) -> Iterator[tuple[int, str]]:
    """Lines that decide by a sentence, with its name."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in LOOKS:
            for each in (node.func.value, *node.args):
                if name := sentence(each):
                    yield node.lineno, name
        if isinstance(node, ast.Compare):
            sides = [node.left, *node.comparators]
            for operator, left, right in zip(node.ops, sides, sides[1:], strict=False):
                if isinstance(operator, ast.In | ast.NotIn) and isinstance(right, ast.Attribute | ast.Name):
                    # A string in a sentence; a key in a table is no such thing.
                    name = sentence(right) if isinstance(left, ast.Constant) else None
                elif isinstance(operator, ast.Eq | ast.NotEq | ast.In | ast.NotIn):
                    name = next(
                        (n for a, b in ((left, right), (right, left)) if (n := sentence(a)) and is_open(b)),
                        None,
                    )
                else:
                    name = None
                if name:
                    yield node.lineno, name


def is_open(node: ast.AST) -> bool:
    """Whether an expression has a string of no closed list."""
    return any(
        isinstance(c, ast.Constant) and isinstance(c.value, str) and c.value not in CLOSED
        for c in ast.walk(node)
    )


@pytest.mark.parametrize("room", ROOMS)
def test_no_module_looks_into_a_sentence(room: str) -> None:
    found = [
        f"{path.relative_to(TRACER)}:{line} {name}"
        for path in sorted((TRACER / room).rglob("*.py"))
        if path.stem not in WORDING
        for line, name in looks_into(ast.parse(path.read_text(encoding="utf-8")))
        if (path.relative_to(TRACER).as_posix(), name) not in MAY
    ]
    assert not found


@pytest.mark.parametrize(
    "code",
    [
        "fault.text.endswith('weak')", "'no contact in its socket' in fault.text", "line.driven_by.startswith(('tied', 'pulled'))",
        "outcome.means == 'it is dead'", "'x' if fault.text.lower().startswith('a') else 'y'", "WORDS.fullmatch(line.driven_by)",
        "bit.because in ('no way', 'lost')",
    ],
)  # fmt: skip
def test_the_test_sees_it(code: str) -> None:
    assert list(looks_into(ast.parse(code)))


@pytest.mark.parametrize(
    "code", ["fault.what == 'chip'", "key in words", "if bit.because: pass", "words.get('red')"]
)
def test_closed_lists_and_tables_are_no_sentences(code: str) -> None:
    assert not list(looks_into(ast.parse(code)))
