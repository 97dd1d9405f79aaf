"""avocet's main board: processor, picture, two banks of colour PROMs and the multiplexers that choose."""

from __future__ import annotations

from tests.drawing.avocet_ribbon import ribbon_nets
from tests.drawing.cell import Cell
from tests.drawing.design import Project
from tests.drawing.surroundings import counter_pair, decoupling, spare_gates, supply_flags, supply_units

__all__ = ["MUXES", "avocet_main"]

#: Colour -> multiplexer, PROMs of bank 0 (its A inputs) and bank 1 (its B inputs).
MUXES = {"red": ("U22", ("U16", "U19")), "green": ("U23", ("U17", "U20")), "blue": ("U24", ("U18", "U21"))}


def avocet_main() -> Project:
    """The board."""
    cell = Cell(
        "avocet-main",
        "Avocet main board: two banks of colour PROMs",
        "A2",
        remarks=("4-4-4 bits, 256 of 2 banks",),
    )
    _processor(cell)
    _timing(cell)
    _picture(cell)
    _colours(cell)
    cell.note("supply, spare gates", 300, 216)
    spare_gates(cell, "U6", range(2, 7), 306, 230)
    spare_gates(cell, "U13", (4,), 406, 230, inputs="AB")
    supply_units(cell, ("U6", "U11", "U12", "U13"), 306, 252)
    decoupling(cell, [f"C{n}" for n in range(3, 11)], 300, 272, bulk="C2")
    supply_flags(cell, 366, 250)
    return Project("avocet-main", 20230121, cell.finish(), {}, {}, folder="avocet")


def _processor(cell: Cell) -> None:
    cell.note("processor", 14, 16)
    cell.chip(
        "U1", "6809", "6809", "1A", 38, 50,
        "EXTAL=PIXCLK XTAL=GND /RESET=~{RESET} /HALT=+5V /NMI=+5V /IRQ=~{VBL} /FIRQ=+5V MRDY=+5V /DMABREQ=+5V "
        "BS=- BA=- E=E Q=- R//W=RW A[0..15]=A[0..15] D[0..7]=D[0..7]",
    )  # fmt: skip
    cell.chip(
        "U2", "2764", "2764", "2A", 92, 42,
        "A[0..12]=A[0..12] /CE=~{ROM} /OE=GND /PGM=+5V VPP=+5V D[0..7]=D[0..7]",
    )  # fmt: skip
    cell.chip(
        "U3", "6116", "6116", "3A", 136, 40, "A[0..10]=A[0..10] /CS=~{RAM} /OE=GND /WE=RW D[0..7]=D[0..7]"
    )
    cell.chip(
        "U4", "74x138", "74LS138", "4A", 92, 92,
        "A=A13 B=A14 C=A15 G1=E /G2A=GND /G2B=GND Y0=~{RAM} Y[1..3]=- Y4=~{BANKCS} Y[5..6]=- Y7=~{ROM}",
    )  # fmt: skip
    cell.chip(
        "U5", "74x273", "74LS273", "5A", 136, 94,
        "[1..8]D=D[0..7] CLK=~{BANKCS} /CLR=~{RESET} 1Q=BANK [2..8]Q=-",
    )  # fmt: skip
    cell.note("reset", 14, 96)
    cell.two("R1", "R", "10k", 24, 106, "+5V", "~{RESET}")
    cell.two("C1", "C_Polarized", "10u", 24, 116, "~{RESET}", "GND")
    cell.wire("R1.2", "C1.1")
    cell.wire((24, 111), (34, 111))
    cell.label("~{RESET}", (34, 111), "left")


def _timing(cell: Cell) -> None:
    cell.note("clock, counters, blanking, sync", 14, 140)
    cell.chip("X1", "OSC", "4.000MHz", "1C", 28, 156, "OUT=PIXCLK")
    h, v = [f"H{n}" for n in range(8)], [f"V{n}" for n in range(8)]
    counter_pair(cell, ("U7", "2C"), ("U8", "3C"), 98, 162, "PIXCLK", "HC", h)
    counter_pair(cell, ("U9", "4C"), ("U10", "5C"), 98, 200, "HBL", "VC", v)
    cell.part("U6", "74x04", "74LS04", "6C")
    cell.part("U11", "74x74", "74LS74", "1D")
    cell.part("U12", "74x10", "74LS10", "2D")
    cell.part("U13", "74x08", "74LS08", "3D")
    cell.put("U12", 28, 180, "1A=H6 1B=H7 1C=+5V 1Y=~{HB}", unit=1)
    cell.put("U11", 62, 182, "1D=~{HB} 1CLK=H4 /1PRE=+5V /1CLR=+5V 1Q=~{HBL} /1Q=HBL", unit=1)
    cell.put("U13", 28, 202, "1A=V6 1B=V7 1Y=VBL", unit=1)
    cell.put("U6", 62, 206, "1A=VBL 1Y=~{VBL}", unit=1)
    cell.put("U12", 28, 220, "2A=HBL 2B=H4 2C=H5 2Y=~{HS}", unit=2)
    cell.put("U12", 28, 238, "3A=VBL 3B=V4 3C=V5 3Y=~{VS}", unit=3)
    cell.put("U13", 62, 224, "2A=~{HS} 2B=~{VS} 2Y=CSYNC_N", unit=2, mirror="x")
    cell.put("U13", 62, 242, "3A=~{HBL} 3B=~{VBL} 3Y=BLANK_N", unit=3)
    cell.note("the bank changes between two pictures", 88, 226)
    cell.put("U11", 110, 242, "2D=BANK 2CLK=VBL /2PRE=+5V /2CLR=~{RESET} 2Q=BANKSEL /2Q=-", unit=2)


def _picture(cell: Cell) -> None:
    cell.note("picture", 176, 16)
    cell.chip(
        "U14", "27256", "27256", "6A", 196, 44,
        "A[0..7]=H[0..7] A[8..14]=V[0..6] /CE=GND /OE=GND VPP=+5V D[0..7]=GD[0..7]",
    )  # fmt: skip
    cell.chip(
        "U15", "74x374", "74LS374", "7A", 240, 38, "[1..8]D=GD[0..7] CLK=PIXCLK /OE=GND [1..8]Q=PIX[0..7]"
    )


def _colours(cell: Cell) -> None:
    cell.note("colour PROMs, bank 0", 196, 80)
    cell.note("colour PROMs, bank 1", 244, 80)
    cell.note("bank multiplexers", 300, 80)
    for row, (colour, (mux, proms)) in enumerate(MUXES.items()):
        letter, y = colour[0].upper(), 98 + 38 * row
        for bank, prom in enumerate(proms):
            out = f"O[1..4]={letter}{'AB'[bank]}[0..3]"
            cell.chip(
                prom, "82S129", "82S129", f"{row + 6}{'CD'[bank]}", 212 + 48 * bank, y,
                f"A[0..7]=PIX[0..7] /CE1=GND /CE2=GND {out}",
            )  # fmt: skip
        sections = " ".join(
            f"{n}A={letter}A{n - 1} {n}B={letter}B{n - 1} {n}Y=V{letter}{n - 1}" for n in range(1, 5)
        )
        cell.chip(mux, "74x157", "74LS157", f"{row + 6}E", 314, y, f"{sections} S=BANKSEL /G=GND")
    cell.note("ribbon to the video board", 378, 110)
    cell.part("J3", "Conn_02x10_Odd_Even", "VIDEO")
    cell.put("J3", 394, 128, ribbon_nets("VR", "VG", "VB"))
