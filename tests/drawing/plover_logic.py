"""plover's processor, timing and picture sheets."""

from __future__ import annotations

from tests.drawing.cell import Cell
from tests.drawing.geometry import Point
from tests.drawing.surroundings import counter_pair, decoupling, spare_gates, supply_units

__all__ = ["BUS", "CTL", "cpu", "picture", "timing"]

#: A bus alias, and the bus that leaves the processor's sheet: data, addresses, controls.
CTL = {"CTL": ["PALCS_N", "WEL_N", "WEH_N", "RW"]}
BUS = "{D[0..15] A[1..12] CTL}"

_GLOBAL = ("PCLK", "RESET_N")


def cpu() -> Cell:
    """Processor, its memories, decoding, and the register that chooses the colour bank."""
    cell = Cell("cpu", "Plover: processor", "A3", global_nets=_GLOBAL, aliases=CTL)
    cell.chip(
        "U1", "68000", "68000", "2A", 46, 62,
        "CLK=CPUCLK /RESET=RESET_N /HALT=RESET_N /DTACK=AS_N /BERR=BERR_N /VPA=VPA_N /BR=BR_N /BGACK=BGACK_N /BG=- "
        "/IPL0=IPL0_N /IPL1=VBL_N /IPL2=IPL2_N FC[0..2]=- E=- /VMA=- /AS=AS_N /UDS=UDS_N /LDS=LDS_N R//W=RW "
        "A[1..15]=A[1..15] A[16..19]=- A[20..23]=A[20..23] D[0..15]=D[0..15]",
    )  # fmt: skip
    for rom, ram, row, first, place, strobe in (
        ("U2", "U4", 40, 8, "4", "UWR_N"),
        ("U3", "U5", 92, 0, "5", "LWR_N"),
    ):
        data = f"D[0..7]=D[{first}..{first + 7}]"
        cell.chip(
            rom,
            "27256",
            "27256",
            f"{place}A",
            112,
            row,
            f"A[0..14]=A[1..15] {data} /CE=ROMCS_N /OE=RD_N VPP=+5V",
        )
        cell.chip(
            ram,
            "62256",
            "62256",
            f"{place}B",
            164,
            row,
            f"A[0..14]=A[1..15] {data} /CS=RAMCS_N /OE=RD_N /WE={strobe}",
        )
    cell.chip(
        "U6", "74x138", "74LS138", "6A", 216, 36,
        "A=A20 B=A21 C=A22 G1=+5V /G2A=AS_N /G2B=A23 Y0=ROMCS_N Y1=RAMCS_N Y2=PALCS_N Y3=BANKCS_N Y[4..7]=-",
    )  # fmt: skip
    cell.chip(
        "U9", "74x174", "74LS174", "6B", 272, 36,
        "[1..4]D=D[0..3] [5..6]D=GND [1..4]Q=BANK[0..3] [5..6]Q=- CLK=BANKCS_N /CLR=RESET_N",
    )  # fmt: skip
    top, bottom = cell.bus_run([f"U9.{n}Q" for n in range(1, 5)], 7)
    cell.bus(top, bottom, ("y", bottom.y + 6), ("x", 304))
    cell.port("BANK[0..3]", (304, bottom.y + 6), "right", "output")
    _strobes(cell)
    _reset(cell)
    # One bus takes data, addresses and controls off the sheet.
    upper, _ = cell.bus_run([f"U1.A{n}" for n in range(1, 13)], 5)
    _, lower = cell.bus_run([f"U1.D{n}" for n in range(16)], 5)
    _, tapped = cell.taps(CTL["CTL"], 276, 108, "right")
    end = cell.bus(upper, lower, ("y", 122), ("x", tapped.x))
    cell.bus(tapped, end, ("x", 294))
    cell.port(BUS, (294, 122), "right", "output")
    cell.port("CPUCLK", (20, 128), "left")
    cell.port("VBL_N", (20, 132), "left")
    decoupling(cell, [f"C{n}" for n in range(12, 20)], 24, 212)
    return cell.finish()


def _strobes(cell: Cell) -> None:
    cell.part("U7", "74x32", "74LS32", "7A")
    cell.part("U8", "74x14", "74LS14", "7B")
    cell.put("U7", 216, 66, "1A=LDS_N 1B=RW 1Y=LWR_N", unit=1)
    cell.put("U7", 216, 80, "2A=UDS_N 2B=RW 2Y=UWR_N", unit=2, mirror="x")
    cell.put("U7", 272, 70, "3A=LWR_N 3B=PALCS_N 3Y=WEL_N", unit=3)
    cell.put("U7", 272, 86, "4A=UWR_N 4B=PALCS_N 4Y=WEH_N", unit=4)
    cell.put("U8", 216, 100, "3A=RW 3Y=RD_N", unit=3)


def _reset(cell: Cell) -> None:
    cell.note("reset", 24, 146)
    cell.two("R3", "R", "10k", 34, 154, "+5V", "RC")
    cell.two("C11", "C_Polarized", "10u", 34, 166, "RC", "GND")
    cell.put("U8", 54, 160, "1A=RC 1Y=RST", unit=1)
    cell.put("U8", 76, 160, "2A=RST 2Y=RESET_N", unit=2)
    cell.wire("R3.2", "C11.1")
    cell.wire((34, 160), "U8.1A")
    cell.wire("U8.1Y", "U8.2A")
    cell.note("pull-ups", 116, 138)
    cell.part("RN1", "R_Network08", "8x4k7")
    cell.put(
        "RN1", 128, 152, "common=+5V R1=BERR_N R2=VPA_N R3=BR_N R4=BGACK_N R5=IPL0_N R6=IPL2_N R7=- R8=-"
    )
    spare_gates(cell, "U8", range(4, 7), 166, 150)
    supply_units(cell, ("U7", "U8"), 166, 172)
    cell.note("spare gates, supply", 160, 138)


def timing() -> Cell:
    """Clock, counters of 320 by 256, blanking and sync."""
    cell = Cell("timing", "Plover: timing", "A3", global_nets=_GLOBAL)
    cell.chip("X1", "OSC", "10.000MHz", "1C", 26, 30, "OUT=OSC")
    cell.part("U14", "74x74", "74LS74", "1D")
    cell.put("U14", 62, 30, "1D=DIV 1CLK=OSC /1PRE=+5V /1CLR=+5V 1Q=PCLK /1Q=DIV", unit=1)
    h, v = [f"H{n}" for n in range(8)], [f"V{n}" for n in range(8)]
    common = "A=GND B=GND ENP=+5V /LD=LD_N CLK=PCLK /CLR=+5V"
    outs = ("QA", "QB", "QC", "QD")
    low = " ".join(f"{pin}={net}" for pin, net in zip(outs, h[:4], strict=True))
    high = " ".join(f"{pin}={net}" for pin, net in zip(outs, h[4:], strict=True))
    cell.chip("U10", "74x161", "74LS161", "2C", 116, 36, f"{common} C=GND D=GND ENT=+5V {low} RCO=HC")
    cell.chip("U11", "74x161", "74LS161", "3C", 168, 36, f"{common} C=H8_N D=H8_N ENT=HC {high} RCO=HRCO")
    counter_pair(cell, ("U12", "2D"), ("U13", "3D"), 116, 84, "H8", "VC", v)
    cell.part("U15", "74x11", "74LS11", "4C", hidden_supply=True)
    cell.part("U16", "74x02", "74LS02", "4D")
    cell.part("U17", "74x04", "74LS04", "5C")
    # A gate drawn backwards, as feedback often is: it reloads the counters.
    cell.put("U17", 216, 24, "1A=HRCO 1Y=LD_N", unit=1, mirror="y")
    cell.put("U14", 216, 50, "2D=H8_N 2CLK=LD_N /2PRE=+5V /2CLR=+5V 2Q=H8 /2Q=H8_N", unit=2)
    cell.put("U15", 62, 128, "1A=V5 1B=V6 1C=V7 1Y=VBL", unit=1)
    cell.put("U15", 62, 146, "2A=VBL 2B=V4 2C=V3_N 2Y=VS", unit=2)
    cell.put("U15", 62, 164, "3A=H8 3B=H4 3C=H5_N 3Y=HS", unit=3)
    cell.put("U16", 112, 146, "1A=HS 1B=VS 1Y=~{CSYNC}", unit=1)
    cell.put("U16", 112, 128, "2A=H8 2B=VBL 2Y=~{BLANK}", unit=2, mirror="x")
    cell.put("U16", 30, 152, "3A=H5 3B=H5 3Y=H5_N", unit=3, rot=90)
    cell.put("U16", 30, 128, "4A=V3 4B=V3 4Y=V3_N", unit=4, rot=270)
    cell.put("U17", 112, 164, "2A=VBL 2Y=VBL_N", unit=2)
    cell.put("U17", 62, 62, "3A=PCLK 3Y=PCLK_N", unit=3, rot=270)
    cell.put("U17", 62, 88, "4A=PCLK_N 4Y=CPUCLK", unit=4, rot=180, mirror="y")
    spare_gates(cell, "U17", (5, 6), 152, 128)
    supply_units(cell, ("U14", "U16", "U17"), 152, 146)
    for name, row in (("~{BLANK}", 96), ("~{CSYNC}", 100), ("CPUCLK", 104), ("VBL_N", 108)):
        cell.port(name, (300, row), "right", "output", wire=10)
    for letter, row in (("H", 60), ("V", 80)):
        _, end = cell.taps(
            [f"{letter}{n}" for n in range(8)], 270, row - 44 if letter == "H" else row - 20, "right"
        )
        cell.bus(end, ("x", 300))
        cell.port(f"{letter}[0..7]", (300, end.y), "right", "output")
    decoupling(cell, [f"C{n}" for n in range(21, 29)], 26, 204)
    return cell.finish()


def picture() -> Cell:
    """A byte of the picture memory a pixel, and four bits of colour bank: the palette's index."""
    cell = Cell("picture", "Plover: picture", "A4", global_nets=_GLOBAL)
    cell.chip(
        "U20", "27256", "27256", "6D", 62, 60,
        "A[0..7]=H[0..7] A[8..14]=V[0..6] /CE=GND /OE=GND VPP=+5V D[0..7]=GD[0..7]",
    )  # fmt: skip
    cell.chip(
        "U21", "74x374", "74LS374", "7D", 108, 50, "[1..8]D=GD[0..7] CLK=PCLK /OE=GND [1..8]Q=PIX[0..7]"
    )
    cell.chip(
        "U22", "74x174", "74LS174", "7E", 108, 98,
        "[1..4]D=BANK[0..3] [5..6]D=GND [1..4]Q=PIX[8..11] [5..6]Q=- CLK=PCLK /CLR=RESET_N",
    )  # fmt: skip
    for name, pins, row in (("H[0..7]", range(8), 30), ("V[0..7]", range(8, 15), 90)):
        top, bottom = cell.bus_run([f"U20.A{n}" for n in pins], 5)
        near = top if row < 60 else bottom
        cell.bus(near, ("y", row), ("x", 30))
        cell.port(name, (30, row), "left")
    top, bottom = cell.bus_run([f"U22.{n}D" for n in range(1, 5)], 20)
    cell.bus(bottom, ("y", 120), ("x", 30))
    cell.port("BANK[0..3]", (30, 120), "left")
    top, _ = cell.bus_run([f"U21.{n}Q" for n in range(1, 9)], 6)
    _, bottom = cell.bus_run([f"U22.{n}Q" for n in range(1, 5)], 5)
    cell.bus(top, bottom)
    middle = Point(top.x, 76)
    cell.bus(middle, ("x", 160))
    cell.port("PIX[0..11]", (160, 76), "right", "output")
    decoupling(cell, ["C31", "C32", "C33"], 30, 142)
    return cell.finish()
