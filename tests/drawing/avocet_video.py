"""avocet's video board: latches, an R-2R ladder a colour from packs of separate resistors, the colour plug."""

from __future__ import annotations

from tests.drawing.avocet_ribbon import RIBBON, ribbon_nets
from tests.drawing.cell import Cell
from tests.drawing.design import Project, TrueBit
from tests.drawing.surroundings import decoupling, supply_flags

__all__ = ["LADDERS", "avocet_video"]

#: Colour -> bit -> latch and section; mixed on purpose.
LADDERS = {
    "red": {0: ("U1", 1), 1: ("U1", 2), 2: ("U1", 3), 3: ("U1", 4)},
    "green": {0: ("U2", 3), 1: ("U2", 1), 2: ("U2", 4), 3: ("U2", 2)},
    "blue": {0: ("U1", 5), 1: ("U1", 6), 2: ("U2", 5), 3: ("U2", 6)},
}

#: Colour -> pack of rungs (2R), pack of rails (R), end resistor (2R).
_PARTS = {"red": ("RN1", "RN2", "R1"), "green": ("RN3", "RN4", "R2"), "blue": ("RN5", "RN6", "R3")}

_2R = 2000.0


def avocet_video() -> Project:
    """The board."""
    cell = Cell("avocet-video", "Avocet video board: R-2R ladders", "A3", remarks=("4-4-4 bits",))
    _latches(cell)
    for row, colour in enumerate(LADDERS):
        _ladder(cell, colour, 122, 38 + 50 * row)
    _plug(cell)
    decoupling(cell, ["C2", "C3", "C4"], 30, 204, bulk="C1")
    supply_flags(cell, 76, 200)
    truth = {
        colour: tuple(_bit(cell, colour, n, bits[n]) for n in sorted(bits, reverse=True))
        for colour, bits in LADDERS.items()
    }
    pins = {colour: cell.leg(f"J2.{colour[0].upper()}") for colour in LADDERS}
    return Project("avocet-video", 20230121, cell.finish(), pins, truth, folder="avocet")


def _bit(cell: Cell, colour: str, n: int, at: tuple[str, int]) -> TrueBit:
    """One bit; on this board alone it comes from the ribbon."""
    latch, section = at
    out, into = cell.leg(f"{latch}.{section}Q"), cell.leg(f"{latch}.{section}D")
    leg = next(leg for leg, carried in RIBBON.items() if carried == f"{colour} {n}")
    return TrueBit((_PARTS[colour][0],), (_2R,), out, ((out, (into,)),), (f"J1.{leg}",))


def _latches(cell: Cell) -> None:
    cell.note("ribbon from the main board", 18, 20)
    cell.part("J1", "Conn_02x10_Odd_Even", "MAIN")
    cell.put("J1", 40, 40, ribbon_nets("RIN", "GIN", "BIN"))
    cell.note("latches", 18, 74)
    for latch, place, y in (("U1", "1A", 92), ("U2", "1B", 128)):
        held = {
            s: (colour, n)
            for colour, bits in LADDERS.items()
            for n, (chip, s) in bits.items()
            if chip == latch
        }
        rows = [f"{s}D={c[0].upper()}IN{n} {s}Q={c[0].upper()}Q{n}" for s, (c, n) in sorted(held.items())]
        cell.chip(latch, "74x174", "74LS174", place, 44, y, f"{' '.join(rows)} CLK=PIXCLK /CLR=BLANK_N")


def _ladder(cell: Cell, colour: str, x: int, y: int) -> None:
    """Nodes from the lightest bit on the left to the output on the right, 14 steps apart."""
    rungs, rails, end = _PARTS[colour]
    letter = colour[0].upper()
    cell.part(rungs, "R_Pack04_SIP_Split", "4x2k")
    cell.part(rails, "R_Pack04_SIP_Split", "4x1k")
    nodes = [f"{letter}N{n}" for n in range(3)] + [colour.upper()]
    turned = colour == "green"
    for n in range(4):
        at = x + 14 * n
        # Green's rungs are drawn the other way up: leg 2 of each to the ladder.
        near, far = (2, 1) if turned else (1, 2)
        legs = f"#{2 * n + near}={nodes[n]} #{2 * n + far}={letter}Q{n}"
        cell.put(rungs, at, y + 7, legs, unit=n + 1, rot=180 if turned else 0)
        cell.wire((at, y), f"{rungs}.{2 * n + near}")
        if n < 3:
            cell.put(
                rails, at + 7, y, f"#{2 * n + 1}={nodes[n]} #{2 * n + 2}={nodes[n + 1]}", unit=n + 1, rot=90
            )
            cell.wire((at, y), f"{rails}.{2 * n + 1}")
            cell.wire(f"{rails}.{2 * n + 2}", (at + 14, y))
    cell.put(rails, x + 63, y + 14, "#7=- #8=-", unit=4, rot=90)
    cell.two(end, "R", "2k", x - 14, y + 6, nodes[0], "GND")
    cell.wire((x, y), (x - 14, y), f"{end}.1")
    cell.wire((x + 42, y), (x + 56, y))
    cell.label(colour.upper(), (x + 56, y), "left")
    cell.note(f"{colour}: R-2R, heaviest bit on the right", x - 14, y - 8)


def _plug(cell: Cell) -> None:
    cell.note("colour plug", 268, 30)
    cell.part("J2", "Conn_01x06_Colour", "COLOUR")
    cell.put("J2", 292, 44, "B=BLUE G=GREEN R=RED SYNC=SYNC GND=GND")
    cell.note("sync follower", 240, 78)
    cell.part("Q1", "Q_NPN_EBC", "2N3904")
    cell.put("Q1", 262, 96, "B=CSYNC_N C=+5V E=SYNC", mirror="y")
    cell.two("R4", "R", "470", 260, 108, "SYNC", "GND")
    cell.wire("Q1.E", "R4.1")
    cell.wire((260, 103), (248, 103))
    cell.label("SYNC", (248, 103), "right")
    cell.two("C5", "C", "100n", 240, 92, "GND", "+5V", mirror="x")
