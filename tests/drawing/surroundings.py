"""What every board has around its picture: supply entry, decoupling, sync driver, counters."""

from __future__ import annotations

from collections.abc import Sequence

from tests.drawing.cell import Cell
from tests.drawing.geometry import Point

__all__ = ["counter_pair", "decoupling", "spare_gates", "supply_flags", "supply_units", "sync_driver"]


def decoupling(
    cell: Cell, references: Sequence[str], x: int, y: int, value: str = "100n", bulk: str = ""
) -> None:
    """A row of capacitors between two drawn rails; `bulk` adds an electrolytic one of that reference in front."""
    columns = list(range(x, x + 8 * (len(references) + bool(bulk)), 8))
    if bulk:
        cell.two(bulk, "C_Polarized", "47u", columns[0], y, "+5V", "GND")
    for reference, column in zip(references, columns[bool(bulk) :], strict=True):
        cell.two(reference, "C", value, column, y, "+5V", "GND")
    left, right = columns[0] - 3, columns[-1]
    cell.wire((left, y - 3), (right, y - 3))
    cell.wire((left, y + 3), (right, y + 3))
    cell.power("+5V", Point(left, y - 3), "up")
    cell.power("GND", Point(left, y + 3), "down")


def supply_flags(cell: Cell, x: int, y: int) -> None:
    """Say that both rails are fed from outside, for KiCad's rule check."""
    for column, rail in ((x, "+5V"), (x + 7, "GND")):
        at = Point(column, y)
        cell.power(rail, at, "down" if rail == "GND" else "up")
        cell.power("PWR_FLAG", at, "up" if rail == "GND" else "down")


def supply_units(cell: Cell, references: Sequence[str], x: int, y: int, pitch: int = 13) -> None:
    """The supply sections of chips drawn as single gates, in a row."""
    for n, reference in enumerate(references):
        part = cell.parts[reference]
        cell.put(reference, x + n * pitch, y, "", unit=part.symbol.units)


def sync_driver(
    cell: Cell, transistor: str, base: str, load: str, x: int, y: int, sync: str, out: str
) -> None:
    """A transistor that turns the positive composite sync over for the monitor."""
    cell.part(transistor, "Q_NPN_EBC", "2N3904")
    cell.put(transistor, x, y, f"B={transistor}_B C={out} E=GND")
    cell.two(base, "R", "1k", x - 9, y, sync, f"{transistor}_B", rot=90)
    cell.wire(f"{base}.2", f"{transistor}.B")
    cell.two(load, "R", "470", x + 2, y - 9, "+5V", out)
    cell.wire(f"{load}.2", f"{transistor}.C")
    cell.wire((x + 2, y - 5), (x + 8, y - 5))
    cell.label(out, (x + 8, y - 5), "left")


def spare_gates(
    cell: Cell, reference: str, units: Sequence[int], x: int, y: int, inputs: str = "A", pitch: int = 20
) -> None:
    """Unused sections: inputs to ground, outputs open."""
    for n, unit in enumerate(units):
        low = " ".join(f"{unit}{letter}=GND" for letter in inputs)
        cell.put(reference, x + n * pitch, y, f"{low} {unit}Y=-", unit=unit)


def counter_pair(
    cell: Cell,
    low: tuple[str, str],
    high: tuple[str, str],
    x: int,
    y: int,
    clock: str,
    carry: str,
    bits: Sequence[str],
) -> None:
    """Eight counting bits from two four-bit counters, side by side: (reference, place) of each."""
    common = f"A=GND B=GND C=GND D=GND ENP=+5V /LD=+5V CLK={clock} /CLR=+5V"
    names = ("QA", "QB", "QC", "QD")
    first = " ".join(f"{pin}={bit}" for pin, bit in zip(names, bits[:4], strict=True))
    second = " ".join(f"{pin}={bit}" for pin, bit in zip(names, bits[4:], strict=True))
    cell.chip(low[0], "74x161", "74LS161", low[1], x, y, f"{common} ENT=+5V {first} RCO={carry}")
    cell.chip(high[0], "74x161", "74LS161", high[1], x + 36, y, f"{common} ENT={carry} {second} RCO=-")
