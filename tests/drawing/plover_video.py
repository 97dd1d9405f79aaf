"""plover's palette, register and output sheets: the way of the picture."""

from __future__ import annotations

from tests.drawing.cell import Cell
from tests.drawing.geometry import Point
from tests.drawing.plover_logic import BUS, CTL
from tests.drawing.surroundings import decoupling

__all__ = ["LADDER", "latches", "output", "palette"]

_GLOBAL = ("PCLK", "RESET_N")

#: Bit -> resistor of the output sheet and its ohms: about 1:2:4:8:16; common practice, no source.
LADDER = {
    0: ("R101", 3900.0),
    1: ("R102", 2000.0),
    2: ("R103", 1000.0),
    3: ("R104", 510.0),
    4: ("R105", 240.0),
}
_SHOWN = {3900.0: "3k9", 2000.0: "2k", 1000.0: "1k", 510.0: "510", 240.0: "240"}


def palette() -> Cell:
    """Address multiplexers, two RAMs, transceivers to the processor."""
    cell = Cell("palette", "Plover: palette", "A3", global_nets=_GLOBAL, aliases=CTL)
    muxes = ("U23", "U24", "U25")
    for n, chip in enumerate(muxes):
        first = 4 * n
        sections = " ".join(
            f"{k}A=A{first + k} {k}B=PIX{first + k - 1} {k}Y=MA{first + k - 1}" for k in range(1, 5)
        )
        cell.chip(chip, "74x157", "74LS157", f"{n + 3}E", 96, 40 + 34 * n, f"{sections} S=PALCS_N /G=GND",
                  hidden_supply=True)  # fmt: skip
    for chip, place, row, first, strobe in (("U26", "6E", 50, 0, "WEL_N"), ("U27", "6F", 104, 8, "WEH_N")):
        cell.chip(
            chip, "62256", "62256", place, 134, row,
            f"A[0..11]=MA[0..11] A[12..14]=GND /CS=GND /OE=GND /WE={strobe} D[0..7]=PAL[{first}..{first + 7}]",
        )  # fmt: skip
    # Drawn left to right turned over: the A side faces the palette.
    for chip, place, row, first in (("U28", "7E", 152, 0), ("U29", "7F", 186, 8)):
        cell.chip(
            chip, "74x245", "74LS245", place, 134, row,
            f"A[1..8]=PAL[{first}..{first + 7}] B[1..8]=D[{first}..{first + 7}] DIR=RW /OE=PALCS_N", mirror="y",
        )  # fmt: skip
    _address_buses(cell, muxes)
    _data_buses(cell)
    decoupling(cell, [f"C{n}" for n in range(41, 48)], 190, 60, bulk="C40")
    return cell.finish()


def _address_buses(cell: Cell, muxes: tuple[str, ...]) -> None:
    near = [cell.bus_run([f"{chip}.{k}A" for k in range(1, 5)], 10) for chip in muxes]
    far = [cell.bus_run([f"{chip}.{k}B" for k in range(1, 5)], 18, "up") for chip in muxes]
    inner = [cell.bus_run([f"{chip}.{k}Y" for k in range(1, 5)], 8) for chip in muxes]
    inner += [cell.bus_run([f"{chip}.A{k}" for k in range(12)], 10) for chip in ("U26", "U27")]
    cell.bus(near[0][0], near[-1][1])
    cell.bus(far[0][0], far[-1][1])
    column = inner[0][0].x
    cell.bus((column, 20), (column, max(b.y for _, b in inner)))
    cell.label("MA[0..11]", (column, 20), "down")
    cell.bus(far[0][0], ("y", 26), ("x", 44))
    cell.port("PIX[0..11]", (44, 26), "left")
    # The processor's bus passes below the multiplexers to the transceivers.
    _, tapped = cell.taps(CTL["CTL"], 62, 140, "left")
    end = cell.bus(near[-1][1], ("y", 132), ("x", tapped.x))
    cell.bus(end, ("y", tapped.y), ("y", 164), ("x", 44))
    cell.port(BUS, (44, 164), "left")
    left = [cell.bus_run([f"{chip}.B{k}" for k in range(1, 9)], 5) for chip in ("U28", "U29")]
    cell.bus(left[0][0], left[1][1])
    cell.bus(near[-1][1], ("y", 132), ("x", left[0][0].x), left[0][0])


def _data_buses(cell: Cell) -> None:
    runs = [
        cell.bus_run([f"U26.D{k}" for k in range(8)], 12),
        cell.bus_run([f"U27.D{k}" for k in range(7)], 12),
    ]
    runs += [
        cell.bus_run([f"U28.A{k}" for k in range(1, 9)], 12),
        cell.bus_run([f"U29.A{k}" for k in range(1, 8)], 12),
    ]
    cell.bus(runs[0][0], runs[-1][1])
    middle = Point(runs[0][0].x, 128)
    cell.bus(middle, ("x", 198))
    cell.port("PAL[0..14]", (198, 128), "right", "output")


def latches() -> Cell:
    """Two ranks of registers; the second one is cleared while the picture is blank."""
    cell = Cell("latches", "Plover: registers", "A4", rail="VCC", global_nets=_GLOBAL)
    for first, second, row, line in (("U30", "U32", 44, 0), ("U31", "U33", 96, 8)):
        last = 8 if line == 0 else 7
        between = " ".join(f"{n}Q=L{line + n - 1}" for n in range(1, 9))
        data = f"[1..{last}]D=PAL[{line}..{line + last - 1}]" + (" 8D=GND" if last == 7 else "")
        place = "8E" if line == 0 else "8F"
        cell.chip(
            first,
            "74x374",
            "74LS374",
            place,
            70,
            row,
            f"{data} {between} CLK=PCLK /OE=GND",
            hidden_supply=True,
        )
        names = [
            *(f"B{n}" for n in range(5)),
            *(f"G{n}" for n in range(5)),
            *(f"R{n}" for n in range(5)),
            "-",
        ]
        outs = " ".join(f"{n}Q={names[line + n - 1]}" for n in range(1, 9))
        taken = " ".join(f"{n}D=L{line + n - 1}" for n in range(1, 9))
        cell.chip(
            second,
            "74x273",
            "74LS273",
            place.replace("8", "9"),
            122,
            row,
            f"{taken} {outs} CLK=PCLK /CLR=~{{BLANK}}",
        )
        for n in range(1, 9):
            cell.wire(f"{first}.{n}Q", f"{second}.{n}D")
    upper = cell.bus_run([f"U30.{n}D" for n in range(1, 9)], 14)
    lower = cell.bus_run([f"U31.{n}D" for n in range(1, 8)], 14)
    cell.bus(upper[0], lower[1])
    cell.bus((upper[0].x, 72), ("x", 26))
    cell.port("PAL[0..14]", (26, 72), "left")
    blue = cell.bus_run([f"U32.{n}Q" for n in range(1, 6)], 5)
    green = (
        cell.bus_run([f"U32.{n}Q" for n in range(6, 9)], 5),
        cell.bus_run([f"U33.{n}Q" for n in range(1, 3)], 5),
    )
    red = cell.bus_run([f"U33.{n}Q" for n in range(3, 8)], 5)
    cell.bus(green[0][0], green[1][1])
    for name, at in (("B[0..4]", blue[0]), ("G[0..4]", Point(green[0][0].x, 70)), ("R[0..4]", red[1])):
        end = cell.bus(at, ("x", 170))
        cell.port(name, (end.x, end.y), "right", "output")
    cell.port("~{BLANK}", (26, 122), "left")
    decoupling(cell, ["C51", "C52", "C53", "C54"], 30, 144)
    return cell.finish()


def output() -> Cell:
    """One colour: five resistors, a bias resistor, an emitter follower; used three times."""
    cell = Cell("output", "Plover: output stage of one colour", "A4")
    # Resistors lie with leg 1 to either side; turned and mirrored in turn.
    turns = {0: (90, ""), 1: (270, ""), 2: (90, "x"), 3: (270, "x"), 4: (270, "y")}
    near: list[str] = []
    for n, (reference, ohm) in LADDER.items():
        rot, mirror = turns[n]
        first_left = (rot == 90) != (mirror == "y")
        legs = (f"BIT{n}", "SUM") if first_left else ("SUM", f"BIT{n}")
        cell.two(reference, "R", _SHOWN[ohm], 76, 44 + 6 * n, *legs, rot=rot, mirror=mirror)
        near.append(f"{reference}.{1 if first_left else 2}")
        far = cell.pin(f"{reference}.{2 if first_left else 1}").at
        cell.wire(far, (84, far.y))
    top, bottom = cell.bus_run(near, 18)
    cell.bus(top, bottom, ("y", 84), ("x", 34))
    cell.port("BIT[0..4]", (34, 84), "left")
    cell.wire((84, 44), (84, 68))
    cell.part("Q101", "Q_NPN_EBC", "2N3904")
    cell.put("Q101", 112, 56, "B=SUM C=+5V E=EMITTER")
    cell.wire((84, 56), "Q101.B")
    # No bit: lifts black to just over what the follower drops.
    cell.two("R106", "R", "820", 96, 47, "+5V", "SUM")
    cell.wire((96, 56), "R106.2")
    cell.two("R107", "R", "330", 114, 70, "GND", "EMITTER", rot=180)
    cell.wire("Q101.E", "R107.2")
    cell.two("R108", "R", "75", 130, 63, "EMITTER", "VIDEO", rot=90)
    cell.wire((114, 63), "R108.1")
    end = cell.wire("R108.2", (146, 63))
    cell.port("VIDEO", (end.x + 8, end.y), "right", "output", wire=8)
    cell.two("C101", "C", "100n", 140, 44, "+5V", "GND")
    cell.note("3k9 2k 1k 510 240 weigh the bits; 820 is bias", 60, 34)
    return cell.finish()
