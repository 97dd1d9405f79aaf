"""What a placed part is, where its words point two ways."""

from __future__ import annotations

import pytest

from tracer.netlist.board import Part
from tracer.parts.identify import identify
from tracer.parts.library import load_library


@pytest.mark.parametrize("symbol", ["S11", "S15", "LS00", "6116", "HC04"])
def test_a_resistor_is_one_whatever_chip_its_symbol_is_named_like(symbol: str) -> None:
    known = identify(Part("R1", "220", symbol=symbol), ("1", "2"), load_library(), frozenset())
    assert (known.kind, known.ohm) == ("resistor", 220.0)


def test_a_chip_called_r_with_its_legs_is_a_chip() -> None:
    legs = tuple(str(i) for i in range(1, 25))
    assert identify(Part("R3", "6116", symbol="6116"), legs, load_library(), frozenset()).kind == "ram"
