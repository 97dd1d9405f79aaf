"""Dual-port and first-in first-out memories by their drawn names."""

from __future__ import annotations

import pytest

from tracer.netlist.board import Part, Pin
from tracer.parts.identify import Identified, identify
from tracer.parts.library import load_library


def drawn(names: str) -> Identified:
    """A part without an entry; legs 1, 2, 3 ... with these names."""
    pins = tuple(Pin(str(i + 1), name) for i, name in enumerate(names.split()))
    return identify(
        Part("U1", "XX99", symbol="XX99", pins=pins),
        tuple(p.number for p in pins),
        load_library(),
        frozenset(),
    )


PORT = "A0 A1 A2 A3 A4 D0 D1 D2 /CE R/W /OE /BUSY"


@pytest.mark.parametrize("form", ["{}L {}R", "{}_L {}_R", "L{} R{}", "{}_A {}_B"])
def test_a_port_shows_what_its_own_addresses_choose(form: str) -> None:
    left, right = form.split()
    found = drawn(
        " ".join(side.format(name.strip("/")) for side in (left, right) for name in PORT.split()) + " GND VCC"
    )
    assert (found.kind, found.type.what) == ("ram", "read as a dual-port ram by its pin names")
    assert [f.code for f in found.findings] == ["by-pin-names"]
    of = {
        arc.target: {a.source for a in found.type.arcs_into(arc.target, "address")} for arc in found.type.arcs
    }
    assert of == {
        **{str(n): {"1", "2", "3", "4", "5"} for n in (6, 7, 8)},
        **{str(n): {"13", "14", "15", "16", "17"} for n in (18, 19, 20)},
    }


def test_two_unequal_sides_are_no_dual_port_memory() -> None:
    assert drawn("A0L A1L A2L A3L D0L D1L CEL A0R A1R D0R CER GND VCC").kind == "unknown"


@pytest.mark.parametrize(
    "controls", ["/W /R /FF /EF /RS", "WCLK RCLK /WEN /REN /FF /EF", "SI SO IR OR MR", "WR RD HF"]
)
def test_a_queue_has_inputs_outputs_two_clocks_and_a_flag(controls: str) -> None:
    found = drawn(f"D0 D1 D2 D3 Q0 Q1 Q2 Q3 {controls} GND VCC")
    assert (found.kind, found.type.what) == ("ram", "read as a first-in first-out memory by its pin names")
    assert [p.number for p in found.type.pins if p.role == "data_out"] == ["5", "6", "7", "8"]


@pytest.mark.parametrize(
    "names", ["D0 D1 D2 D3 Q0 Q1 Q2 Q3 CLK /OE", "D0 D1 D2 D3 Q0 Q1 Q2 /W /R /FF", "D0 D1 Q0 Q1 /W /R /FF"]
)
def test_a_register_is_no_queue(names: str) -> None:
    assert "first-in" not in drawn(f"{names} GND VCC").type.what
