"""What is joined in a legacy KiCad schematic, and what the nets are called, by the rules of KiCad 5.

Every rule was tried with the eeschema of KiCad 5.1.9 (Debian), by drawings of
one part each and by its demo projects. They differ from those of KiCad 6 and
later (`schematic.py`):

- wires that overlap are one wire. A pin, a sheet pin or a wire's end joins a
  wire at its end, at a junction and at a label; a label joins all wires that
  run through its place;
- on one sheet all that carries one name is one net: local, global and
  hierarchical labels, members of bus labels, supply pins. Supply symbols and
  hidden supply pins are known everywhere, and a local label or a member of a
  local bus on any sheet joins the supply of its name (a hierarchical one does
  not); global labels join one another and the supplies;
- a bus label is a name and two numbers, ``D[0..7]``. Labels and sheet pins on
  one bus are joined member by member with the same number, whatever they are
  called. Bus entries join nothing;
- a net is called after its global labels, else a member of a global bus, else
  its supply, else the label nearest the root (hierarchical before local, then the alphabet, then the
  sheet), else ``Net-(R1-Pad2)`` after the first pin in the alphabet.

At one place the drawing is followed where KiCad 5.1.9 does not: a junction on a
sheet pin joins it to the wire that runs on, as in the versions before and after.
"""

from __future__ import annotations

import re

from tracer.base.findings import Finding
from tracer.importers.kicad.bus import LARGEST_BUS, counted, too_wide
from tracer.importers.kicad.findings import sheet_pins_without_label, touches_without_junction
from tracer.importers.kicad.geometry import PointGroups, pins_in_place
from tracer.importers.kicad.legacy_wires import tidied
from tracer.importers.kicad.parts import DrawnParts
from tracer.importers.kicad.sheet_file import Point, Symbol
from tracer.importers.kicad.sheets import Placed, Sheets
from tracer.netlist.board import Origin, Part, PinRef
from tracer.netlist.net_names import name_of_joined
from tracer.netlist.union_find import UnionFind

__all__ = ["LegacyConnector"]

Key = tuple[object, ...]

_BUS = re.compile(r"(\S+)\[(\d{1,9})\.+(\d{1,9})\]")


def bus_members(text: str) -> list[tuple[int, str]]:
    """Number and name of each member of a bus label; empty when it is none.

    >>> bus_members("D[2..0]")
    [(0, 'D0'), (1, 'D1'), (2, 'D2')]
    >>> [bus_members(t) for t in ("D0", "[0..1]", "D [0..1]", "D[0..1]_N")]
    [[], [], [], []]
    """
    found = _BUS.fullmatch(text)
    if not found:
        return []
    first, last = sorted((int(found[2]), int(found[3])))
    if last - first >= LARGEST_BUS:
        raise too_wide(text)
    return [(n, f"{found[1]}{n}") for n in range(first, last + 1)]


class LegacyConnector:
    """Joins all sheets of one schematic. Keys of the union: tuples that say what they are."""

    def __init__(self, sheets: Sheets) -> None:
        self._files = sheets.files
        self._drawn = DrawnParts(sheets.root)
        self._joined = UnionFind()
        self._names: list[tuple[Key, tuple[int, int, int, str, str], str]] = []
        self._pins: list[tuple[Key, PinRef]] = []
        self._sections: dict[PinRef, list[int]] = {}
        self._supplies: set[str] = set()
        self._labels_of_supplies: set[tuple[str, str]] = set()
        self._findings: list[Finding] = []
        self._said: set[str] = set()
        self._n_members = 0
        for placed in sheets.placed:
            self._add_sheet(placed)
        for path, name in self._labels_of_supplies:
            if name in self._supplies:
                self._joined.union(("supply", name), ("name", path, name))

    def findings(self) -> list[Finding]:
        """What a person should know."""
        return [*self._findings, *self._drawn.findings]

    def parts(self) -> list[Part]:
        """All parts, each once."""
        return self._drawn.parts()

    def _add_sheet(self, placed: Placed) -> None:
        sheet = placed.sheet
        single = [label for label in sheet.labels if not bus_members(label.text)]
        vectors = [label for label in sheet.labels if bus_members(label.text)]
        drawn, drawn_buses = sheet.wires, sheet.buses
        if placed.path == "/":
            # KiCad tidies up the sheet that is open when it writes a netlist: the root.
            pins = [at for s in sheet.symbols for _, at in pins_in_place(s, _instance(s, placed)[1])]
            drawn = tidied(drawn, sheet.junctions, pins)
            drawn_buses = tidied(drawn_buses, sheet.junctions, [])
        wires = PointGroups(drawn, [*sheet.junctions, *(label.at for label in single)])
        buses = PointGroups(drawn_buses, [*sheet.junctions, *(label.at for label in vectors)])
        # What a label can join beside wires.
        solid: set[Point] = set()
        self._symbols(placed, wires, solid)
        self._sheet_pins(placed, wires, buses, solid)
        bare = wires.bare_touches(solid)
        if bare and sheet.file not in self._said:
            self._said.add(sheet.file)
            self._findings.append(touches_without_junction(sheet.file, bare))
        for index, label in enumerate(single):
            node: Key = ("label", placed.path, index)
            if wires.group_at(label.at) is not None or label.at in solid:
                node = self._at(placed, wires, label.at)
            self._name(placed, label.kind, label.text, node)
        for index, label in enumerate(vectors):
            group = buses.group_at(label.at)
            bus: Key = ("free", index) if group is None else ("bus", group)
            members = bus_members(label.text)
            self._n_members = counted(self._n_members + len(members), sheet.file)
            for number, member in members:
                self._name(placed, label.kind, member, ("member", placed.path, bus, number), in_bus=True)

    def _at(self, placed: Placed, wires: PointGroups, point: Point) -> Key:
        """The key of what meets at a point."""
        here = ("point", placed.path, point)
        group = wires.group_at_end(point)
        if group is not None:
            self._joined.union(here, ("wire", placed.path, group))
        return here

    def _symbols(self, placed: Placed, wires: PointGroups, solid: set[Point]) -> None:
        for symbol in placed.sheet.symbols:
            reference, unit = _instance(symbol, placed)
            for pin, at in pins_in_place(symbol, unit):
                solid.add(at)
                node = self._at(placed, wires, at)
                if pin.kind == "power_in" and (pin.hidden or symbol.body.power):
                    self._supply(placed, pin.name, node)
                if not symbol.body.power and not reference.startswith("#"):
                    shown = PinRef(reference, pin.number)
                    self._pins.append((node, shown))
                    self._sections.setdefault(shown, []).append(unit)
            if not symbol.body.power and not reference.startswith("#"):
                self._drawn.add(symbol, reference, unit, placed.path)

    def _supply(self, placed: Placed, name: str, node: Key) -> None:
        self._supplies.add(name)
        self._labels_of_supplies.add((placed.path, name))
        self._joined.union(("name", placed.path, name), node)
        self._names.append((node, (2, 0, 0, name, ""), name))

    def _name(self, placed: Placed, kind: str, text: str, node: Key, *, in_bus: bool = False) -> None:
        """Join a node to what is called so; `in_bus`: it is a member of a bus label."""
        self._joined.union(("name", placed.path, text), node)
        if kind == "hierarchical":
            self._joined.union(("port", placed.path, text), node)
        else:
            self._labels_of_supplies.add((placed.path, text))
        if kind == "global":
            self._joined.union(("global", text), node)
            self._names.append((node, (1 if in_bus else 0, 0, 0, text, ""), text))
        elif not in_bus:
            depth = placed.path.count("/")
            strength = 0 if kind == "hierarchical" else 1
            self._names.append((node, (3, depth, strength, text, placed.shown), placed.shown + text))

    def _sheet_pins(self, placed: Placed, wires: PointGroups, buses: PointGroups, solid: set[Point]) -> None:
        for symbol in placed.sheet.sheets:
            child = f"{placed.path}/{symbol.uuid}"
            below = self._files[(placed.sheet.path.parent / symbol.file).resolve()]
            # Two pins of one name, one of them in a bus, are joined by a label in the sheet only.
            ports = {n for x in below.labels if x.kind == "hierarchical" for n in _single_names(x.text)}
            for index, pin in enumerate(symbol.pins):
                members = bus_members(pin.name)
                if not members:
                    solid.add(pin.at)
                    node = self._at(placed, wires, pin.at)
                    if pin.name in ports:
                        self._joined.union(("port", child, pin.name), node)
                group = buses.group_at_end(pin.at) if members else None
                bus: Key = ("free pin", child, index) if group is None else ("bus", group)
                for number, member in members:
                    if member in ports:
                        self._joined.union(("port", child, member), ("member", placed.path, bus, number))
            self._findings += sheet_pins_without_label(symbol, below, _single_names)

    def nets(self) -> list[tuple[str, list[PinRef], Origin | None]]:
        """All nets with their names."""
        joined = self._joined
        grouped: dict[object, list[PinRef]] = {}
        for node, pin in self._pins:
            grouped.setdefault(joined.find(node), []).append(pin)
        names: dict[object, tuple[tuple[int, int, int, str, str], str]] = {}
        for node, rank, shown in self._names:
            key = joined.find(node)
            names[key] = min(names.get(key, (rank, shown)), (rank, shown))
        groups_of: dict[PinRef, set[object]] = {}
        for key, pins in grouped.items():
            for pin in pins:
                groups_of.setdefault(pin, set()).add(key)
        nets: list[tuple[str, list[PinRef], Origin | None]] = []
        taken: set[str] = set()
        counts: dict[str, int] = {}
        for key, pins in grouped.items():
            if key in names:
                name = names[key][1]
            else:
                if len(set(pins)) == 1 and len(groups_of[pins[0]]) > 1 and self._is_shared(pins[0]):
                    # A pin that several sections show, and that is joined to something at another of them.
                    groups_of[pins[0]].discard(key)
                    continue
                name, first = min((name_of_joined(pin), pin) for pin in pins)
                if name in taken and self._is_shared(first):
                    # KiCad's board makes one net of two that are called so, and one pin it is.
                    nets.append((name, pins, None))
                    continue
            # Numbers go on from the last of this name: those before are all taken.
            unique, count = name, counts.get(name, 0)
            while unique in taken:
                count += 1
                unique = f"{name}_{count}"
            taken.add(unique)
            counts[name] = count
            nets.append((unique, pins, None))
        return nets

    def _is_shared(self, pin: PinRef) -> bool:
        """Whether several sections of one part show this pin (and not several parts of one reference)."""
        sections = self._sections[pin]
        return len(set(sections)) == len(sections)


def _single_names(text: str) -> list[str]:
    return [name for _, name in bus_members(text)] or [text]


def _instance(symbol: Symbol, placed: Placed) -> tuple[str, int]:
    """Reference and section on one placed sheet; the field where the file has none for it (as KiCad 5.1.9)."""
    return symbol.instances.get(placed.path[1:]) or (symbol.fields["Reference"], symbol.unit)
