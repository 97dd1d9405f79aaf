"""Small boards for tests of the output stage: three colours alike behind one register of a family, and what differs.

The register's data come from a 6116, so that every bit is traced.
"""

from __future__ import annotations

from tests.boards import board
from tracer.netlist.board import Netlist
from tracer.tracing.pipeline import Traced, trace_fully

__all__ = ["LATCH_OUT", "PULLED_DOWN", "stage_board", "traced_stage"]

#: Output and data legs of a 74x273, and data legs of a 6116, place by place.
LATCH_OUT = ("2", "5", "6", "9", "12", "15", "16", "19")
_LATCH_IN = ("3", "4", "7", "8", "13", "14", "17", "18")
_RAM_OUT = ("9", "10", "11", "13", "14", "15", "16", "17")

#: Two bits, and a pack that pulls their lines down.
PULLED_DOWN = """
part RN1 3x1k symbol=R_Network03
part R0 1000
part R1 470
B0: R0.1
B1: R1.1
RED: R0.2 R1.2 RN1.2 RN1.3
GND: RN1.1
"""


def stage_board(stage: str, bits: int, latch: str = "74LS273") -> Netlist:
    """A board whose red stage is given; its driver nets are called B0, B1 ..., its colour pin's net RED.

    Green and blue are one bit each over 470 ohm, so that the board has all three colours.
    """
    n = bits + 2
    lines = [
        f"part U9 {latch}",
        "part U4 6116",
        "part J1 plug 1=RED 2=GREEN 3=BLUE symbol=Conn_01x03",
        "RED: J1.1",
        "part R98 470",
        "part R99 470",
        f"B{bits}: U9.{LATCH_OUT[bits]} R98.1",
        "GREEN: R98.2 J1.2",
        f"B{bits + 1}: U9.{LATCH_OUT[bits + 1]} R99.1",
        "BLUE: R99.2 J1.3",
        *(f"D{i}: U4.{_RAM_OUT[i]} U9.{_LATCH_IN[i]}" for i in range(n)),
        "VCC: U9.20 U4.24",
        "GND: U9.10 U4.12",
    ]
    extra: dict[str, str] = {f"B{i}": f"U9.{LATCH_OUT[i]}" for i in range(bits)}
    for raw in stage.strip().splitlines():
        line = raw.strip()
        name, colon, pins = line.partition(": ")
        if colon and not line.startswith("part "):
            extra[name] = f"{extra.get(name, '')} {pins}".strip()
        else:
            lines.append(line)
    merged: list[str] = []
    for line in lines:
        name, colon, pins = line.partition(": ")
        if colon and name in extra and not line.startswith("part "):
            merged.append(f"{name}: {pins} {extra.pop(name)}")
        else:
            merged.append(line)
    merged += [f"{name}: {pins}" for name, pins in extra.items()]
    return board("\n".join(merged))


def traced_stage(stage: str, bits: int, latch: str = "74LS273") -> Traced:
    """The same board, traced."""
    return trace_fully(stage_board(stage, bits, latch))


def weighted(*ohms: float) -> str:
    """The stage of one resistor a bit, the first for B0."""
    lines = []
    for i, ohm in enumerate(ohms):
        lines += [f"part R{i} {ohm:g}", f"B{i}: R{i}.1"]
    return "\n".join([*lines, "RED: " + " ".join(f"R{i}.2" for i in range(len(ohms)))])
