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

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from tracer.errors import NetlistError
from tracer.findings import Finding, warning
from tracer.importers.kicad_bus import BusMember, bus_members
from tracer.importers.kicad_geometry import PointGroups, pins_in_place
from tracer.importers.kicad_names import NetNamer, PinName, slash_escaped
from tracer.importers.kicad_net import PLACE_FIELDS
from tracer.importers.kicad_tree import (
    KICAD_7,
    STEPS_PER_MM,
    BodyPin,
    Point,
    SheetFile,
    SheetSymbol,
    Symbol,
    load_sheet_file,
)
from tracer.importers.union import UnionFind
from tracer.netlist import Netlist, Origin, Part, Pin, PinRef, make_netlist

__all__ = ["read"]

#: More sheets in one another than any design has; a sheet that holds itself is caught before.
DEEPEST_SHEET = 50


@dataclass(frozen=True, slots=True)
class _Placed:
    """A sheet file as reached by one way: `path` of UUIDs, `shown` as people read it."""

    sheet: SheetFile
    path: str
    shown: str


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
    files: dict[Path, SheetFile] = {}
    root = _load(path, files)
    placed = list(_place(root, "/" + root.uuid, "/", files, (path.resolve(),)))
    reader = _Connector(root, files)
    for one in placed:
        reader.add_sheet(one)
    netlist = make_netlist(name, reader.parts(), reader.nets(), findings=reader.findings)
    return netlist, [(_shown_file(f, path), sheet.data) for f, sheet in files.items()]


def _shown_file(file: Path, root: Path) -> str:
    try:
        return file.relative_to(root.resolve().parent).as_posix()
    except ValueError:
        return file.name


def _load(path: Path, files: dict[Path, SheetFile]) -> SheetFile:
    key = path.resolve()
    if key not in files:
        files[key] = load_sheet_file(path)
    return files[key]


def _place(
    sheet: SheetFile, path: str, shown: str, files: dict[Path, SheetFile], above: tuple[Path, ...]
) -> Iterator[_Placed]:
    yield _Placed(sheet, path, shown)
    if len(above) > DEEPEST_SHEET:
        raise NetlistError(
            f"sheets are nested more than {DEEPEST_SHEET} deep", file=sheet.file, fix="check its sheets"
        )
    for symbol in sheet.sheets:
        if not symbol.file:
            continue
        file = sheet.path.parent / symbol.file
        if file.resolve() in above:
            raise NetlistError(
                f"the sheet {symbol.name!r} holds itself ({symbol.file})",
                file=sheet.file,
                line=symbol.origin.line,
                fix="take it out in the drawing program",
            )
        if not file.exists():
            raise NetlistError(
                f"the sheet {symbol.name!r} needs the file {symbol.file}, which is not there",
                file=str(sheet.path),
                line=symbol.origin.line,
                fix=f"put {symbol.file} beside it, or export a netlist where the whole design lies",
            )
        below = _load(file, files)
        yield from _place(
            below, f"{path}/{symbol.uuid}", f"{shown}{symbol.name}/", files, (*above, file.resolve())
        )


class _Connector:
    """Joins groups of points across sheets. Keys of the union: tuples that say what they are."""

    def __init__(self, root: SheetFile, files: dict[Path, SheetFile]) -> None:
        self.root, self.files = root, files
        self.aliases: dict[str, list[str]] = {}
        for sheet in files.values():
            self.aliases.update(sheet.aliases)
        self.joined = UnionFind()
        self.findings: list[Finding] = []
        self.names = NetNamer()
        self._pins: list[tuple[tuple[object, ...], PinRef]] = []
        self._parts: dict[str, Part] = {}
        self._instances: dict[tuple[str, int], str] = {}
        self._globals_here: set[str] = set()
        self._locals_here: set[str] = set()
        self._said: set[tuple[str, Point]] = set()

    def add_sheet(self, placed: _Placed) -> None:
        sheet = placed.sheet
        groups = PointGroups(sheet.wires, sheet.junctions)
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
        self._globals_here, self._locals_here = set(), set()

    def _node(self, placed: _Placed, group: object | None, point: Point) -> tuple[object, ...]:
        """The key of what meets at a point: the group of wires there, and other things on the same point."""
        here = ("point", placed.path, point)
        if group is not None:
            self.joined.union(here, ("wire", placed.path, group))
        return here

    def _symbols(self, placed: _Placed, groups: PointGroups) -> None:
        ends: list[Point] = []
        for symbol in placed.sheet.symbols:
            reference, unit = self._instance(symbol, placed)
            drawn_pins = list(pins_in_place(symbol, unit))
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
                self.names.pin(node, self._pin_name(symbol, reference, unit, pin))
            if not symbol.body.power and not reference.startswith("#"):
                self._add_part(symbol, reference, unit)
        self._say_bare_touches(placed, groups, ends)

    def _say_bare_touches(self, placed: _Placed, groups: PointGroups, ends: list[Point]) -> None:
        bare = groups.bare_touches(ends)
        if bare and (placed.sheet.file, bare[0]) not in self._said:
            self._said.add((placed.sheet.file, bare[0]))
            at = ", ".join(f"{x / STEPS_PER_MM:g},{y / STEPS_PER_MM:g} mm" for x, y in bare[:4])
            self.findings.append(
                warning(
                    "touch-without-junction",
                    f"{len(bare)} wire end(s) or pin(s) touch a wire without a junction in {placed.sheet.file} "
                    f"(at {at}{' ...' if len(bare) > 4 else ''}); they look joined but are not",
                    placed.sheet.file,
                )
            )

    def _pin_name(self, symbol: Symbol, reference: str, unit: int, pin: BodyPin) -> PinName:
        """What a net would be called after this pin."""
        shown = self._shown_pin(symbol, pin)
        letter = _section_letters(unit) if len({p.unit for p in symbol.body.pins if p.unit}) > 1 else ""
        repeated = sum(p.name == pin.name for p, _ in pins_in_place(symbol, unit)) > 1
        return PinName(reference + letter, shown.name, pin.number, PinRef(reference, pin.number), repeated)

    def _shown_pin(self, symbol: Symbol, pin: BodyPin) -> Pin:
        chosen = symbol.alternates.get(pin.number)
        for name, kind in pin.alternates if chosen else ():
            if name == chosen:
                return Pin(pin.number, name, kind)
        return Pin(pin.number, pin.name, pin.kind)

    def _instance(self, symbol: Symbol, placed: _Placed) -> tuple[str, int]:
        if symbol.instances:
            found = symbol.instances.get(placed.path)
            if found:
                return found
            # A sheet copied from another project keeps the instances of that one as well.
            ends = [
                v
                for k, v in symbol.instances.items()
                if k.rsplit("/", 1)[-1] == placed.path.rsplit("/", 1)[-1]
            ]
            if len(ends) == 1:
                return ends[0]
        path = placed.path[len(self.root.uuid) + 1 :]
        rooted = self.root.root_instances.get(f"{path}/{symbol.uuid}")
        return rooted or (symbol.fields.get("Reference", "?"), symbol.unit)

    def _power_pin(self, symbol: Symbol, pin: BodyPin, node: tuple[object, ...], placed: _Placed) -> None:
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

    def _local(self, placed: _Placed, name: str, node: tuple[object, ...], *, power: bool = False) -> None:
        name = slash_escaped(name)
        self._locals_here.add(name)
        self.joined.union(("local", placed.path, name), node)
        self.names.label(node, name, "local power" if power else "local", placed.shown)

    def _labels(self, placed: _Placed, groups: PointGroups, buses: PointGroups) -> None:
        for label in placed.sheet.labels:
            if buses.group_at(label.at) is not None and bus_members(label.text, self.aliases):
                continue
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
                self.names.label(node, name, "hierarchical", placed.shown)

    def _sheet_pins(self, placed: _Placed, groups: PointGroups) -> None:
        for symbol in placed.sheet.sheets:
            child = f"{placed.path}/{symbol.uuid}"
            for pin in symbol.pins:
                members = bus_members(pin.name, self.aliases)
                if members:
                    continue
                name = slash_escaped(pin.name)
                node = self._node(placed, groups.group_at(pin.at), pin.at)
                self.joined.union(node, ("local", child, name))
                self.names.label(node, name, "sheet pin", f"{placed.shown}{symbol.name}/")
            self._check_sheet_pins(placed, symbol)

    def _check_sheet_pins(self, placed: _Placed, symbol: SheetSymbol) -> None:
        if not symbol.file:
            return
        below = self.files[(placed.sheet.path.parent / symbol.file).resolve()]
        labels = {x.text for x in below.labels if x.kind == "hierarchical"}
        missing = sorted({p.name for p in symbol.pins} - labels)
        if missing:
            self.findings.append(
                warning(
                    "missing-sheet-pin",
                    f"sheet {symbol.name} has pins without a hierarchical label in {symbol.file}: "
                    f"{', '.join(missing[:6])}; they lead nowhere",
                    str(symbol.origin),
                )
            )

    def _buses(self, placed: _Placed, buses: PointGroups) -> None:
        """Labels and sheet pins on one bus join their members."""
        on_bus: dict[object, list[tuple[str, tuple[BusMember, ...]]]] = {}
        for label in placed.sheet.labels:
            members = bus_members(label.text, self.aliases)
            if members:
                scope = "" if label.kind == "global" else placed.path
                on_bus.setdefault(_bus_at(buses, label.at), []).append((scope, members))
        for symbol in placed.sheet.sheets:
            child = f"{placed.path}/{symbol.uuid}"
            for pin in symbol.pins:
                members = bus_members(pin.name, self.aliases)
                if members:
                    on_bus.setdefault(_bus_at(buses, pin.at), []).append((child, members))
        for carriers in on_bus.values():
            for scope, members in carriers:
                for member in members if scope in ("", placed.path) else ():
                    kind = "bus member" if scope else "global"
                    self.names.label(
                        self._member(scope, member.full), member.full, kind, placed.shown if scope else ""
                    )
            for (scope_a, a), (scope_b, b) in pairwise(carriers):
                for x, y in _pair_members(a, b):
                    self.joined.union(self._member(scope_a, x), self._member(scope_b, y))

    def _member(self, scope: str, name: str) -> tuple[object, ...]:
        name = slash_escaped(name)
        (self._locals_here if scope else self._globals_here).add(name)
        return ("local", scope, name) if scope else ("global", name)

    def _add_part(self, symbol: Symbol, reference: str, unit: int) -> None:
        fields = symbol.fields
        value = fields.get("Value", "")
        drawn = {p.number: self._shown_pin(symbol, p) for p in symbol.body.pins}
        part = Part(
            reference=reference,
            marking="" if value == "~" else value,
            symbol=symbol.library.rsplit(":", 1)[-1],
            library=symbol.library.rsplit(":", 1)[0] if ":" in symbol.library else "",
            footprint=fields.get("Footprint", ""),
            place=next((v for k, v in fields.items() if k.lower() in PLACE_FIELDS and v), ""),
            pins=tuple(drawn.values()),
            fitted=symbol.fitted,
            origin=symbol.origin,
        )
        twin = self._instances.get((reference, unit))
        if twin is not None and twin != symbol.uuid and reference in self._parts:
            first = self._parts[reference]
            self.findings.append(
                warning(
                    "duplicate-part",
                    f"two parts are called {reference} ({first.marking} and {part.marking}); "
                    "the first is kept, the pins of both are on it",
                    reference,
                    *(str(o) for o in (first.origin, part.origin) if o),
                )
            )
        self._instances.setdefault((reference, unit), symbol.uuid)
        self._parts.setdefault(reference, part)

    def parts(self) -> list[Part]:
        """All parts, each once."""
        return list(self._parts.values())

    def nets(self) -> list[tuple[str, list[PinRef], Origin | None]]:
        """All nets with their names."""
        grouped: dict[object, list[PinRef]] = {}
        for node, pin in self._pins:
            grouped.setdefault(self.joined.find(node), []).append(pin)
        names = self.names.names(list(grouped), self.joined)
        return [(names[key], pins, None) for key, pins in grouped.items()]


def _bus_at(buses: PointGroups, point: Point) -> object:
    """The bus at a point; a label or sheet pin that lies free is a bus of its own."""
    group = buses.group_at(point)
    return point if group is None else ("bus", group)


def _section_letters(unit: int) -> str:
    """1 -> A, 26 -> Z, 27 -> AA."""
    letters = ""
    while unit > 0:
        unit, rest = divmod(unit - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def _pair_members(a: tuple[BusMember, ...], b: tuple[BusMember, ...]) -> Iterator[tuple[str, str]]:
    """Which member of one bus label is which of another: vectors by index, groups by name."""
    if all(m.place is not None for m in (*a, *b)):
        by_index = {m.place: m.full for m in b}
        yield from ((m.full, by_index[m.place]) for m in a if m.place in by_index)
    else:
        by_name = {m.short: m.full for m in b}
        yield from ((m.full, by_name[m.short]) for m in a if m.short in by_name)
