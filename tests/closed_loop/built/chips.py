"""Legs of the chips that the boards use, written here anew and not taken from the program's library.

From data books of the 74LS, 4000, bipolar PROM, RAM and EPROM families, from memory. `tests/published/test_pin_data.py`
holds the library against symbol libraries; a slip in either table fails the boards.
"""

from __future__ import annotations

from dataclasses import dataclass, field

__all__ = ["BUFFERS", "CHIPS", "GATES", "LATCHES", "MEMORIES", "SELECTORS", "Chip", "Memory"]

#: Inputs and output of one section.
_Section = tuple[tuple[str, ...], str]


@dataclass(frozen=True)
class Chip:
    """Sections, supply legs, legs that a plain board ties low or high, and those that clock, clear or enable."""

    sections: tuple[_Section, ...]
    ground: str
    supply: str
    low: tuple[str, ...] = ()
    high: tuple[str, ...] = ()
    clock: str = ""
    clear: str = ""
    select: tuple[str, ...] = ()
    enable: str = ""


@dataclass(frozen=True)
class Memory(Chip):
    """Data and address legs; `write` is there in RAMs."""

    data: tuple[str, ...] = ()
    address: tuple[str, ...] = ()
    chip_enables: tuple[str, ...] = field(default=())
    write: str = ""


def _sections(text: str) -> tuple[_Section, ...]:
    """``1,2>3 4,5>6``: inputs and output of each."""
    found = []
    for word in text.split():
        inputs, _, output = word.partition(">")
        found.append((tuple(inputs.split(",")), output))
    return tuple(found)


def _memory(
    data: str, address: str, ground: int, supply: int, enables: str, write: str = "", high: str = ""
) -> Memory:
    return Memory(
        (), str(ground), str(supply), data=tuple(data.split()), address=tuple(address.split()),
        chip_enables=tuple(enables.split()), write=write, high=tuple(high.split()),
    )  # fmt: skip


_EIGHT = "3>2 4>5 7>6 8>9 13>12 14>15 17>16 18>19"
_BYTE = "11 12 13 15 16 17 18 19"
_TWO = "1,2>3 4,5>6 9,10>8 12,13>11"
_INVERTERS = "1>2 3>4 5>6 9>8 11>10 13>12"
_HALVES = "2>18 4>16 6>14 8>12 11>9 13>7 15>5 17>3"

LATCHES = {
    "74LS273": Chip(_sections(_EIGHT), "10", "20", clock="11", clear="1"),
    "74LS374": Chip(_sections(_EIGHT), "10", "20", low=("1",), clock="11"),
    "74LS377": Chip(_sections(_EIGHT), "10", "20", low=("1",), clock="11"),
    "74LS373": Chip(_sections(_EIGHT), "10", "20", low=("1",), clock="11"),
    "74LS174": Chip(_sections("3>2 4>5 6>7 11>10 13>12 14>15"), "8", "16", clock="9", clear="1"),
    "74LS175": Chip(_sections("4>2 5>7 12>10 13>15"), "8", "16", clock="9", clear="1"),
    "74LS574": Chip(_sections("2>19 3>18 4>17 5>16 6>15 7>14 8>13 9>12"), "10", "20", low=("1",), clock="11"),
}
BUFFERS = {
    "74LS244": Chip(_sections(_HALVES), "10", "20", low=("1", "19")),
    "74LS240": Chip(_sections(_HALVES), "10", "20", low=("1", "19")),
    "74LS541": Chip(_sections("2>18 3>17 4>16 5>15 6>14 7>13 8>12 9>11"), "10", "20", low=("1", "19")),
    "74LS245": Chip(
        _sections("2>18 3>17 4>16 5>15 6>14 7>13 8>12 9>11"), "10", "20", low=("19",), high=("1",)
    ),
    "74LS04": Chip(_sections(_INVERTERS), "7", "14"),
    "74LS367": Chip(_sections("2>3 4>5 6>7 10>9 12>11 14>13"), "8", "16", low=("1", "15")),
}
GATES = {
    "74LS08": Chip(_sections(_TWO), "7", "14"),
    "74LS00": Chip(_sections(_TWO), "7", "14"),
    "74LS32": Chip(_sections(_TWO), "7", "14"),
    "74LS02": Chip(_sections("2,3>1 5,6>4 8,9>10 11,12>13"), "7", "14"),
}
SELECTORS = {
    "74LS157": Chip(_sections("2,3>4 5,6>7 11,10>9 14,13>12"), "8", "16", select=("1",), enable="15"),
    "74LS257": Chip(_sections("2,3>4 5,6>7 11,10>9 14,13>12"), "8", "16", select=("1",), enable="15"),
    "74LS153": Chip(_sections("6,5,4,3>7 10,11,12,13>9"), "8", "16", low=("1", "15"), select=("14", "2")),
}
MEMORIES = {
    "6116": _memory("9 10 11 13 14 15 16 17", "8 7 6 5 4 3 2 1 23 22 19", 12, 24, "18 20", "21"),
    "62256": _memory(_BYTE, "10 9 8 7 6 5 4 3 25 24 21 23 2 26 1", 14, 28, "20 22", "27"),
    "2114": _memory("14 13 12 11", "5 6 7 4 3 2 1 17 16 15", 9, 18, "8", "10"),
    "27256": _memory(_BYTE, "10 9 8 7 6 5 4 3 25 24 21 23 2 26 27", 14, 28, "20 22", high="1"),
    "4164": _memory("14", "5 7 6 12 11 10 13 9", 16, 8, "4 15", "3"),
    "82S129": _memory("12 11 10 9", "5 6 7 4 3 2 1 15", 8, 16, "13 14"),
    "82S123": _memory("1 2 3 4 5 6 7 9", "10 11 12 13 14", 8, 16, "15"),
    "82S147": _memory("6 7 8 9 11 12 13 14", "1 2 3 4 5 16 17 18 19", 10, 20, "15"),
}
_OTHERS = {
    "74LS07": Chip(_sections(_INVERTERS), "7", "14"),
    "74LS86": Chip(_sections(_TWO), "7", "14"),
    "74LS74": Chip(_sections("2>5 12>9"), "7", "14", clock="3"),
    "74LS163": Chip((), "8", "16"),
    "74LS166": Chip(_sections("2,3,4,5,10,11,12,14>13"), "8", "16", low=("1",), clock="7"),
    # Single analogue switches: one end and what closes it, the other end.
    "4066": Chip(_sections("2,13>1 3,5>4 9,6>8 10,12>11"), "7", "14"),
    # An analogue selector: two ways to the common leg.
    "74HC4053": Chip(_sections("12,13>14 2,1>15 5,3>4"), "8", "16", low=("6", "7"), select=("11", "10", "9")),
}
CHIPS: dict[str, Chip] = {**LATCHES, **BUFFERS, **GATES, **SELECTORS, **MEMORIES, **_OTHERS}
