"""Kinds of parts: what a kind does decides where a walk goes on, ends, or does not believe the drawing."""

from __future__ import annotations

import pytest

from tracer.parts.kinds import Kind


def test_a_way_back_goes_on_or_ends_at_memory_but_never_both() -> None:
    assert not [kind for kind in Kind if kind.stores and kind.passes]


def test_what_conducts_both_ways_stores_and_hands_on_nothing() -> None:
    assert not [kind for kind in Kind if kind.conducts and (kind.stores or kind.passes or kind.may_drive)]


def test_of_a_part_without_a_known_inside_no_drawn_direction_is_believed() -> None:
    assert all(kind.may_drive for kind in Kind if kind.is_closed)


def test_each_kind_has_its_own_words_for_people() -> None:
    assert len({kind.words for kind in Kind}) == len(Kind)


def test_a_kind_is_found_by_the_name_in_a_data_file_and_no_other() -> None:
    assert Kind("shift register") is Kind.SHIFT_REGISTER
    with pytest.raises(ValueError, match="palette"):
        Kind("palette")
