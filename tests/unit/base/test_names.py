"""Names of parts, pins and nets.

Escapes and overbars are those of KiCad 5 to 9 (``{slash}``, ``~{X}``, ``~X``; seen in its demo files); the other marks
of an active-low name are common practice, no source.
"""

from __future__ import annotations

import pytest

from tracer.base.names import (
    bare_name,
    is_active_low,
    last_part,
    natural_key,
    readable_name,
    similar_names,
)


def test_natural_order() -> None:
    ordered = [
        "1",
        "2",
        "10",
        "A",
        "A1",
        "A2",
        "A10",
        "J1",
        "R1",
        "R1A",
        "R2",
        "R10",
        "R10B",
        "U",
        "U1.2",
        "U1.10",
    ]
    mixed = sorted(ordered, key=len)
    assert mixed != ordered
    assert sorted(mixed, key=natural_key) == ordered


def test_leading_zeros_and_long_numbers() -> None:
    """Different texts have different keys, and a number may have any number of figures."""
    assert sorted(["R1", "R01", "R001"], key=natural_key) == ["R001", "R01", "R1"]
    assert natural_key("R" + "9" * 9000) < natural_key("R1" + "0" * 9000)


@pytest.mark.parametrize(
    ("name", "shown", "bare", "low"),
    [
        ("CLK", "CLK", "CLK", False),
        ("~{RD}", "/RD", "RD", True),
        ("~RD", "/RD", "RD", True),
        ("/RD", "/RD", "RD", True),
        ("RD#", "RD#", "RD", True),
        ("RD*", "RD*", "RD", True),
        ("RD_N", "RD_N", "RD", True),
        ("RD_L", "RD_L", "RD", True),
        ("RD'", "RD'", "RD", True),
        ("nRD", "nRD", "RD", True),
        ("!RD", "!RD", "RD", True),
        ("-RD", "-RD", "RD", True),
        ("R/~{W}", "R//W", "R/W", False),
        ("~{A}/B", "/A/B", "A/B", False),
        ("NC", "NC", "NC", False),
        ("N", "N", "N", False),
        ("~", "~", "~", False),
        ("#", "#", "", False),
        ("D 0", "D 0", "D0", False),
        ("VPP{slash}MCLR", "VPP/MCLR", "VPP/MCLR", False),
        ("a{lt}b{gt}", "a<b>", "A<B>", False),
        ("{space}x{brace}", " x{", "X{", False),
        # An overbar on a word that is also an escape is an overbar.
        ("~{slash}", "/slash", "SLASH", True),
    ],
)
def test_overbars_and_escapes(name: str, shown: str, bare: str, low: bool) -> None:
    assert (readable_name(name), bare_name(name), is_active_low(name)) == (shown, bare, low)


@pytest.mark.parametrize(
    ("net", "expected"),
    [
        ("/video/RED", "RED"),
        ("RED", "RED"),
        ("/RED", "RED"),
        ("/a{slash}b", "a/b"),
        ("/s/~{CS}", "/CS"),
        ("/s/", "/s/"),
        ("", ""),
    ],
)
def test_net_without_its_sheets(net: str, expected: str) -> None:
    assert last_part(net) == expected


def test_similar_names() -> None:
    """In any case of letters, most alike first, at most as many as asked."""
    known = ["U1", "U10", "U11", "R1", "r10", "VCC"]
    assert similar_names("u1", known, 2) == ["U1", "U11"]
    assert similar_names("R10", known, 1) == ["r10"]
    assert similar_names("XYZ", known) == []
    assert similar_names("x", []) == []
