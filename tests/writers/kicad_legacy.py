"""Legacy KiCad schematics (version 4 and before) and their symbol libraries as text.

A `Drawing` collects wires, labels and symbols; points are mils, y downwards. `write` draws a netlist: every part a
symbol of its own, every pin with a global label.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import count, pairwise
from pathlib import Path

from tracer.importers import read_netlist
from tracer.netlist.board import Netlist, Part, Pin, PinRef

__all__ = ["LIBRARY", "TURNS", "Drawing", "labelled", "library", "nets", "write"]

Point = tuple[int, int]

#: The four numbers of a symbol's matrix for each way to turn (degrees, counter-clockwise) and mirror it.
TURNS: dict[tuple[int, str], str] = {
    (0, ""): "1    0    0    -1",
    (90, ""): "0    -1   -1   0",
    (180, ""): "-1   0    0    1",
    (270, ""): "0    1    1    0",
    (0, "x"): "1    0    0    1",
    (90, "x"): "0    1    -1   0",
    (180, "x"): "-1   0    0    -1",
    (270, "x"): "0    -1   1    0",
}
_LETTERS = {
    "input": "I",
    "output": "O",
    "bidirectional": "B",
    "tri_state": "T",
    "passive": "P",
    "power_in": "W",
    "power_out": "w",
    "open_collector": "C",
    "open_emitter": "E",
    "no_connect": "N",
}

_stamps = count(0x10000001)


def library(*symbols: str) -> str:
    """A library of some symbols."""
    return "EESchema-LIBRARY Version 2.4\n#encoding utf-8\n" + "".join(symbols) + "#\n#End Library\n"


def _symbol(name: str, pins: Sequence[str], *, power: bool = False, units: int = 1, aliases: str = "") -> str:
    prefix = "#PWR" if power else "U"
    return (
        f"#\n# {name}\n#\nDEF {name} {prefix} 0 40 Y Y {units} F {'P' if power else 'N'}\n"
        f'F0 "{prefix}" 0 100 50 H V C CNN\nF1 "{name}" 0 -100 50 H V C CNN\nF2 "" 0 0 50 H I C CNN\n'
        + (f"ALIAS {aliases}\n" if aliases else "")
        + f"DRAW\nS -200 200 200 -200 0 1 0 N\n{''.join(f'X {pin}{chr(10)}' for pin in pins)}ENDDRAW\nENDDEF\n"
    )


#: Symbols that the tests use. Pins: name, number, place (y upwards), length, side, sizes, section, style, type.
LIBRARY = library(
    _symbol("P", ["A 1 0 0 0 R 50 50 1 1 P"]),
    _symbol("TWO", ["A 1 100 300 0 R 50 50 1 1 I", "B 2 200 -100 0 R 50 50 1 1 O"]),
    _symbol(
        "DUAL",
        [
            "A 1 0 0 0 R 50 50 1 1 I",
            "A 2 0 0 0 R 50 50 2 1 I",
            "VCC 8 0 300 0 D 50 50 0 1 W",
            # The second body style has its pin elsewhere.
            "A 1 500 0 0 R 50 50 1 2 I",
        ],
        units=2,
        aliases="DUAL2 74HC00",
    ),
    _symbol(
        "GATE", ["A 1 0 0 0 R 50 50 1 1 I", "VCC 14 0 200 0 D 50 50 1 1 W N", "NC 9 0 -200 0 D 50 50 1 1 N N"]
    ),
    *(_symbol(name, [f"{name} 1 0 0 0 R 50 50 1 1 W N"], power=True) for name in ("VCC", "GND", "+5V")),
    _symbol("FLAG", ["pwr 1 0 0 0 R 50 50 1 1 w"], power=True),
)


class Drawing:
    """One schematic file."""

    def __init__(self, version: int = 4) -> None:
        self.version = version
        self._items: list[str] = []
        self._kids: dict[str, Drawing] = {}

    def wire(self, *points: Point, kind: str = "Wire") -> None:
        self._items += [f"Wire {kind} Line\n\t{a} {b} {c} {d}\n" for (a, b), (c, d) in pairwise(points)]

    def bus(self, *points: Point) -> None:
        self.wire(*points, kind="Bus")

    def entry(self, start: Point, end: Point) -> None:
        """From a wire to a bus."""
        self._items.append(f"Entry Wire Line\n\t{start[0]} {start[1]} {end[0]} {end[1]}\n")

    def junction(self, at: Point) -> None:
        self._items.append(f"Connection ~ {at[0]} {at[1]}\n")

    def no_connect(self, at: Point) -> None:
        self._items.append(f"NoConn ~ {at[0]} {at[1]}\n")

    def label(self, text: str, at: Point, kind: str = "") -> None:
        """Kind: empty (local), G (global) or H (hierarchical)."""
        shape = "Input ~" if kind else "~"
        self._items.append(f"Text {kind}Label {at[0]} {at[1]} 0    50   {shape} 0\n{text}\n")

    def part(
        self,
        symbol: str,
        reference: str,
        at: Point,
        *,
        value: str = "",
        unit: int = 1,
        style: int = 1,
        turn: tuple[int, str] = (0, ""),
        fields: Mapping[str, str] = {},
        places: Sequence[tuple[str, str, int]] = (),
    ) -> None:
        """A symbol; `places` are (path of the sheet, reference, section) where the sheet is used more than once."""
        stamp, (x, y) = f"{next(_stamps):08X}", at
        used = "".join(f'AR Path="{path}/{stamp}" Ref="{ref}"  Part="{n}" \n' for path, ref, n in places)
        more = "".join(
            f'F {n} "{_escaped(text)}" H {x} {y} 50  0001 C CNN "{name}"\n'
            for n, (name, text) in enumerate(fields.items(), 4)
        )
        self._items.append(
            f"$Comp\nL {symbol} {reference}\nU {unit} {style} {stamp}\nP {x} {y}\n{used}"
            f'F 0 "{reference}" H {x} {y} 50  0000 C CNN\nF 1 "{_escaped(value or symbol)}" H {x} {y} 50  0000 C CNN\n'
            f'F 2 "" H {x} {y} 50  0001 C CNN\nF 3 "" H {x} {y} 50  0001 C CNN\n{more}'
            f"\t{unit}    {x} {y}\n\t{TURNS[turn]}\n$EndComp\n"
        )

    def pin(self, reference: str, at: Point) -> None:
        """A part of one pin, to tell what meets at a point."""
        self.part("P", reference, at)

    def supply(self, name: str, at: Point) -> None:
        self.part(name, f"#PWR0{next(_stamps) & 0xFFFF}", at)

    def sheet(self, name: str, drawing: Drawing, pins: Mapping[str, Point], file: str = "") -> str:
        """A sheet; gives its time stamp."""
        stamp = f"{next(_stamps):08X}"
        file = file or f"{name}.sch"
        self._kids[file] = drawing
        x, y = next(iter(pins.values()), (5000, 5000))
        listed = "".join(
            f'F{n} "{text}" I R {px} {py} 50 \n' for n, (text, (px, py)) in enumerate(pins.items(), 2)
        )
        self._items.append(
            f'$Sheet\nS {x} {y} 500 1000\nU {stamp}\nF0 "{name}" 50\nF1 "{file}" 50\n{listed}$EndSheet\n'
        )
        return stamp

    def text(self) -> str:
        """The file."""
        frame = "".join(f'{word} ""\n' for word in ("Title", "Date", "Rev", "Comp", "Comment1"))
        return (
            f"EESchema Schematic File Version {self.version}\nEELAYER 30 0\nEELAYER END\n"
            f"$Descr A4 11693 8268\nencoding utf-8\nSheet 1 1\n{frame}$EndDescr\n"
            + "".join(self._items)
            + "$EndSCHEMATC\n"
        )

    def save(self, folder: Path, name: str = "board", symbols: str = LIBRARY) -> Path:
        """Write it, the sheets in it and a library; gives the root's path."""
        waiting = {f"{name}.sch": self}
        written: set[str] = set()
        while waiting:
            file, drawing = waiting.popitem()
            (folder / file).write_text(drawing.text(), encoding="utf-8")
            written.add(file)
            waiting.update({f: kid for f, kid in drawing._kids.items() if f not in written})
        (folder / f"{name}-cache.lib").write_text(symbols, encoding="utf-8")
        return folder / f"{name}.sch"

    def read(self, folder: Path) -> Netlist:
        """What the program makes of it."""
        return read_netlist(self.save(folder))


def nets(netlist: Netlist) -> dict[str, str]:
    """Net -> its pins in a line."""
    return {net.name: " ".join(map(str, net.pins)) for net in netlist.nets}


def labelled(drawing: Drawing, text: str, at: Point, reference: str, kind: str = "") -> None:
    """A label on a short wire, with a part's pin at its other end."""
    drawing.wire(at, (at[0] + 200, at[1]))
    drawing.label(text, at, kind)
    drawing.pin(reference, (at[0] + 200, at[1]))


def write(netlist: Netlist) -> tuple[str, str]:
    """The schematic and its library."""
    net_of = {pin: name for pin, (name, *_) in netlist.nets_of_pins.items()}
    drawing = Drawing()
    symbols = []
    for column, part in enumerate(netlist.parts):
        numbers = netlist.pins_of_parts[part.reference]
        drawn = {pin.number: pin for pin in part.pins}
        pins = [_pin_line(drawn.get(number, Pin(number)), row) for row, number in enumerate(numbers)]
        symbols.append(_symbol(f"SYM_{column}_X", pins))
        x, y = 1000 + 1000 * column, 1000
        drawing.part(
            f"SYM_{column}_X", part.reference, (x, y), value=part.marking or "~", fields=_fields(part)
        )
        for row, number in enumerate(numbers):
            name = net_of.get(PinRef(part.reference, number))
            if name is not None:
                drawing.label(name, (x, y + 100 * row), "G")
    return drawing.text(), library(*symbols)


def _fields(part: Part) -> dict[str, str]:
    return {"Place": part.place} if part.place else {}


def _pin_line(pin: Pin, row: int) -> str:
    name = "".join(pin.name.split()) or "~"
    return f"{name} {pin.number} 0 {-100 * row} 0 R 50 50 1 1 {_LETTERS.get(pin.kind, 'U')}"


def _escaped(text: str) -> str:
    return text.replace("\\", "\\\\").replace('"', '\\"')
