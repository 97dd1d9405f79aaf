"""The pipeline as a whole: what is said where a colour has no bits, and at what the time goes."""

from __future__ import annotations

from tests.boards import board
from tracer.tracing.pipeline import trace

HEADER = """
part J1 symbol=Conn_01x06
part P1 symbol=Conn_01x03
part U1 82S123
part R1 470
part R2 470
J1.1 P1.2
P1.1 R1.1
R1.2 U1.1
J1.2 R2.1
R2.2 U1.2
GND: P1.3 U1.8
VCC: U1.16
"""
PINS = {"red": "J1.1", "green": "J1.2"}


def test_a_header_in_the_way_is_named_with_what_a_bridge_would_join() -> None:
    (finding,) = [f for f in trace(board(HEADER), pins=PINS).findings if f.code == "no-drivers"]
    assert (
        "only P1 stands here. With 1-2 bridged it is U1.1: tell it with --part P1='jumper 1-2'"
        in finding.text
    )
    assert finding.where == ("J1.1", "P1")


def test_a_plug_is_no_header_to_be_bridged() -> None:
    plug = HEADER.replace("symbol=Conn_01x03", "symbol=Conn_01x20") + "\n".join(
        f"P1.{n}" for n in range(4, 21)
    )
    (finding,) = [f for f in trace(board(plug), pins=PINS).findings if f.code == "no-drivers"]
    assert "is it the right pin?" in finding.text
