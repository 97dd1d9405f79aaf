"""Generated boards of any size, the same each time: a colour section with a known map, and slices of logic around it.

The boards are our own invention. The colour section has 12 bits: two palette RAMs, a register a bit, a resistor a
bit. A slice is a few dozen chips' worth of counters, memories and registers wired to one another; slices are added
until the board has the pins that were asked for. Supplies and the clock are nets of all slices, so that a large board
has nets of many thousand pins, as real ones do.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from tracer.netlist.board import Netlist, Part, Pin, PinRef, make_netlist
from tracer.parts.library import Library, load_library

__all__ = ["BITS", "make_board"]

#: Bits of the colour section, all of which a trace must find.
BITS = 12

#: Chips of a slice: type, marking.
_SLICE = (
    ("74x163", "74LS163"),
    ("74x163", "74LS163"),
    ("74x157", "74LS157"),
    ("74x157", "74LS157"),
    ("6116", "6116"),
    ("74x245", "74LS245"),
    ("74x273", "74LS273"),
    ("74x374", "74LS374"),
    ("74x08", "74LS08"),
    ("74x04", "74LS04"),
)
_PULL_UPS = 3
_CAPACITORS = 4

#: Directions of the part library -> KiCad's words.
_KINDS = {
    "in": "input",
    "out": "output",
    "three_state": "tri_state",
    "open_collector": "open_collector",
    "bidirectional": "bidirectional",
    "power": "power_in",
    "passive": "passive",
    "nc": "no_connect",
}
_OHM = ("2k2", "1k", "470", "220")


def make_board(n_pins: int, library: Library | None = None) -> Netlist:
    """A board of about so many pins (within half a slice, about 80); a part's place is its slice, ``s3``."""
    maker = _Maker(library or load_library())
    maker.colours()
    first = maker.n_pins
    maker.slice(0)
    each = maker.n_pins - first
    for number in range(1, max(1, round((n_pins - first) / each))):
        maker.slice(number)
    nets = ((name, pins, None) for name, pins in maker.nets.items())
    return make_netlist(f"generated{n_pins}", maker.parts, nets)


@dataclass
class _Maker:
    library: Library
    parts: list[Part] = field(default_factory=list)
    nets: dict[str, list[PinRef]] = field(default_factory=dict)
    counts: dict[str, int] = field(default_factory=dict)
    #: The last outputs of the slice before.
    links: list[str] = field(default_factory=lambda: [f"PIX{i}" for i in range(8)])
    place: str = ""
    n_pins: int = 0

    def colours(self) -> None:
        """Plug, resistors, two registers, two palette RAMs with multiplexed addresses."""
        names = ("RED", "GREEN", "BLUE", "GND", "SYNC", "GND")
        plug = self._place(
            "J", "MONITOR", "Conn_01x06", [(str(i + 1), n, "passive") for i, n in enumerate(names)]
        )
        for number, name in enumerate(names, 1):
            self._join(name, plug, str(number))
        for chip in range(2):
            self._chip(
                "74x157",
                "74LS157",
                {f"{k}{letter}": f"{net}{4 * chip + k - 1}" for k in range(1, 5) for letter, net in _MUX}
                | {"S": "PAL_CS", "/G": "GND"},
            )
            address = {f"A{i}": f"MA{i}" if i < 8 else "GND" for i in range(11)}
            self._chip(
                "6116",
                "6116",
                address
                | {f"D{i}": f"PD{8 * chip + i}" for i in range(8)}
                | {"/CS": "GND", "/CE": "GND", "/OE": "GND", "/WE": f"PAL_WE{chip}"},
            )
            self._chip(
                "74x245",
                "74LS245",
                {f"A{i + 1}": f"D{8 * chip + i}" for i in range(8)}
                | {f"B{i + 1}": f"PD{8 * chip + i}" for i in range(8)}
                | {"DIR": "RW", "/OE": "PAL_CS"},
            )
            self._chip(
                "74x273",
                "74LS273",
                {f"{i + 1}D": f"PD{8 * chip + i}" for i in range(8)}
                | {f"{i + 1}Q": f"BIT{8 * chip + i}" for i in range(8)}
                | {"CLK": "CLK", "/CLR": "VCC"},
            )
        for bit in range(BITS):
            resistor = self._place("R", _OHM[bit % 4], "R", [("1", "", "passive"), ("2", "", "passive")])
            self._join(f"BIT{bit}", resistor, "1")
            self._join(names[bit // 4], resistor, "2")

    def slice(self, number: int) -> None:
        """One slice; its inputs come from its own outputs and from the slice before."""
        self.place, home = f"s{number}", f"/s{number}/"
        pool, at = list(self.links), 0
        for type_name, marking in _SLICE:
            nets: dict[str, str] = {}
            made: list[str] = []
            for pin in self._type(type_name):
                role, key = pin[2], f"{pin[0]} {pin[1]}"
                if role == "bidirectional":
                    nets[key] = f"{home}B{pin[1][-1]}{'X' if pin[1].startswith('B') else ''}"
                elif role in ("output", "tri_state"):
                    nets[key] = f"{home}N{len(pool) + len(made)}"
                    made.append(nets[key])
                elif role == "input":
                    at += 7
                    nets[key] = "CLK" if pin[1].endswith("CLK") else pool[at % len(pool)]
            pool += made
            self._chip(type_name, marking, nets)
        self.links = pool[-8:]
        two = [("1", "", "passive"), ("2", "", "passive")]
        for i in range(_PULL_UPS):
            resistor = self._place("R", "4k7", "R", two)
            self._join("VCC", resistor, "1")
            self._join(f"{home}B{i}", resistor, "2")
        for _ in range(_CAPACITORS):
            capacitor = self._place("C", "100n", "C", two)
            self._join("VCC", capacitor, "1")
            self._join("GND", capacitor, "2")

    def _type(self, name: str) -> Iterator[tuple[str, str, str]]:
        """Number, name and KiCad's kind of each pin."""
        found = self.library.find(name)
        if found is None:
            raise ValueError(f"no part table for {name}")
        return ((p.number, p.name, _KINDS[p.direction]) for p in found.pins)

    def _chip(self, type_name: str, marking: str, nets: dict[str, str]) -> None:
        """Place a chip; `nets` by the pin's name, or by its number and name."""
        pins = list(self._type(type_name))
        reference = self._place("U", marking, marking, pins)
        for number, name, kind in pins:
            net = name if kind == "power_in" else nets.get(f"{number} {name}", nets.get(name))
            if net is not None:
                self._join({"VSS": "GND", "VDD": "VCC"}.get(net, net), reference, number)

    def _place(self, letter: str, marking: str, symbol: str, pins: list[tuple[str, str, str]]) -> str:
        self.counts[letter] = self.counts.get(letter, 0) + 1
        reference = f"{letter}{self.counts[letter]}"
        drawn = tuple(Pin(*pin) for pin in pins)
        self.parts.append(
            Part(
                reference,
                marking,
                symbol=symbol,
                library="bench",
                footprint="any",
                place=self.place,
                pins=drawn,
            )
        )
        return reference

    def _join(self, net: str, reference: str, number: str) -> None:
        self.nets.setdefault(net, []).append(PinRef(reference, number))
        self.n_pins += 1


_MUX = (("A", "CA"), ("B", "PIX"), ("Y", "MA"))
