"""KiCad schematics, version 6 and later: geometry and names -> nets.

Method: every sheet is placed once for each way it is reached from the root.
On each placed sheet, points that wires join are one group; groups are joined
across sheets by labels, sheet pins, power symbols and buses. KiCad's own rules
(its documentation, Schematic Editor, "Labels", "Buses", "Power symbols"):

- wires join at their ends and at junctions, a pin at a wire's end, a label and
  a sheet pin anywhere on it;
- a local label is known on its sheet, a global label and a power symbol
  everywhere, and on a sheet that has both of one name they are one net; a
  hierarchical label joins the sheet pin of its name;
- two labels on one bus join their members: vectors by place, groups by name.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterator
from functools import cached_property
from pathlib import Path
from typing import NamedTuple

from tracer.base.findings import Finding
from tracer.importers.kicad.bus import BusMember, bus_members, counted
from tracer.importers.kicad.findings import sheet_pins_without_label, touches_without_junction
from tracer.importers.kicad.geometry import PointGroups, pins_in_place
from tracer.importers.kicad.names import NetNamer, slash_escaped
from tracer.importers.kicad.parts import DrawnParts, pin_name, shown_reference
from tracer.importers.kicad.sheet_file import KICAD_7, BodyPin, Label, Point, SheetSymbol, Symbol
from tracer.importers.kicad.sheets import Placed, Sheets, load_sheets
from tracer.netlist.board import Netlist, Origin, PinRef, make_netlist
from tracer.netlist.union_find import UnionFind

__all__ = ["Connector", "read"]


def read(path: Path, name: str) -> tuple[Netlist, list[tuple[str, bytes]]]:
    """Read a schematic and all its sheets.

    Returns
    -------
    netlist : Netlist
    sheets : list of (str, bytes)
        Name and contents of each file that was read, the root first.

    Raises
    ------
    NetlistError
        A file is missing, not whole, no schematic, or a sheet holds itself.
    """
    sheets = load_sheets(path)
    return Connector(sheets).netlist(name), sheets.inputs()


#: What may name a bus, the strongest first.
_CARRIERS = ("global", "local", "hierarchical", "sheet pin")
_PIN_RANK = _CARRIERS.index("sheet pin")


class _Carrier(NamedTuple):
    """A bus label or a sheet pin with its members; `path` of the sheet on which the members are known."""

    rank: int
    text: str
    path: str
    members: tuple[BusMember, ...]


class Connector:
    """Joins groups of points across sheets. Keys of the union: tuples that say what they are."""

    def __init__(self, sheets: Sheets) -> None:
        self.sheets = sheets
        self.files = sheets.files
        self.drawn = DrawnParts(sheets.root)
        self.aliases: dict[str, list[str]] = {}
        for sheet in sheets.files.values():
            self.aliases.update(sheet.aliases)
        self.joined = UnionFind()
        self.findings: list[Finding] = []
        self.names = NetNamer()
        self._pins: list[tuple[tuple[object, ...], PinRef]] = []
        self._globals_here: set[str] = set()
        self._locals_here: set[str] = set()
        self._members_here: set[str] = set()
        self._said: set[tuple[str, Point]] = set()
        self._n_members = 0
        #: Of each placed sheet which wires hang together, and the labels that name one net.
        self.groups: list[PointGroups] = []
        self.net_labels: list[frozenset[Label]] = []
        for placed in sheets.placed:
            self._add_sheet(placed)

    def netlist(self, name: str) -> Netlist:
        """The board as drawn."""
        findings = [*self.sheets.findings, *self.findings, *self.drawn.findings]
        return make_netlist(name, self.drawn.parts(), self._nets(), findings=findings)

    def _add_sheet(self, placed: Placed) -> None:
        sheet = placed.sheet
        groups = PointGroups(sheet.wires, sheet.junctions)
        self.groups.append(groups)
        buses = PointGroups(sheet.buses, [])
        self._symbols(placed, groups)
        self._labels(placed, groups, buses)
        self._sheet_pins(placed, groups)
        self._buses(placed, buses)
        for point in sheet.no_connects:
            self.names.no_connect(self._node(placed, groups.group_at_end(point), point))
        # A global label or power symbol and a local label of its name on one sheet are one net.
        for name in self._globals_here & self._locals_here:
            self.joined.union(("global", name), ("local", placed.path, name))
        # A member of a bus is the local label of its name; where that is global, it is not (as KiCad 9.0.2 has it).
        for name in self._members_here - self._globals_here:
            self.joined.union(("member", placed.path, name), ("local", placed.path, name))
        self._globals_here, self._locals_here, self._members_here = set(), set(), set()

    def _node(self, placed: Placed, group: object | None, point: Point) -> tuple[object, ...]:
        """The key of what meets at a point: the group of wires there, and other things on the same point."""
        here = ("point", placed.path, point)
        if group is not None:
            self.joined.union(here, ("wire", placed.path, group))
        return here

    def _symbols(self, placed: Placed, groups: PointGroups) -> None:
        ends: list[Point] = []
        for symbol in placed.sheet.symbols:
            reference, unit = self.drawn.instance(symbol, placed)
            drawn_pins = list(pins_in_place(symbol, unit))
            shown = shown_reference(symbol, reference, unit)
            same_name = Counter(pin.name for pin, _ in drawn_pins)
            ends += [at for _, at in drawn_pins]
            for pin, at in drawn_pins:
                node = self._node(placed, groups.group_at_end(at), at)
                if symbol.body.power:
                    self._power_pin(symbol, pin, node, placed)
                    continue
                if pin.hidden and pin.kind == "power_in":
                    self._global(pin.name, node, power=True)
                if reference.startswith("#"):
                    continue
                if pin.kind == "no_connect":
                    # KiCad never joins a pin of this type, whatever lies on it.
                    node = ("pin", placed.path, symbol.uuid, pin.number)
                self._pins.append((node, PinRef(reference, pin.number)))
                self.names.pin(
                    node, pin_name(symbol, reference, shown, pin, repeated=same_name[pin.name] > 1)
                )
            if not symbol.body.power and not reference.startswith("#"):
                self.drawn.add(symbol, reference, unit)
        self._say_bare_touches(placed, groups, ends)

    def _say_bare_touches(self, placed: Placed, groups: PointGroups, ends: list[Point]) -> None:
        bare = groups.bare_touches(ends)
        if bare and (placed.sheet.file, bare[0]) not in self._said:
            self._said.add((placed.sheet.file, bare[0]))
            self.findings.append(touches_without_junction(placed.sheet.file, bare))

    def _power_pin(self, symbol: Symbol, pin: BodyPin, node: tuple[object, ...], placed: Placed) -> None:
        if pin.kind != "power_in":
            return
        by_value = placed.sheet.version >= KICAD_7
        name = symbol.fields.get("Value", "") if by_value else pin.name
        name = name or pin.name or symbol.fields.get("Value", "")
        if symbol.body.power == "local":
            self._local(placed, name, node, power=True)
        else:
            self._global(name, node, power=True)

    def _global(self, name: str, node: tuple[object, ...], *, power: bool = False) -> None:
        name = slash_escaped(name)
        self._globals_here.add(name)
        self.joined.union(("global", name), node)
        self.names.label(node, name, "power" if power else "global", "")

    def _local(self, placed: Placed, name: str, node: tuple[object, ...], *, power: bool = False) -> None:
        name = slash_escaped(name)
        self._locals_here.add(name)
        self.joined.union(("local", placed.path, name), node)
        self.names.label(node, name, "local power" if power else "local", placed.shown)

    def _labels(self, placed: Placed, groups: PointGroups, buses: PointGroups) -> None:
        of_nets: list[Label] = []
        for label in placed.sheet.labels:
            if buses.group_at(label.at) is not None and bus_members(label.text, self.aliases):
                continue
            of_nets.append(label)
            node = self._node(placed, groups.group_at(label.at), label.at)
            if label.kind == "global":
                self._global(label.text, node)
            elif label.kind == "local":
                self._local(placed, label.text, node)
            else:
                # A hierarchical label is known on its own sheet like a local one.
                name = slash_escaped(label.text)
                self._locals_here.add(name)
                self.joined.union(("local", placed.path, name), node)
                self.joined.union(("port", placed.path, name), node)
                self.names.label(node, name, "hierarchical", placed.shown)
        self.net_labels.append(frozenset(of_nets))

    def _sheet_pins(self, placed: Placed, groups: PointGroups) -> None:
        for symbol in placed.sheet.sheets:
            child = f"{placed.path}/{symbol.uuid}"
            for pin in symbol.pins:
                members = bus_members(pin.name, self.aliases)
                if members:
                    continue
                name = slash_escaped(pin.name)
                node = self._node(placed, groups.group_at(pin.at), pin.at)
                # Only a hierarchical label takes it up; a local label of that name in the sheet does not.
                self.joined.union(node, ("port", child, name))
                self.names.label(node, name, "sheet pin", placed.shown)
            self._check_sheet_pins(placed, symbol)

    def _check_sheet_pins(self, placed: Placed, symbol: SheetSymbol) -> None:
        if not symbol.file:
            return
        below = self.files[(placed.sheet.path.parent / symbol.file).resolve()]
        self.findings += sheet_pins_without_label(symbol, below)

    def _buses(self, placed: Placed, buses: PointGroups) -> None:
        """Labels and sheet pins on one bus join their members.

        The strongest of them drives the bus: global label, local, hierarchical, sheet pin; among equals the first
        in the alphabet (found by trying with KiCad 9.0.2). Each of the others is paired with it.
        """
        on_bus: dict[object, list[_Carrier]] = {}
        for label in placed.sheet.labels:
            members = bus_members(label.text, self.aliases)
            self._n_members = counted(self._n_members + len(members), placed.sheet.file)
            if members:
                carrier = _Carrier(_CARRIERS.index(label.kind), label.text, placed.path, members)
                on_bus.setdefault(_bus_at(buses, label.at), []).append(carrier)
        for symbol in placed.sheet.sheets:
            child = f"{placed.path}/{symbol.uuid}"
            for pin in symbol.pins:
                members = bus_members(pin.name, self.aliases)
                if members:
                    carrier = _Carrier(_PIN_RANK, pin.name, child, members)
                    on_bus.setdefault(_bus_at(buses, pin.at), []).append(carrier)
        for carriers in on_bus.values():
            driver = min(carriers)
            for carrier in carriers:
                for x, y in _pair_members(driver.members, carrier.members):
                    self.joined.union(self._member(driver, x), self._member(carrier, y))
                self._bus_names(placed, carrier)
        self._pin_driven_buses(placed, list(on_bus.values()))

    def _bus_names(self, placed: Placed, carrier: _Carrier) -> None:
        """Members of a bus are known on the sheet by the names of its labels."""
        kind = _CARRIERS[carrier.rank]
        for member in carrier.members if kind != "sheet pin" else ():
            name = slash_escaped(member.full)
            node = self._member(carrier, member.full)
            self.names.label(node, member.full, kind, "" if kind == "global" else placed.shown)
            if kind == "global":
                self._globals_here.add(name)
            else:
                self._members_here.add(name)
                self.joined.union(node, ("member", placed.path, name))

    def _pin_driven_buses(self, placed: Placed, buses: list[list[_Carrier]]) -> None:
        """A bus without a label has the name of its sheet pin, unless another bus of the sheet has such members.

        Then KiCad 9.0.2 joins neither to what is called so on the sheet.
        """
        drivers = [min(carriers) for carriers in buses]
        named: Counter[str] = Counter()
        for driver, carriers in zip(drivers, buses, strict=True):
            named.update({m.full for c in carriers if c is driver or c.rank < _PIN_RANK for m in c.members})
        for driver in drivers:
            for member in driver.members if driver.rank == _PIN_RANK else ():
                if named[member.full] == 1:
                    name = slash_escaped(member.full)
                    here = ("global", name) if name in self._globals_here else ("local", placed.path, name)
                    self.joined.union(self._member(driver, member.full), here)

    def _member(self, carrier: _Carrier, name: str) -> tuple[object, ...]:
        kind, name = _CARRIERS[carrier.rank], slash_escaped(name)
        if kind == "global":
            return ("global", name)
        if kind == "local":
            return ("member", carrier.path, name)
        return ("port", carrier.path, carrier.text, name)

    def _nets(self) -> list[tuple[str, list[PinRef], Origin | None]]:
        """All nets with their names."""
        grouped: dict[object, list[PinRef]] = {}
        for node, pin in self._pins:
            grouped.setdefault(self.joined.find(node), []).append(pin)
        names = self.net_names
        return [(names[key], pins, None) for key, pins in grouped.items()]

    @cached_property
    def net_names(self) -> dict[Hashable, str]:
        """Key of a net that has pins -> its name."""
        keys = dict.fromkeys(self.joined.find(node) for node, _ in self._pins)
        return self.names.names(list(keys), self.joined)

    def net_at(self, placed: Placed, point: Point, group: object | None = None) -> str | None:
        """The net of what was met at a point of a placed sheet, or of a group of its wires; None without a pin."""
        node = ("point", placed.path, point) if group is None else ("wire", placed.path, group)
        return self.net_names.get(self.joined.find(node))


def _bus_at(buses: PointGroups, point: Point) -> object:
    """The bus at a point; a label or sheet pin that lies free is a bus of its own."""
    group = buses.group_at(point)
    return point if group is None else ("bus", group)


def _pair_members(a: tuple[BusMember, ...], b: tuple[BusMember, ...]) -> Iterator[tuple[str, str]]:
    """Which member of one bus label is which of another: vectors by index, groups by name."""
    if all(m.place is not None for m in (*a, *b)):
        by_index = {m.place: m.full for m in b}
        yield from ((m.full, by_index[m.place]) for m in a if m.place in by_index)
    else:
        by_name = {m.short: m.full for m in b}
        yield from ((m.full, by_name[m.short]) for m in a if m.short in by_name)
