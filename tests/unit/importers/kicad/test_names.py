"""Which of its labels and pins a net is named after; on drawings in ``test_schematic.py``."""

from __future__ import annotations

import pytest

from tracer.importers.kicad.names import NetNamer, PinName, slash_escaped
from tracer.netlist.board import PinRef
from tracer.netlist.union_find import UnionFind


def name_of(*labels: tuple[str, str, str]) -> str:
    """Name of one net with these labels: text, kind, sheet."""
    namer, joined = NetNamer(), UnionFind()
    for number, (text, kind, sheet) in enumerate(labels):
        namer.label(number, text, kind, sheet)
        joined.union(0, number)
    return namer.names([joined.find(0)], joined)[joined.find(0)]


@pytest.mark.parametrize(
    ("labels", "expected"),
    [
        ([("B", "local", "/"), ("A", "local", "/")], "/A"),
        ([("A", "local", "/"), ("Z", "global", "")], "Z"),
        ([("A", "local", "/"), ("Z", "power", "")], "Z"),
        ([("A", "local", "/"), ("Z", "local power", "/")], "/Z"),
        ([("A", "hierarchical", "/"), ("Z", "local", "/s/")], "/s/Z"),
        ([("A", "sheet pin", "/"), ("Z", "hierarchical", "/s/")], "/s/Z"),
        ([("A", "local", "/s/t/"), ("Z", "local", "/s/")], "/s/Z"),
        ([("a/b", "local", "/")], "/a{slash}b"),
    ],
)
def test_labels(labels: list[tuple[str, str, str]], expected: str) -> None:
    assert name_of(*labels) == expected
    assert name_of(*reversed(labels)) == expected


def test_no_two_nets_are_called_alike() -> None:
    namer = NetNamer()
    for key in "ABC":
        namer.label(key, "X", "local", "/")
    assert sorted(namer.names(list("ABC"), UnionFind()).values()) == ["/X", "/X_1", "/X_2"]


def test_pins() -> None:
    namer, joined = NetNamer(), UnionFind()
    namer.pin("a", PinName("U1A", "D", "1", PinRef("U1", "1"), repeated=False))
    namer.pin("b", PinName("R1", "", "2", PinRef("R1", "2"), repeated=False))
    namer.pin("b", PinName("R2", "", "1", PinRef("R2", "1"), repeated=False))
    namer.pin("c", PinName("R3", "", "1", PinRef("R3", "1"), repeated=False))
    namer.pin("c", PinName("U1A", "Q", "5", PinRef("U1", "5"), repeated=False))
    namer.pin("d", PinName("U2", "Q", "5", PinRef("U2", "5"), repeated=True))
    namer.pin("d", PinName("U3", "Q", "5", PinRef("U3", "5"), repeated=True))
    namer.no_connect("c")
    assert namer.names(list("abcd"), joined) == {
        "a": "unconnected-(U1A-D-Pad1)",
        "b": "Net-(R1-Pad2)",
        "c": "unconnected-(R3-Pad1)",
        "d": "Net-(U2-Q-Pad5)",
    }


def test_slash_inside_a_name() -> None:
    assert slash_escaped("R/W") == "R{slash}W"
