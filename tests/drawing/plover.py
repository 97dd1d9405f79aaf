"""plover: two palette RAMs, two ranks of registers, emitter followers; 5-5-5 bits on seven sheet files.

The output stage is one sheet used three times. Sixteen bits of RAM, one spare.
"""

from __future__ import annotations

from collections.abc import Callable

from tests.drawing.cell import Cell
from tests.drawing.design import Project, TrueBit
from tests.drawing.geometry import Point
from tests.drawing.plover_logic import BUS, CTL, cpu, picture, timing
from tests.drawing.plover_video import LADDER, latches, output, palette
from tests.drawing.surroundings import decoupling, supply_flags

__all__ = ["plover"]

_FIRST = {"red": 10, "green": 5, "blue": 0}


def plover() -> Project:
    """The board."""
    root = Cell("plover", "Plover: 5-5-5 bits, two ranks of registers", "A3", global_nets=("PCLK", "RESET_N"),
                aliases=CTL, remarks=("32768 colours, 4096 at once",))  # fmt: skip
    cells = {cell.file: cell for cell in (cpu(), timing(), picture(), palette(), latches(), output())}
    _blocks(root, cells)
    _wires(root)
    _connector(root)
    truth = {
        colour: tuple(_bit(cells, colour, number, n) for n in range(4, -1, -1))
        for number, colour in enumerate(_FIRST, start=1)
    }
    pins = {"red": "J1.1", "green": "J1.3", "blue": "J1.5"}
    return Project("plover", 20250114, root.finish(), pins, truth, joined_rails={"VCC": "+5V"}, revision="C")


def _numbered(hundred: int) -> Callable[[str], str]:
    """References of one copy of the output stage: R103 -> R203 in the second."""
    return lambda reference: f"{reference[0]}{hundred}{reference[2:]}"


def _bit(cells: dict[str, Cell], colour: str, number: int, n: int) -> TrueBit:
    """Bit `n` of a colour: palette data line `line`, the same section in both ranks."""
    line = _FIRST[colour] + n
    first, second = ("U30", "U32") if line < 8 else ("U31", "U33")
    section = line % 8 + 1

    ranks = cells["latches"]
    path = tuple(
        (ranks.leg(f"{register}.{section}Q"), (ranks.leg(f"{register}.{section}D"),))
        for register in (second, first)
    )
    source = cells["palette"].leg(f"{'U26' if line < 8 else 'U27'}.D{line % 8}")
    reference, ohm = LADDER[n]
    return TrueBit((_numbered(number)(reference),), (ohm,), path[0][0], path, (source,))


def _blocks(root: Cell, cells: dict[str, Cell]) -> None:
    root.sheet("cpu", cells["cpu"], (40, 30), (44, 26),
               [("CPUCLK", "CPUCLK", 6), ("VBL_N", "VBL_N", 10)], [(BUS, BUS, 6), ("BANK[0..3]", "BANK[0..3]", 18)])  # fmt: skip
    root.sheet("timing", cells["timing"], (40, 90), (44, 34), [],
               [("H[0..7]", "H[0..7]", 6), ("V[0..7]", "V[0..7]", 10), ("~{BLANK}", "~{BLANK}", 16),
                ("~{CSYNC}", "~{CSYNC}", 20), ("CPUCLK", "CPUCLK", 24), ("VBL_N", "VBL_N", 28)])  # fmt: skip
    root.sheet("picture", cells["picture"], (118, 84), (30, 24),
               [("BANK[0..3]", "BANK[0..3]", 6), ("H[0..7]", "H[0..7]", 12), ("V[0..7]", "V[0..7]", 16)],
               [("PIX[0..11]", "PIX[0..11]", 6)])  # fmt: skip
    root.sheet("palette", cells["palette"], (156, 30), (40, 26),
               [(BUS, BUS, 6), ("PIX[0..11]", "PIX[0..11]", 18)], [("PAL[0..14]", "PAL[0..14]", 6)])  # fmt: skip
    root.sheet("latches", cells["latches"], (214, 30), (26, 26),
               [("PAL[0..14]", "PAL[0..14]", 6), ("~{BLANK}", "~{BLANK}", 18)],
               [("R[0..4]", "R[0..4]", 6), ("G[0..4]", "G[0..4]", 12), ("B[0..4]", "B[0..4]", 18)])  # fmt: skip
    for number, (colour, row) in enumerate((("red", 20), ("green", 40), ("blue", 60)), start=1):
        letter = colour[0].upper()
        root.sheet(colour, cells["output"], (260, row), (22, 12),
                   [("BIT[0..4]", f"{letter}[0..4]", 6)], [("VIDEO", colour.upper(), 6)], _numbered(number))  # fmt: skip


def _wires(root: Cell) -> None:
    pin = root.sheet_pin
    root.bus(pin("cpu", BUS), pin("palette", BUS))
    start, end = pin("cpu", "BANK[0..3]"), pin("picture", "BANK[0..3]")
    root.bus(start, ("x", 100), ("y", end.y), end)
    root.label("BANK[0..3]", (86, start.y), "right")
    for name in ("H[0..7]", "V[0..7]"):
        root.bus(pin("timing", name), pin("picture", name))
        root.label(name, (94, pin("timing", name).y), "right")
    start, end = pin("picture", "PIX[0..11]"), pin("palette", "PIX[0..11]")
    root.bus(start, ("x", 152), ("y", end.y), end)
    root.bus(pin("palette", "PAL[0..14]"), pin("latches", "PAL[0..14]"))
    root.label("PAL[0..14]", (199, pin("palette", "PAL[0..14]").y), "right")
    for colour, turn in (("red", 252), ("green", 0), ("blue", 252)):
        name = f"{colour[0].upper()}[0..4]"
        start, end = pin("latches", name), pin(colour, "BIT[0..4]")
        if turn and start.y != end.y:
            root.bus(start, ("x", turn), ("y", end.y), end)
        else:
            root.bus(start, (246, start.y), (246, end.y), end)
        root.label(name, (241, start.y), "right")
    for block, name, side in (
        ("cpu", "CPUCLK", "left"), ("cpu", "VBL_N", "left"), ("timing", "CPUCLK", "right"), ("timing", "VBL_N", "right"),
        ("timing", "~{BLANK}", "right"), ("timing", "~{CSYNC}", "right"), ("latches", "~{BLANK}", "left"),
    ):  # fmt: skip
        at = pin(block, name)
        end = root.wire(at, at.to("left" if side == "left" else "right", 9))
        root.label(name, end, "right" if side == "left" else "left")


def _connector(root: Cell) -> None:
    root.part("J1", "Conn_01x08", "MONITOR")
    root.put("J1", 306, 46, "#1=RED #2=GND #3=GREEN #4=GND #5=BLUE #6=GND #7=SYNC #8=-")
    for colour, leg, turn in (("red", 1, 292), ("green", 3, 288), ("blue", 5, 292)):
        start, end = root.sheet_pin(colour, "VIDEO"), root.pin(f"J1.{leg}").at
        root.wire(start, ("x", turn), ("y", end.y), end)
    root.label("RED", (284, 26), "right")
    root.label("GREEN", (283, 46), "right")
    root.label("BLUE", (284, 66), "right")
    # Sync through an emitter follower, drawn lying down and mirrored.
    root.part("Q1", "Q_NPN_EBC", "2N3904")
    root.put("Q1", 276, 88, "B=~{CSYNC} C=+5V E=EMITTER", rot=90, mirror="x")
    root.two("R1", "R", "330", 284, 95, "EMITTER", "GND")
    root.two("R2", "R", "100", 290, 90, "EMITTER", "SYNC", rot=90)
    root.wire("Q1.E", "R2.1")
    root.wire((284, 90), "R1.1")
    end = root.pin("J1.7").at
    root.wire("R2.2", (297, 90), ("y", end.y), end)
    root.note("one supply with two names: hidden supply legs join VCC", 40, 148)
    root.power("+5V", Point(48, 160), "up")
    root.wire((48, 160), (68, 160))
    root.power("VCC", Point(68, 160), "up")
    decoupling(root, [f"C{n}" for n in range(2, 10)], 90, 160, bulk="C1")
    supply_flags(root, 180, 160)
