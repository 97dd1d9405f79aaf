"""What is odd about a netlist."""

from __future__ import annotations

import pytest

from tests.boards import board
from tracer.netlist.board import Part, make_netlist
from tracer.netlist.check import check_netlist

NOTHING = "no net of board joins two pins, so nothing can be traced; is it a part list without its net list?"


def found(text: str) -> list[tuple[str, str, str]]:
    return [(f.code, f.severity, f.text) for f in check_netlist(board(text))]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("part U1 x\npart U2 x\nN: U1.1 U2.1", []),
        (
            "part U1 x\npart U2 x\nA: U1.1 U2.1\nB: U1.1 U2.2",
            [
                (
                    "pin-on-two-nets",
                    "warning",
                    "U1.1 is listed on 2 nets: A, B; they were not joined. If one is a slip, beep the leg to both",
                )
            ],
        ),
        (
            "part U1 x\npart U2 x\nA: U1.1 U2.1\na: U1.2",
            [
                (
                    "case-twins",
                    "warning",
                    "names of nets differ only in upper and lower case: A and a. They were kept apart; if one is a slip, "
                    "beep them to each other",
                )
            ],
        ),
        (
            "A: U1.1 U2.1",
            [
                (
                    "undeclared-part",
                    "note",
                    "2 part(s) stand in nets but not in the part list, so nothing says what they are: U1, U2; "
                    "tell it with --part U1=MARKING, or give the part list too",
                )
            ],
        ),
        ("part U1 x\nA: U1.1", [("nothing-connected", "warning", NOTHING)]),
        ("", [("nothing-connected", "warning", NOTHING)]),
        (
            "part U? x\npart R? x\nA: U?.1 R?.1",
            [("unannotated", "warning", "parts without a number: R?, U?; number them in the drawing")],
        ),
    ],
)
def test_findings(text: str, expected: list[tuple[str, str, str]]) -> None:
    assert found(text) == expected


def test_all_names_that_differ_in_case_are_one_warning() -> None:
    [(code, severity, text)] = found(
        "part U1 x\npart U2 x\nA: U1.1 U2.1\na: U1.2\n/b/C: U1.3\n/B/c: U1.4 U2.2\nD: U1.5"
    )
    assert (code, severity) == ("case-twins", "warning")
    assert "case: /B/c and /b/C, A and a. They" in text


def test_many_undeclared_parts_are_cut() -> None:
    [(code, _, text)] = found("A: " + " ".join(f"U{i}.1" for i in range(12)))
    assert code == "undeclared-part"
    assert ": U0, U1, U2, U3, U4, U5, U6, U7 ...; tell it" in text


def test_a_reader_s_findings_come_first() -> None:
    one = make_netlist("b", [Part("R1", "1"), Part("R1", "2")], [])
    assert [f.code for f in check_netlist(one)] == ["duplicate-part", "nothing-connected"]
