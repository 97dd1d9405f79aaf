"""What is computed once."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import pytest

from tracer.base.once import once


@dataclass(frozen=True)
class Board:
    weight: float
    kept: dict[object, object] = field(init=False, repr=False, compare=False, default_factory=dict)


asked: list[tuple[object, ...]] = []


@once
def times(board: Board, ohm: float = 75.0, *, sign: int = 1) -> float:
    """Times."""
    asked.append((board.weight, ohm, sign))
    if ohm < 0:
        raise ValueError(ohm)
    return board.weight * ohm * sign


def test_the_same_question_however_it_is_put_is_computed_once() -> None:
    asked.clear()
    board = Board(2.0)
    assert [times(board), times(board, 75.0), times(board, ohm=75.0), times(board, sign=1)] == [150.0] * 4
    assert times(board, 1000.0) == 2000.0
    assert asked == [(2.0, 75.0, 1), (2.0, 1000.0, 1)]


def test_another_value_is_asked_anew_even_when_it_is_equal_or_made_from_the_first() -> None:
    asked.clear()
    board = Board(2.0)
    times(board)
    times(Board(2.0))
    assert times(replace(board, weight=3.0)) == 225.0
    assert len(asked) == 3


def test_a_failure_is_not_kept() -> None:
    asked.clear()
    board = Board(1.0)
    for _ in range(2):
        with pytest.raises(ValueError):
            times(board, -1.0)
    assert len(asked) == 2


def test_what_is_kept_is_no_part_of_the_value() -> None:
    board = Board(1.0)
    times(board)
    assert board == Board(1.0)
    assert repr(board) == "Board(weight=1.0)"
