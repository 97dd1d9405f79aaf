"""dunlin: two palette RAMs into latches; 4-4-4 bits, 256 colours at once, a 56-way edge connector.

One RAM feeds red and green, half of the other feeds blue. The processor writes
both through transceivers; multiplexers hand it the palette's address. The order
of the latches' inputs is mixed on purpose.
"""

from __future__ import annotations

from tests.drawing.cell import Cell
from tests.drawing.design import Project, TrueBit
from tests.drawing.surroundings import counter_pair, decoupling, spare_gates, supply_flags, supply_units

__all__ = ["dunlin"]

_OHM = {"220": 220.0, "470": 470.0, "1k": 1000.0, "2k2": 2200.0}

#: Colour -> bits, heaviest first: resistor, value, latch, its section, palette data net.
BITS = {
    "red": (("R1", "220", "U13", 8, "PA7"), ("R2", "470", "U13", 6, "PA6"), ("R3", "1k", "U13", 4, "PA5"),
            ("R4", "2k2", "U13", 2, "PA4")),
    "green": (("R5", "220", "U13", 7, "PA3"), ("R6", "470", "U13", 5, "PA2"), ("R7", "1k", "U13", 3, "PA1"),
              ("R8", "2k2", "U13", 1, "PA0")),
    "blue": (("R9", "220", "U14", 1, "PB3"), ("R10", "470", "U14", 4, "PB2"), ("R11", "1k", "U14", 2, "PB1"),
             ("R12", "2k2", "U14", 3, "PB0")),
}  # fmt: skip

_RAM = {"U13": "U9", "U14": "U10"}


def dunlin() -> Project:
    """The board."""
    cell = Cell(
        "dunlin",
        "Dunlin: palette RAMs, latches, edge connector",
        "A2",
        remarks=("4-4-4 bits, 256 colours at once",),
    )
    _processor(cell)
    _inputs(cell)
    _picture(cell)
    _timing(cell)
    _palette(cell)
    _latches(cell)
    _edge(cell)
    _supply(cell)
    truth = {colour: tuple(_bit(cell, *row) for row in rows) for colour, rows in BITS.items()}
    pins = {colour: cell.leg(f"J1.{colour.upper()}") for colour in BITS}
    return Project("dunlin", 20231120, cell.finish(), pins, truth, revision="B")


def _bit(cell: Cell, resistor: str, value: str, latch: str, section: int, net: str) -> TrueBit:
    out, into = cell.leg(f"{latch}.{section}Q"), cell.leg(f"{latch}.{section}D")
    source = cell.leg(f"{_RAM[latch]}.D{net[2:]}")
    return TrueBit((resistor,), (_OHM[value],), out, ((out, (into,)),), (source,))


def _processor(cell: Cell) -> None:
    cell.note("processor", 14, 16)
    cell.chip(
        "U1", "Z80A", "Z80A", "1B", 38, 52,
        "CLK=H0 /RESET=~{RESET} /WAIT=+5V /BUSREQ=+5V /INT=~{VBL} /NMI=+5V /M1=- /RFSH=- /HALT=- /BUSACK=- "
        "/MREQ=~{MREQ} /IORQ=- /RD=~{RD} /WR=~{WR} D[0..7]=D[0..7] A[0..15]=A[0..15]",
    )  # fmt: skip
    cell.chip(
        "U2", "2764", "2764", "2B", 92, 42,
        "A[0..12]=A[0..12] /CE=~{ROM} /OE=~{RD} /PGM=+5V VPP=+5V D[0..7]=D[0..7]",
    )  # fmt: skip
    cell.chip(
        "U3",
        "6116",
        "6116",
        "3B",
        134,
        40,
        "A[0..10]=A[0..10] /CS=~{RAM} /OE=~{RD} /WE=~{WR} D[0..7]=D[0..7]",
    )
    cell.note("decoding", 78, 76)
    cell.chip(
        "U4", "74x138", "74LS138", "4B", 92, 92,
        "A=A13 B=A14 C=A15 G1=+5V /G2A=~{MREQ} /G2B=GND Y0=~{ROM} Y[1..3]=- Y4=~{RAM} Y5=~{IN0} Y6=~{IN1} Y7=~{PAL}",
    )  # fmt: skip
    cell.part("U5", "74x32", "74LS32", "5B")
    cell.part("U6", "74x04", "74LS04", "6B")
    cell.put("U6", 134, 82, "1A=A0 1Y=~{A0}", unit=1)
    cell.put("U6", 134, 98, "2A=~{PAL} 2Y=PAL", unit=2)
    cell.put("U5", 92, 120, "1A=~{PAL} 1B=A0 1Y=~{PALA}", unit=1)
    cell.put("U5", 92, 134, "2A=~{PAL} 2B=~{A0} 2Y=~{PALB}", unit=2)
    cell.put("U5", 134, 120, "3A=~{PALA} 3B=~{WR} 3Y=~{WEA}", unit=3)
    cell.put("U5", 134, 134, "4A=~{PALB} 4B=~{WR} 4Y=~{WEB}", unit=4)
    cell.note("reset", 14, 96)
    cell.two("R13", "R", "10k", 24, 106, "+5V", "~{RESET}")
    cell.two("C1", "C_Polarized", "10u", 24, 116, "~{RESET}", "GND")
    cell.wire("R13.2", "C1.1")
    cell.wire((24, 111), (34, 111))
    cell.label("~{RESET}", (34, 111), "left")


PLAYER = ("UP", "DOWN", "LEFT", "RIGHT", "B1", "B2")


def _inputs(cell: Cell) -> None:
    cell.note("controls", 14, 146)
    for n, (chip, pack, place) in enumerate((("U24", "RN1", "2A"), ("U25", "RN2", "3A")), start=1):
        nets = [*(f"P{n}_{word}" for word in PLAYER), f"COIN{n}", f"START{n}"]
        pins = [f"{half}A{k}" for half in (1, 2) for k in range(1, 5)]
        inputs = " ".join(f"{pin}={net}" for pin, net in zip(pins, nets, strict=True))
        x = 42 + 60 * (n - 1)
        cell.chip(
            chip, "74x244", "74LS244", place, x, 190,
            f"{inputs} 1Y[1..4]=D[0..3] 2Y[1..4]=D[4..7] /1OE=~{{IN{n - 1}}} /2OE=~{{IN{n - 1}}}",
        )  # fmt: skip
        cell.part(pack, "R_Network08", "8x4k7")
        resistors = " ".join(f"R{k}={net}" for k, net in enumerate(nets, start=1))
        cell.put(pack, x, 158, f"common=+5V {resistors}")


def _picture(cell: Cell) -> None:
    cell.note("picture", 190, 236)
    cell.chip(
        "U15", "27256", "27256", "6E", 210, 262,
        "A[0..7]=H[0..7] A[8..14]=V[0..6] /CE=GND /OE=GND VPP=+5V D[0..7]=GD[0..7]",
    )  # fmt: skip
    cell.chip(
        "U16", "74x374", "74LS374", "7E", 254, 256, "[1..8]D=GD[0..7] CLK=PIXCLK /OE=GND [1..8]Q=PIX[0..7]"
    )


def _timing(cell: Cell) -> None:
    cell.note("clock, counters, blanking, sync", 14, 208)
    cell.chip("X1", "OSC", "8.000MHz", "1E", 26, 222, "OUT=OSC")
    h, v = [f"H{n}" for n in range(8)], [f"V{n}" for n in range(8)]
    counter_pair(cell, ("U17", "2E"), ("U18", "3E"), 98, 228, "PIXCLK", "HC", h)
    counter_pair(cell, ("U19", "4E"), ("U20", "5E"), 98, 264, "HBL", "VC", v)
    cell.part("U21", "74x74", "74LS74", "1F")
    cell.part("U22", "74x08", "74LS08", "2F")
    cell.part("U23", "74x10", "74LS10", "3F")
    cell.put("U21", 60, 222, "1D=~{DIV} 1CLK=OSC /1PRE=+5V /1CLR=+5V 1Q=PIXCLK /1Q=~{DIV}", unit=1)
    cell.put("U22", 26, 244, "1A=H6 1B=H7 1Y=HB", unit=1)
    cell.put("U21", 60, 246, "2D=HB 2CLK=H4 /2PRE=+5V /2CLR=+5V 2Q=HBL /2Q=~{HBL}", unit=2)
    cell.put("U22", 26, 260, "2A=V6 2B=V7 2Y=VBL", unit=2)
    cell.put("U23", 26, 276, "1A=V6 1B=V7 1C=+5V 1Y=~{VBL}", unit=1)
    cell.put("U22", 60, 268, "3A=~{HBL} 3B=~{VBL} 3Y={slash}BLANK", unit=3, mirror="x")
    cell.put("U23", 60, 284, "2A=HBL 2B=H4 2C=H5 2Y=~{HS}", unit=2)
    cell.put("U23", 60, 300, "3A=VBL 3B=V4 3C=V5 3Y=~{VS}", unit=3)
    cell.put("U22", 26, 294, "4A=~{HS} 4B=~{VS} 4Y=CSYNC", unit=4)


def _palette(cell: Cell) -> None:
    cell.note("palette", 176, 16)
    mux, ram = 196, 226
    for chip, place, row, first in (("U11", "4D", 40, 0), ("U12", "5D", 80, 4)):
        sections = " ".join(
            f"{n}A=PIX{first + n - 1} {n}B=A{first + n} {n}Y=MA{first + n - 1}" for n in range(1, 5)
        )
        cell.chip(chip, "74x157", "74LS157", place, mux, row, f"{sections} S=PAL /G=GND")
    for chip, place, row, letter in (("U9", "7D", 46, "A"), ("U10", "7E", 140, "B")):
        cell.chip(
            chip, "6116", "6116", place, ram, row,
            f"A[0..7]=MA[0..7] A[8..10]=GND /CS=GND /OE=GND /WE=~{{WE{letter}}} D[0..7]=P{letter}[0..7]",
        )  # fmt: skip
    for chip, place, row, letter in (("U7", "6D", 88, "A"), ("U8", "6C", 182, "B")):
        cell.chip(
            chip, "74x245", "74LS245", place, ram, row,
            f"A[1..8]=D[0..7] B[1..8]=P{letter}[0..7] DIR=~{{RD}} /OE=~{{PAL{letter}}}",
        )  # fmt: skip
    ends = [cell.bus_run([f"{chip}.{n}Y" for n in range(1, 5)], 5) for chip in ("U11", "U12")]
    ends += [cell.bus_run([f"{chip}.A{n}" for n in range(8)], 5) for chip in ("U9", "U10")]
    column = ends[0][0].x
    rows = [p.y for pair in ends for p in pair]
    cell.bus((column, min(rows) - 11), (column, max(rows)))
    cell.label("MA[0..7]", (column, min(rows) - 11), "down")


def _latches(cell: Cell) -> None:
    cell.note("latches", 262, 16)
    x = 286
    nets = {(latch, section): net for rows in BITS.values() for _, _, latch, section, net in rows}
    outs = {key: f"Q_{key[0]}_{key[1]}" for key in nets}
    sections = " ".join(f"{n}D={nets['U13', n]} {n}Q={outs['U13', n]}" for n in range(1, 9))
    cell.chip("U13", "74x273", "74LS273", "8D", x, 44, f"{sections} CLK=PIXCLK /CLR={{slash}}BLANK")
    sections = " ".join(f"{n}D={nets['U14', n]} {n}Q={outs['U14', n]}" for n in range(1, 5))
    cell.chip(
        "U14",
        "74x174",
        "74LS174",
        "8E",
        x,
        136,
        f"{sections} [5..6]D=GND [5..6]Q=- CLK=PIXCLK /CLR={{slash}}BLANK",
    )
    for ram, transceiver, latch, n, letter in (("U9", "U7", "U13", 8, "A"), ("U10", "U8", "U14", 4, "B")):
        upper, _ = cell.bus_run([f"{ram}.D{k}" for k in range(8)], 5)
        _, lower = cell.bus_run([f"{transceiver}.B{k}" for k in range(1, 9)], 5)
        cell.bus(upper, lower)
        top, _ = cell.bus_run([f"{latch}.{k}D" for k in range(1, n + 1)], 6, "up")
        head = min(top.y, upper.y) - 3
        cell.bus(upper, ("y", head), ("x", top.x), top)
        cell.label(f"P{letter}[0..7]", (upper.x + 2, head), "right")
    # Resistors stand in the order of the latch outputs; the colours of one latch are woven.
    for latch, n, first in (("U13", 8, 26), ("U14", 4, 126)):
        by_section = {s: (r, v, c) for c, rows in BITS.items() for r, v, chip, s, _ in rows if chip == latch}
        for row, section in enumerate(range(1, n + 1)):
            reference, value, colour = by_section[section]
            cell.two(
                reference, "R", value, x + 38, first + 4 * row, outs[latch, section], colour.upper(), rot=90
            )
        starts = [f"{latch}.{s}Q" for s in range(1, n + 1)]
        cell.fan(starts, [f"{by_section[s][0]}.1" for s in range(1, n + 1)], x + 14)
    for colour, column in (("green", x + 45), ("red", x + 49), ("blue", x + 45)):
        rows = sorted(cell.pin(f"{reference}.2").at.y for reference, *_ in BITS[colour])
        for row in rows:
            cell.wire((x + 41, row), (column, row))
        cell.wire((column, rows[0]), (column, rows[-1]))


def _edge(cell: Cell) -> None:
    cell.note("edge connector", 402, 62)
    cell.part("J1", "Conn_Edge_56", "JAMMA")
    players = " ".join(f"P{n}_{word}=P{n}_{word}" for n in (1, 2) for word in PLAYER)
    coins = "COIN1=COIN1 START1=START1 COIN2=COIN2 START2=START2"
    cell.put(
        "J1", 416, 100,
        f"RED=RED GREEN=GREEN BLUE=BLUE CSYNC=CSYNC +5V=+5V VIDEO_GND=GND AUDIO_GND=GND {players} {coins} *=-",
    )  # fmt: skip
    red, blue = cell.pin("J1.RED").at, cell.pin("J1.BLUE").at
    cell.wire((335, 40), (378, 40), ("y", red.y), red)
    cell.wire((331, 132), (370, 132), ("y", blue.y), blue)
    cell.wire((331, 26), (331, 18), (352, 18))
    cell.label("GREEN", (352, 18), "left")
    for reference, at, colour in (
        ("C2", (344, 18), "GREEN"),
        ("C3", (358, 40), "RED"),
        ("C4", (358, 132), "BLUE"),
    ):
        cell.two(reference, "C", "100p", at[0], at[1] + 3, colour, "GND")


def _supply(cell: Cell) -> None:
    cell.note("supply, spare gates", 296, 196)
    spare_gates(cell, "U6", range(3, 7), 304, 210)
    supply_units(cell, ("U5", "U6", "U21", "U22", "U23"), 300, 228)
    decoupling(cell, [f"C{n}" for n in range(6, 14)], 300, 250, bulk="C5")
    decoupling(cell, [f"C{n}" for n in range(15, 23)], 300, 266, bulk="C14")
    supply_flags(cell, 384, 210)
