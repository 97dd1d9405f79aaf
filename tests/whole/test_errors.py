"""What holds of all errors and findings, wherever in the program they are made."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from tracer.base import errors
from tracer.base.findings import CODES

SOURCE = Path(__file__).parents[2] / "tracer"
FAMILY = {name for name in errors.__all__ if name.endswith("Error")} - {"InternalError"}
#: A table of our own that is wrong is our bug, and no user can mend it.
OURS = {"families.py"}


def calls() -> Iterator[tuple[str, ast.Call]]:
    """Every call in the package, with its place."""
    for path in sorted(SOURCE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                yield f"{path.relative_to(SOURCE)}:{node.lineno}", node


def name_of(call: ast.Call) -> str:
    return call.func.id if isinstance(call.func, ast.Name) else ""


def text_of(node: ast.expr) -> str:
    """A sentence, with dots for what is filled in."""
    if isinstance(node, ast.Constant):
        return str(node.value)
    if isinstance(node, ast.JoinedStr):
        return "".join(str(v.value) if isinstance(v, ast.Constant) else "..." for v in node.values)
    return "..."


CALLS = list(calls())
ERRORS = [(place, call) for place, call in CALLS if name_of(call) in FAMILY]
FINDINGS = [(place, call) for place, call in CALLS if name_of(call) in ("note", "warning")]


def test_the_lists_are_not_empty() -> None:
    assert len(ERRORS) > 100
    assert len(FINDINGS) > 80


@pytest.mark.parametrize(("place", "call"), ERRORS, ids=[place for place, _ in ERRORS])
def test_every_error_says_what_to_do(place: str, call: ast.Call) -> None:
    if Path(place.split(":")[0]).name not in OURS:
        assert any(k.arg == "fix" for k in call.keywords)


@pytest.mark.parametrize(("place", "call"), [*ERRORS, *FINDINGS], ids=[p for p, _ in [*ERRORS, *FINDINGS]])
def test_no_sentence_ends_in_a_stop_or_shouts(place: str, call: ast.Call) -> None:
    sentence = 1 if name_of(call) in ("note", "warning") else 0
    texts = [text_of(a) for a in call.args[sentence : sentence + 1]]
    for text in texts + [text_of(k.value) for k in call.keywords if k.arg == "fix"]:
        assert text.endswith("...") or not text.rstrip().endswith((".", "!")), place
        assert "please" not in text.lower()
        assert "invalid" not in text.lower()


def test_every_code_of_a_finding_is_made_somewhere() -> None:
    made = {c.value for _, call in CALLS for c in ast.walk(call) if isinstance(c, ast.Constant)}
    assert set(CODES) - made == set()
