"""Members of bus labels. What KiCad 9.0.2 makes of such labels is in ``test_schematic_buses.py``."""

from __future__ import annotations

import pytest

from tracer.base.errors import NetlistError
from tracer.importers.kicad.bus import LARGEST_BUS, BusMember, bus_members, is_bus_name

ALIASES = {"CTL": ["RD", "D[0..1]"], "ROUND": ["A", "ROUND"], "OUTER": ["CTL", "X"], "EMPTY": []}


@pytest.mark.parametrize(
    ("label", "expected"),
    [
        ("D[0..2]", "D0 D1 D2"),
        ("D[2..0]", "D0 D1 D2"),
        ("D[08..10]", "D8 D9 D10"),
        ("[0..1]", "0 1"),
        ("~{D}[0..1]", "~{D}0 ~{D}1"),
        ("~{D[0..1]}", "~{D0} ~{D1}"),
        ("{A B}", "A B"),
        ("X{A B}", "X.A X.B"),
        ("X{A D[0..1]}", "X.A X.D0 X.D1"),
        ("{~{RD} A_{0}}", "~{RD} A_{0}"),
        ("{CTL}", "RD D0 D1"),
        ("X{CTL Y}", "X.RD X.D0 X.D1 X.Y"),
        ("{OUTER}", "RD D0 D1 X"),
        # An alias inside itself is a plain name.
        ("{ROUND}", "A ROUND"),
        ("{EMPTY}", ""),
        ("{}", ""),
        ("D", ""),
        ("CTL", ""),
        ("~{RD}", ""),
        ("A_{0}", ""),
        ("D[0]", ""),
        ("D[3..3]", ""),
        ("D[0..1]_N", ""),
        ("{A{B}}", ""),
    ],
)
def test_members(label: str, expected: str) -> None:
    assert [member.full for member in bus_members(label, ALIASES)] == expected.split()
    assert is_bus_name(label, ALIASES) == bool(expected)


def test_short_names_and_places() -> None:
    assert bus_members("X{A D[4..5]}", {}) == (
        BusMember("X.A", "A", None),
        BusMember("X.D4", "D4", None),
        BusMember("X.D5", "D5", None),
    )
    assert bus_members("D[5..4]", {}) == (BusMember("D4", "D4", 0), BusMember("D5", "D5", 1))


@pytest.mark.parametrize("label", ["D[0..999999999]", "{D[0..999999999] E[0..999999999]}"])
def test_a_bus_that_no_board_has_is_refused(label: str) -> None:
    """To cut it would leave wires out without a word."""
    with pytest.raises(NetlistError, match="more than 4,096 members"):
        bus_members(label, {})
    assert len(bus_members(f"D[1..{LARGEST_BUS}]", {})) == LARGEST_BUS


def test_aliases_of_aliases_are_not_multiplied_out_without_end() -> None:
    aliases = {f"M{i}": [f"X{{M{i + 1}}}", f"Y{{M{i + 1}}}"] for i in range(60)}
    with pytest.raises(NetlistError, match="more than 4,096 members"):
        bus_members("A{M0}", {**aliases, "M60": []})
