"""Changes of a text at the places of its clauses."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from tracer.importers.sexpr import parse_sexpr
from tracer.mark.edits import Edit, applied, end_of, set_clause, undone

TEXT = '(wire (pts (xy 1 2)) (stroke (width 0) (type default)) (name "a ) b \\" ("))'


def test_a_clause_ends_at_its_own_bracket_whatever_its_strings_hold() -> None:
    tree = parse_sexpr(TEXT, "x")
    stroke, name = tree.first("stroke"), tree.first("name")
    assert stroke is not None
    assert name is not None
    assert TEXT[stroke.at : end_of(TEXT, stroke)] == "(stroke (width 0) (type default))"
    assert end_of(TEXT, name) == len(TEXT) - 1
    assert end_of(TEXT, tree) == len(TEXT)


def test_a_clause_is_replaced_or_put_in_behind_the_last() -> None:
    stroke = parse_sexpr(TEXT, "x").first("stroke")
    assert stroke is not None
    edits = [
        set_clause(TEXT, stroke, "width", "(width 1)"),
        set_clause(TEXT, stroke, "color", "(color 1 2 3 1)"),
    ]
    assert "(stroke (width 1) (type default) (color 1 2 3 1)) (name" in applied(TEXT, edits)


@given(
    st.text(max_size=40),
    st.lists(st.tuples(st.integers(0, 40), st.integers(0, 5), st.text(max_size=5)), max_size=6),
)
def test_what_is_done_can_be_taken_back(text: str, wanted: list[tuple[int, int, str]]) -> None:
    edits: list[Edit] = []
    here = 0
    for at, length, new in sorted(wanted):
        start = max(at, here)
        if start + length <= len(text):
            edits.append(Edit(start, text[start : start + length], new))
            here = start + length + 1
    assert undone(applied(text, edits), edits) == text
