"""Ohms come back as written; names have one order; no text trips the readers of values."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracer.base.names import (
    bare_name,
    is_active_low,
    last_part,
    natural_key,
    readable_name,
    similar_names,
)
from tracer.base.units import format_ohm, parse_farad, parse_ohm, parse_pack_ohm, parse_volts
from tracer.netlist.net_names import says_alone

#: IEC 60063, E24: two figures a decade.
E24 = [10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91]


@given(st.sampled_from(E24), st.integers(-2, 8))
def test_standard_values_come_back_exactly(figures: int, power: int) -> None:
    ohm = float(f"{figures}e{power}")
    assert parse_ohm(format_ohm(ohm)) == pytest.approx(ohm, rel=1e-12)
    assert parse_pack_ohm(format_ohm(ohm)) == pytest.approx(ohm, rel=1e-12)


@given(st.floats(1e-4, 9.9e12))
def test_any_value_comes_back_to_four_figures(ohm: float) -> None:
    assert parse_ohm(format_ohm(ohm)) == pytest.approx(ohm, rel=6e-4)


@given(st.floats(1e-4, 9.9e12), st.floats(1e-4, 9.9e12))
def test_values_that_are_written_alike_are_alike(a: float, b: float) -> None:
    if format_ohm(a) == format_ohm(b):
        assert math.isclose(a, b, rel_tol=2e-3)


@given(st.text(st.sampled_from("0123456789.,RrKkMmGEeJF%Ωµ/ x*±()W_-")) | st.text())
def test_any_text_is_a_value_or_none(text: str) -> None:
    for read in (parse_ohm, parse_pack_ohm, parse_farad):
        value = read(text)
        assert value is None or (math.isfinite(value) and value >= 0)
    volts = parse_volts(text)
    assert volts is None or math.isfinite(volts)


@given(st.text(), st.text())
def test_natural_keys_tell_all_texts_apart(a: str, b: str) -> None:
    assert (natural_key(a) == natural_key(b)) == (a == b)
    assert (natural_key(a) < natural_key(b)) == (not natural_key(b) <= natural_key(a))


@given(st.text(st.characters(categories=["L"])), st.integers(0), st.integers(0), st.text())
def test_numbers_in_names_count(name: str, low: int, high: int, rest: str) -> None:
    if low < high:
        assert natural_key(f"{name}{low}") < natural_key(f"{name}{high}")
        if not rest[:1].isdecimal():
            assert natural_key(f"{name}{low}{rest}") < natural_key(f"{name}{high}{rest}")


@given(st.text(st.characters(categories=["L"]), min_size=1), st.text(min_size=1))
def test_a_name_comes_before_what_begins_with_it(name: str, rest: str) -> None:
    assert natural_key(name) < natural_key(name + rest)


@given(st.lists(st.text(st.sampled_from("RU019"), max_size=4)), st.randoms(use_true_random=False))
def test_sorting_has_one_result(names: list[str], random: object) -> None:
    mixed = list(names)
    getattr(random, "shuffle")(mixed)  # noqa: B009
    assert sorted(mixed, key=natural_key) == sorted(names, key=natural_key)


@given(st.text())
def test_any_name_can_be_shown_and_compared(name: str) -> None:
    shown = readable_name(name)
    assert isinstance(shown, str)
    assert bare_name(name) == bare_name(name).upper() or "ß" in name or bare_name(name) != ""
    assert is_active_low(name) in (True, False)
    assert says_alone(name) == says_alone(f" {name} ")
    assert isinstance(last_part(name), str)


@given(st.text(), st.lists(st.text(), max_size=8))
def test_similar_names_are_known_names(name: str, known: list[str]) -> None:
    assert set(similar_names(name, known)) <= set(known)
