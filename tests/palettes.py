"""Small boards with a palette memory, their levels by Millman's theorem, and contents, for tests."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from tests.boards import board
from tracer.levels.values import CodeLevel, ColourLevels, LevelTable, LoadLevels
from tracer.palette.dumps import Dump
from tracer.palette.make import PaletteMaker
from tracer.tracing.pipeline import Traced, trace_fully

#: From the PROM's outputs to the resistors.
WAYS = "U1.1 R1.1\nU1.2 R2.1\nU1.3 R3.1\nU1.4 R4.1\nU1.5 R5.1"
#: Two bits of red and green, one of blue, from one PROM; A4 low.
PROM = """
part J1 socket 1=RED 2=GREEN 3=BLUE
part U1 82S123
part U2 74LS174
part R1 220
part R2 470
part R3 220
part R4 470
part R5 330
VCC: U1.16 U2.16
GND: U1.8 U2.8 U1.14 U1.15
IDX0: U1.10 U2.2
IDX1: U1.11 U2.5
IDX2: U1.12 U2.7
IDX3: U1.13 U2.10
@WAYS@
RED: J1.1 R1.2 R2.2
GREEN: J1.2 R3.2 R4.2
BLUE: J1.3 R5.2
""".replace("@WAYS@", WAYS)


def traced(text: str = PROM) -> Traced:
    """A board traced at 75 ohm."""
    return trace_fully(board(text), pins={"red": "J1.1", "green": "J1.2", "blue": "J1.3"})


def levels_of(board_: Traced, high: float = 5.0) -> LevelTable:
    """Levels by Millman's theorem, with ideal outputs: not those of `tracer.levels.codes`."""
    load = board_.bit_map.load_ohm
    colours = []
    for colour in board_.bit_map.colours:
        ohms = {bit.bit: sum(r.ohm or 0.0 for r in bit.resistors) for bit in colour.bits}
        total = sum(1 / ohm for ohm in ohms.values()) + (1 / load if load else 0.0)
        codes = []
        for code in range(1 << len(ohms)):
            volts = sum(high * (code >> bit & 1) / ohm for bit, ohm in ohms.items()) / total
            codes.append(CodeLevel(code, volts, volts, volts))
        colours.append(
            ColourLevels(colour.name, len(ohms), 1 << len(ohms), (LoadLevels(load, tuple(codes)),))
        )
    return LevelTable(board_.bit_map.name, tuple(colours))


def maker_of(board_: Traced, words: Mapping[str, Sequence[int]]) -> PaletteMaker:
    """The palette maker of a board with words by memory."""
    return PaletteMaker(board_, levels_of(board_), {part: Dump(tuple(w)) for part, w in words.items()})
