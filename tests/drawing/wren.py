"""wren: a colour PROM wired straight to its resistors; 3-3-2 bits, no latch.

Two bits a pixel from shift registers and three bits of colour group choose one
of 32 PROM words; blanking takes the PROM off its outputs. Resistor values:
common practice, no source. Which output weighs what is mixed on purpose.
"""

from __future__ import annotations

from tests.drawing.cell import Cell
from tests.drawing.design import Project, TrueBit
from tests.drawing.surroundings import counter_pair, decoupling, supply_flags, supply_units, sync_driver

__all__ = ["wren"]

#: Colour -> bits, heaviest first: resistor, value, ohm, PROM output.
BITS = {
    "red": (("R1", "220", 220.0, "O1"), ("R2", "470", 470.0, "O2"), ("R3", "1k", 1000.0, "O3")),
    "green": (("R7", "220", 220.0, "O7"), ("R8", "470", 470.0, "O8"), ("R6", "1k", 1000.0, "O6")),
    "blue": (("R5", "220", 220.0, "O5"), ("R4", "470", 470.0, "O4")),
}

H = ("H1", "H2", "H4", "H8", "H16", "H32", "H64", "H128")


def wren() -> Project:
    """The board."""
    cell = Cell(
        "wren", "Wren: colour PROM wired to its resistors", "A3", remarks=("3-3-2 bits, 32 colours at once",)
    )
    _counters(cell)
    _graphics(cell)
    _blanking(cell)
    _colours(cell)
    _supply(cell)
    truth = {
        colour: tuple(
            TrueBit((resistor,), (ohm,), cell.leg(f"U9.{out}"), (), (cell.leg(f"U9.{out}"),))
            for resistor, _, ohm, out in bits
        )
        for colour, bits in BITS.items()
    }
    pins = {colour: cell.leg(f"J1.{colour.upper()}") for colour in BITS}
    return Project("wren", 20211123, cell.finish(), pins, truth)


def _counters(cell: Cell) -> None:
    cell.note("pixel clock and counters", 12, 12)
    cell.chip("X1", "OSC", "4.000MHz", "1A", 26, 28, "OUT=PIXCLK")
    counter_pair(cell, ("U1", "1B"), ("U2", "1C"), 62, 28, "PIXCLK", "HC", H)
    cell.part("U3", "74x393", "74LS393", "1D")
    cell.put("U3", 136, 22, "1A=H128 1CLR=GND 1QA=V1 1QB=V2 1QC=V4 1QD=V8", unit=1)
    cell.put("U3", 136, 42, "2A=V8 2CLR=GND 2QA=V16 2QB=V32 2QC=V64 2QD=V128", unit=2)


def _graphics(cell: Cell) -> None:
    cell.note("picture: two planes of eight pixels", 12, 58)
    address = (
        "A0=V1 A1=V2 A2=V4 A3=H8 A4=H16 A5=H32 A6=H64 A7=V8 A8=V16 A9=V32 A10=V64 /CE=GND /OE=GND VPP=+5V"
    )
    for chip, shifter, place, row, letter, out in (
        ("U4", "U6", "2", 82, "GA", "IDX0"),
        ("U5", "U7", "3", 126, "GB", "IDX1"),
    ):
        cell.chip(chip, "2716", "2716", f"{place}A", 32, row, f"{address} D[0..7]={letter}[0..7]")
        loads = " ".join(f"{pin}={letter}{n}" for n, pin in enumerate("ABCDEFGH"))
        cell.chip(
            shifter, "74x166", "74LS166", f"{place}C", 80, row,
            f"SER=GND {loads} SH//LD=~{{LOAD}} CLK=PIXCLK CLKINH=GND /CLR=+5V QH={out}",
        )  # fmt: skip
    cell.note("colour group", 110, 58)
    cell.chip(
        "U8", "74x174", "74LS174", "3D", 128, 78,
        "1D=H32 2D=V64 3D=V128 [4..6]D=GND [1..3]Q=IDX[2..4] [4..6]Q=- CLK=~{LOAD} /CLR=+5V",
    )  # fmt: skip


def _blanking(cell: Cell) -> None:
    cell.note("blanking and sync", 118, 104)
    cell.part("U12", "74x00", "74LS00", "4C")
    cell.part("U11", "74x74", "74LS74", "4B")
    cell.part("U10", "74x10", "74LS10", "4A")
    cell.put("U12", 136, 118, "1A=H64 1B=H128 1Y=~{HB}", unit=1)
    cell.put("U12", 136, 138, "2A=V64 2B=V128 2Y=~{VB}", unit=2, mirror="x")
    cell.put("U11", 170, 120, "1D=~{HB} 1CLK=H16 /1PRE=+5V /1CLR=+5V 1Q=~{HBL} /1Q=HBL", unit=1)
    cell.put("U11", 170, 144, "2D=~{VB} 2CLK=V16 /2PRE=+5V /2CLR=+5V 2Q=~{VBL} /2Q=VBL", unit=2)
    cell.put("U12", 204, 120, "3A=~{HBL} 3B=~{VBL} 3Y=BLANK", unit=3)
    cell.put("U10", 136, 158, "1A=H1 1B=H2 1C=H4 1Y=~{LOAD}", unit=1)
    cell.put("U10", 170, 164, "2A=HBL 2B=H16 2C=H32 2Y=~{HS}", unit=2)
    cell.put("U10", 170, 180, "3A=VBL 3B=V16 3C=V32 3Y=~{VS}", unit=3)
    cell.put("U12", 204, 164, "4A=~{HS} 4B=~{VS} 4Y=CSYNC", unit=4)
    sync_driver(cell, "Q1", "R9", "R10", 242, 164, "CSYNC", "SYNC")


def _colours(cell: Cell) -> None:
    """PROM, resistors and plug."""
    cell.note("colours", 222, 20)
    x, y = 236, 60
    outs = {out: f"N_{out}" for bits in BITS.values() for _, _, _, out in bits}
    cell.chip(
        "U9", "82S123", "82S123", "3E", x, y,
        "A[0..4]=IDX[0..4] /CE=BLANK " + " ".join(f"{out}={net}" for out, net in outs.items()),
    )  # fmt: skip
    cell.part("J1", "Conn_01x06_Monitor", "MONITOR")
    cell.put("J1", 306, 60, "RED=RED GREEN=GREEN BLUE=BLUE GND=GND SYNC=SYNC #6=+5V")
    # Rows of resistors in the order of the PROM's outputs, a gap after each colour.
    rows = {"O1": 34, "O2": 38, "O3": 42, "O4": 50, "O5": 54, "O6": 64, "O7": 68, "O8": 72}
    for colour, bits in BITS.items():
        for reference, value, _, out in bits:
            cell.two(reference, "R", value, x + 32, rows[out], outs[out], colour.upper(), rot=90)
    by_out = {out: reference for bits in BITS.values() for reference, _, _, out in bits}
    order = sorted(rows)
    cell.fan([f"U9.{out}" for out in order], [f"{by_out[out]}.1" for out in order], x + 14)
    # Green and blue cross on the way to the plug.
    for colour, sum_x, turn in (("red", 276, 292), ("green", 276, 284), ("blue", 276, 288)):
        ends = sorted(cell.pin(f"{reference}.2").at.y for reference, *_ in BITS[colour])
        for row in ends:
            cell.wire((x + 35, row), (sum_x, row))
        cell.wire((sum_x, ends[0]), (sum_x, ends[-1]))
        middle = ends[len(ends) // 2]
        target = cell.pin(f"J1.{colour.upper()}").at
        cell.wire((sum_x, middle), ("x", turn), ("y", target.y), target)


def _supply(cell: Cell) -> None:
    supply_units(cell, ("U3", "U10", "U11", "U12"), 20, 196)
    decoupling(cell, [f"C{n}" for n in range(2, 10)], 78, 196, bulk="C1")
    supply_flags(cell, 168, 196)
