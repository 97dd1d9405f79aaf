"""Small KiCad schematics as text, for tests.

A `Sheet` collects wires, labels and symbols and writes itself and the sheets in it. Points are millimetres on
KiCad's grid of 1.27. The text is what KiCad 9 accepts (its command line exports a netlist from every drawing in
these tests), less all that only looks: line widths, fonts, fields' places.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import count, pairwise
from pathlib import Path

from tracer.importers import read_netlist
from tracer.netlist.board import Netlist

__all__ = ["KICAD_6", "KICAD_9", "Sheet", "labelled", "nets"]

Point = tuple[float, float]

#: Version stamps of the schematics of KiCad 6 and 9.
KICAD_6, KICAD_9 = 20211123, 20250114

_numbers = count(1)
_EFFECTS = "(effects (font (size 1.27 1.27)))"


def _uuid() -> str:
    return f"00000000-0000-4000-8000-{next(_numbers):012x}"


def _pin(number: str, at: Point, kind: str = "passive", name: str = "~", extra: str = "") -> str:
    """A pin of a library body; y points upwards there."""
    return (
        f"(pin {kind} line (at {at[0]} {at[1]} 0) (length 0) {extra}"
        f'(name "{name}" {_EFFECTS}) (number "{number}" {_EFFECTS}))'
    )


def _body(name: str, units: Mapping[str, Sequence[str]], flags: str = "") -> str:
    """A library body: ``{"1_1": pins, ...}`` by unit and body style."""
    subs = " ".join(f'(symbol "{name}_{unit}" {" ".join(pins)})' for unit, pins in units.items())
    return (
        f'(symbol "x:{name}" {flags}(in_bom yes) (on_board yes) '
        f'(property "Reference" "U" (at 0 0 0)) (property "Value" "{name}" (at 0 0 0)) {subs})'
    )


_ALTERNATES = '(alternate "CLK" input line) (alternate "OUT" output line)'

#: Bodies that the tests use.
BODIES = {
    # One pin, in the middle.
    "ONE": _body("ONE", {"1_1": [_pin("1", (0, 0))]}),
    # Two pins whose places tell all eight ways to turn and mirror apart.
    "TWO": _body("TWO", {"1_1": [_pin("1", (2.54, 5.08)), _pin("2", (7.62, 2.54))]}),
    # Two equal sections and a supply pin that belongs to both.
    "DUAL": _body(
        "DUAL",
        {
            "0_1": [_pin("8", (0, 10.16), "power_in", "VCC")],
            "1_1": [_pin("1", (0, 0), "input", "A")],
            "2_1": [_pin("2", (0, 0), "input", "A")],
        },
    ),
    # The second body style has its pin elsewhere.
    "STYLES": _body("STYLES", {"1_1": [_pin("1", (0, 0))], "1_2": [_pin("1", (5.08, 0))]}),
    # A gate of the usual kind: supply pins that are not shown.
    "GATE": _body(
        "GATE",
        {
            "1_1": [
                _pin("1", (0, 0), "input", "A"),
                _pin("7", (0, 5.08), "power_in", "GND", "(hide yes) "),
                _pin("14", (0, -5.08), "power_in", "VCC", "(hide yes) "),
            ]
        },
    ),
    "NAMED": _body("NAMED", {"1_1": [_pin("1", (0, 0), "input", "D"), _pin("2", (0, 5.08), "output", "Q")]}),
    "TWIN": _body("TWIN", {"1_1": [_pin("1", (0, 0), "input", "D"), _pin("2", (0, 5.08), "input", "D")]}),
    "BLIND": _body("BLIND", {"1_1": [_pin("1", (0, 0), "no_connect", "NC"), _pin("2", (0, 5.08))]}),
    "CHOICE": _body(
        "CHOICE",
        {"1_1": [_pin("1", (0, 0), "bidirectional", "IO", "").replace("(name", f"{_ALTERNATES} (name", 1)]},
    ),
    # Supply symbols: the pin is called +3.3V, whatever the Value says.
    "SUPPLY": _body("SUPPLY", {"1_1": [_pin("1", (0, 0), "power_in", "+3.3V", "(hide yes) ")]}, "(power) "),
    "LOCAL": _body(
        "LOCAL", {"1_1": [_pin("1", (0, 0), "power_in", "+3.3V", "(hide yes) ")]}, "(power local) "
    ),
    "FLAG": _body("FLAG", {"1_1": [_pin("1", (0, 0), "power_out", "pwr", "(hide yes) ")]}, "(power) "),
}


class Sheet:
    """One schematic file."""

    def __init__(self, name: str = "root", version: int = KICAD_9) -> None:
        self.name, self.version, self.uuid = name, version, _uuid()
        self._items: list[str] = []
        self._bodies: set[str] = set()
        self._symbols: list[tuple[str, str, Sequence[tuple[str, int]]]] = []
        self._used: list[tuple[Sheet, str]] = []
        self._children: list[Sheet] = []

    # What can be drawn.

    def wire(self, *points: Point, kind: str = "wire") -> None:
        for (ax, ay), (bx, by) in pairwise(points):
            self._add(f"({kind} (pts (xy {ax} {ay}) (xy {bx} {by})) (stroke (width 0) (type default))")

    def bus(self, *points: Point) -> None:
        self.wire(*points, kind="bus")

    def entry(self, at: Point, size: Point) -> None:
        """A bus entry."""
        self._add(
            f"(bus_entry (at {at[0]} {at[1]}) (size {size[0]} {size[1]}) (stroke (width 0) (type default))"
        )

    def junction(self, at: Point) -> None:
        self._add(f"(junction (at {at[0]} {at[1]}) (diameter 0) (color 0 0 0 0)")

    def no_connect(self, at: Point) -> None:
        self._add(f"(no_connect (at {at[0]} {at[1]})")

    def label(self, text: str, at: Point, kind: str = "label") -> None:
        shape = "" if kind == "label" else "(shape input) "
        self._add(f'({kind} "{text}" {shape}(at {at[0]} {at[1]} 0) {_EFFECTS}')

    def globe(self, text: str, at: Point) -> None:
        """A global label."""
        self.label(text, at, "global_label")

    def port(self, text: str, at: Point) -> None:
        """A hierarchical label."""
        self.label(text, at, "hierarchical_label")

    def alias(self, name: str, *members: str) -> None:
        listed = " ".join(f'"{m}"' for m in members)
        self._items.append(f'(bus_alias "{name}" (members {listed}))')

    def pin(self, reference: str | Sequence[str], at: Point) -> None:
        """A part of one pin."""
        self.part("ONE", reference, at)

    def part(
        self,
        body: str,
        reference: str | Sequence[str],
        at: Point,
        *,
        value: str = "x",
        angle: int = 0,
        mirror: str = "",
        unit: int | Sequence[int] = 1,
        extra: str = "",
    ) -> None:
        """A symbol; `reference` and `unit` may be lists, one for each use of the sheet."""
        own = _uuid()
        self._bodies.add(body)
        references = [reference] if isinstance(reference, str) else list(reference)
        units = [unit] * len(references) if isinstance(unit, int) else list(unit)
        mirrored = f"(mirror {mirror}) " if mirror else ""
        newer = "(exclude_from_sim no) " if self.version > KICAD_6 else ""
        text = (
            f'(symbol (lib_id "x:{body}") (at {at[0]} {at[1]} {angle}) {mirrored}(unit {units[0]}) '
            f'{newer}(in_bom yes) (on_board yes) {extra}(uuid "{own}") '
            f'(property "Reference" "{references[0]}" (at 0 0 0)) (property "Value" "{value}" (at 0 0 0))'
        )
        self._symbols.append((text, own, list(zip(references, units, strict=True))))

    def sheet(
        self, name: str, child: Sheet, pins: Mapping[str, Point] | None = None, at: Point = (50.8, 40.64)
    ) -> None:
        """A sheet symbol for `child`, with its pins."""
        own = _uuid()
        child._used.append((self, own))
        self._children.append(child)
        shown = " ".join(
            f'(pin "{text}" input (at {x} {y} 180) {_EFFECTS} (uuid "{_uuid()}"))'
            for text, (x, y) in (pins or {}).items()
        )
        self._items.append(
            f'(sheet (at {at[0]} {at[1]}) (size 20.32 20.32) (uuid "{own}") (property "Sheetname" "{name}" (at 0 0 0)) '
            f'(property "Sheetfile" "{child.name}.kicad_sch" (at 0 0 0)) {shown} '
            f'(instances (project "root" (path "/{self.uuid}" (page "2")))))'
        )

    # Writing.

    def paths(self) -> list[str]:
        """The ways from the root to this sheet, as UUIDs."""
        if not self._used:
            return [f"/{self.uuid}"]
        return [f"{path}/{own}" for parent, own in self._used for path in parent.paths()]

    def text(self) -> str:
        """The file."""
        head = f'(kicad_sch (version {self.version}) (generator "eeschema") (uuid "{self.uuid}") (paper "A4")'
        bodies = f"(lib_symbols {' '.join(BODIES[name] for name in sorted(self._bodies))})"
        symbols = []
        for text, _, instances in self._symbols:
            paths = " ".join(
                f'(path "{path}" (reference "{reference}") (unit {unit}))'
                for path, (reference, unit) in zip(self.paths(), instances, strict=True)
            )
            symbols.append(
                f'{text} (instances (project "root" {paths})))' if self.version > KICAD_6 else text + ")"
            )
        return "\n".join([head, bodies, *self._items, *symbols, self._root_instances(), ")"])

    def _root_instances(self) -> str:
        """KiCad 6 keeps all references in the root, by paths that leave the root out."""
        pages = '(sheet_instances (path "/" (page "1")))'
        if self.version > KICAD_6 or self._used:
            return pages if not self._used else ""
        rows = [
            f'(path "{path[len(self.uuid) + 1 :]}/{own}" (reference "{reference}") (unit {unit}) (value "x") (footprint ""))'
            for sheet in self._below()
            for _, own, instances in sheet._symbols
            for path, (reference, unit) in zip(sheet.paths(), instances, strict=True)
        ]
        return f"{pages}\n(symbol_instances {' '.join(rows)})"

    def _below(self) -> list[Sheet]:
        found = [self]
        for child in self._children:
            found += [sheet for sheet in child._below() if sheet not in found]
        return found

    def write(self, folder: Path) -> Path:
        """Write this sheet and all below it; gives its own file."""
        for sheet in self._below():
            (folder / f"{sheet.name}.kicad_sch").write_text(sheet.text(), encoding="utf-8")
        return folder / f"{self.name}.kicad_sch"

    def read(self, folder: Path) -> Netlist:
        return read_netlist(self.write(folder))

    def _add(self, text: str) -> None:
        self._items.append(f'{text} (uuid "{_uuid()}"))')


def nets(netlist: Netlist) -> dict[str, str]:
    """Name -> pins, as words."""
    return {net.name: " ".join(map(str, net.pins)) for net in netlist.nets}


def labelled(sheet: Sheet, text: str, reference: str | Sequence[str], y: float, kind: str = "label") -> None:
    """Draw a part of one pin with a label on the pin."""
    sheet.label(text, (20.32, y), kind)
    sheet.pin(reference, (20.32, y))
