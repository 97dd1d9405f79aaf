"""EDIF 2 0 0 netlists (EIA-548), netlist view.

The walk starts at the cell that ``design`` names. An instance of a cell with
contents is a sheet and is gone into; any other is a part: its reference is the
designator, else the name, with the names of the sheets before it (``CPU/U4``);
its symbol is the cell; its marking a property (``Value``, ``Comment`` ..).
A pin's number is the designator of its port, else the port's name. A net's
name is the one nearest the top, again with its sheets. The board's own ports
stand as the pins of one part, a connector called ``PORTS``.

A pin that no net names is *not stated*. `cells.py` and `names.py` read names and cells.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from tracer.base.findings import Finding, note, warning
from tracer.base.names import natural_key
from tracer.importers.edif.cells import (
    Cell,
    Edif,
    Port,
    View,
    cell_reference,
    read_cells,
    top_cell,
)
from tracer.importers.edif.names import Names, decoded, defined, designator, properties, referred
from tracer.importers.edif.sheet import MOST_PARTS, Placed, Sheet, Wires
from tracer.importers.edif.twins import Instances
from tracer.importers.kicad.netlist import PLACE_FIELDS
from tracer.importers.sexpr import Expr
from tracer.importers.text import Positions
from tracer.netlist.board import Netlist, Origin, Part, Pin, PinRef, make_netlist
from tracer.netlist.net_names import is_no_connect, name_of_alone

__all__ = ["parse"]

#: Names of the properties, in lower case, that programs put the marking and the land pattern in; the first
#: that is there counts. Common practice, no source.
_MARKING = ("value", "part_value", "comment", "device")
_FOOTPRINT = ("footprint", "pcb_footprint", "pcb footprint", "package")

#: A part with so many pins is one of buses, which a word each declares; and pins of all such parts.
WIDE_PART = 400
MOST_PINS_OF_WIDE = 200_000
#: Sheets in sheets; the deepest real file met had 3.
DEEPEST_SHEET = 60

_CONTENTS = frozenset(
    {"instance", "net", "netbundle", "comment", "property", "userdata", "status", "portimplementation"}
)


def parse(text: str, file: str, name: str) -> Netlist:
    """Read the text of an EDIF netlist.

    Raises
    ------
    NetlistError
        It is no EDIF 2 0 0, its top cell cannot be told, or a net names what is not there.
    """
    positions = Positions(text, file)
    edif = read_cells(text, positions)
    top = top_cell(edif, positions)
    view = top.view()
    if view is None or view.contents is None:
        raise positions.error(
            f"cell {top.name.text}, which is the design, has no contents", top.at, "export the netlist again"
        )
    return _Flattener(edif, positions, Wires(positions)).board(top, view, name)


@dataclass
class _Flattener:
    edif: Edif
    positions: Positions
    wires: Wires
    parts: list[Part] = field(default_factory=list)
    instances: Instances = field(default_factory=Instances)
    sheets_called: set[str] = field(default_factory=set)
    open_cells: list[int] = field(default_factory=list)
    own_ports: str = "PORTS"
    n_pins: int = 0
    n_parts: dict[int, int] = field(default_factory=dict)
    #: Pins of parts whose instances say nothing of legs, by the ports of their cell, which live as long as the cells.
    plain_pins: dict[int, tuple[Pin, ...]] = field(default_factory=dict)

    def board(self, top: Cell, view: View, name: str) -> Netlist:
        """The netlist of the design."""
        outside: dict[tuple[str, int], int] = {}
        pins: dict[int, list[str]] = {}
        for port_id, port in view.ports.exact.items():
            for place, bit in enumerate(port.bits):
                node = outside[port_id, place] = self.wires.node()
                pins[node] = [port.number or bit, bit]
        assert view.contents is not None
        if self._count_parts(top, view, 0) > MOST_PARTS:
            # Said before they are made: that takes its time.
            raise self.wires.too_large()
        self.sheet(top, view, "", outside, 0)
        taken = {part.reference for part in self.parts}
        while self.own_ports in taken:
            self.own_ports += "_"
        if pins:
            at = Origin(self.positions.file, *self.positions.line_column(top.at))
            own = tuple(Pin(number, bit, "passive") for number, bit in pins.values())
            self.parts.append(Part(self.own_ports, top.name.text, symbol="Connector", pins=own, origin=at))
        nets = self._nets({node: PinRef(self.own_ports, number) for node, (number, _) in pins.items()})
        parts = [
            part
            if (name_now := self.instances.part(part.reference)) == part.reference
            else replace(part, reference=name_now)
            for part in self.parts
        ]
        return make_netlist(name, parts, nets, findings=[*self.wires.findings, *self._said()])

    def sheet(
        self, cell: Cell, view: View, path: str, outside: dict[tuple[str, int], int], depth: int
    ) -> None:
        """Place all that a cell holds; `outside` are the nodes of its ports."""
        contents = view.contents
        assert contents is not None
        if id(cell) in self.open_cells:
            raise self.positions.error(
                f"cell {cell.name.text} holds itself",
                cell.at,
                "export the netlist again; nothing was read from it",
            )
        if view.kind != "NETLIST":
            raise self.positions.error(
                f"cell {cell.name.text} is drawn as a {view.kind.lower()} view; a netlist view is read",
                cell.at,
                "export the design as an EDIF netlist",
            )
        if depth > DEEPEST_SHEET:
            raise self.wires.too_large()
        self.open_cells.append(id(cell))
        placed: Names[Placed] = Names()
        for item in contents:
            if isinstance(item, Expr) and item.head == "instance":
                self._instance(item, cell, path, placed)
            elif isinstance(item, Expr) and item.head not in _CONTENTS:
                self.wires.skipped[item.head] += 1
        inside = Sheet(self.wires, view.ports, placed, path, outside, depth)
        for item in contents:
            if isinstance(item, Expr) and item.head == "net":
                inside.net(item)
            elif isinstance(item, Expr) and item.head == "netbundle":
                listed = item.first("listofnets")
                for net in listed.all("net") if listed is not None else ():
                    inside.net(net)
        for instance in placed.exact.values():
            if instance.nodes is not None and instance.view is not None and instance.cell is not None:
                self.sheet(instance.cell, instance.view, f"{instance.reference}/", instance.nodes, depth + 1)
        self.open_cells.pop()

    def _count_parts(self, cell: Cell, view: View, depth: int) -> int:
        """Parts that a cell and those in it come to; one that holds itself is found later."""
        known = self.n_parts.get(id(view))
        if known is None:
            known = self.n_parts[id(view)] = 0
            for item in (
                view.contents.all("instance") if view.contents is not None and depth <= DEEPEST_SHEET else ()
            ):
                found = cell_reference(item)
                inner = self.edif.find(found[0], cell.library) if found is not None else None
                below = inner.view(found[1]) if inner is not None and found is not None else None
                is_sheet = below is not None and below.contents is not None
                known += self._count_parts(inner, below, depth + 1) if is_sheet and inner and below else 1
            self.n_parts[id(view)] = known
        return known

    def _instance(self, item: Expr, home: Cell, path: str, placed: Names[Placed]) -> None:
        name = defined(item[1] if len(item) > 1 else None, self.positions, item.at)
        found = cell_reference(item)
        cell = self.edif.find(found[0], home.library) if found is not None else None
        view = cell.view(found[1]) if cell is not None and found is not None else None
        ports: Names[Port] = view.ports if view is not None else Names()
        facts = {**(cell.properties if cell is not None else {}), **properties(item)}
        for bit in name.bits or (name.text,):
            key = name.id if name.bits is None else f"{name.id} {bit}"
            shown = path + ((designator(item) if name.bits is None else "") or bit)
            if view is not None and view.contents is not None and _holds_something(view.contents):
                nodes = {
                    (i, b): self.wires.node()
                    for i, port in ports.exact.items()
                    for b in range(len(port.bits))
                }
                entry = Placed(self._sheet_name(shown, key), name, ports, {}, True, view, cell, nodes)
            else:
                own = self.instances.add(shown, key.removeprefix("&"))
                entry = Placed(own, name, ports, self._legs(item, ports), view is not None)
                self._part(entry, cell, facts, item, found[0] if found else None)
            if not placed.add(key, entry):
                text = f"two instances have the identifier {key}; nets that name it mean the first, {shown}"
                self.wires.findings.append(warning("duplicate-part", text, shown))
        if len(self.parts) > MOST_PARTS:
            raise self.wires.too_large()

    def _sheet_name(self, shown: str, key: str) -> str:
        """Two sheets of one designator are two sheets, and so are the parts in them."""
        name = shown
        if name in self.sheets_called:
            name = f"{shown}_{key.removeprefix('&')}"
        while name in self.sheets_called:
            name += "_"
        self.sheets_called.add(name)
        return name

    def _legs(self, item: Expr, ports: Names[Port]) -> dict[str, str]:
        """Port identifier -> leg, from ``(portInstance PORT (designator "5"))``."""
        found: dict[str, str] = {}
        for entry in item.all("portinstance"):
            key, indices = referred(entry[1] if len(entry) > 1 else None, self.positions, entry.at)
            port = ports.get(key)
            if indices is None and (port is None or port.name.bits is None):
                found[port.name.id if port is not None else key] = designator(entry)
        return found

    def _part(
        self, entry: Placed, cell: Cell | None, facts: dict[str, str], item: Expr, wanted: Expr | None
    ) -> None:
        plain = entry.known and not entry.numbers
        pins = self.plain_pins.get(id(entry.ports)) if plain else None
        if pins is None:
            pins = _pins(entry)
            if plain:
                self.plain_pins[id(entry.ports)] = pins
        self.n_pins += len(pins) if len(pins) > WIDE_PART else 0
        if self.n_pins > MOST_PINS_OF_WIDE:
            raise self.wires.too_large()
        symbol = (
            cell.name.text
            if cell is not None
            else decoded(wanted.words()[0])
            if wanted and wanted.words()
            else ""
        )
        self.parts.append(
            Part(
                entry.reference,
                next((facts[key] for key in _MARKING if facts.get(key)), ""),
                symbol=symbol,
                library=cell.library if cell is not None else "",
                footprint=next((facts[key] for key in _FOOTPRINT if facts.get(key)), ""),
                place=next((v for k, v in facts.items() if k in PLACE_FIELDS and v), ""),
                pins=pins,
                origin=Origin(self.positions.file, *self.positions.line_column(item.at)),
            )
        )

    def _nets(self, own: dict[int, PinRef]) -> list[tuple[str, list[PinRef], Origin | None]]:
        groups: dict[object, tuple[list[int], dict[PinRef, None]]] = {}
        for node in self.wires.names:
            groups.setdefault(self.wires.joined.find(node), ([], {}))[0].append(node)
        for node, pin in own.items():
            if (root := self.wires.joined.find(node)) in groups:
                groups[root][1][pin] = None
        for node, pins in self.wires.pins.items():
            groups[self.wires.joined.find(node)][1].update(pins)
        self.instances.settle(
            self.parts, ((root, pins) for root, (_, pins) in groups.items()), self.own_ports
        )
        nets: list[tuple[str, list[PinRef], Origin | None]] = []
        taken: set[str] = set()
        twins: dict[str, None] = {}
        lonely = 0
        for nodes, own_pins in groups.values():
            pins = dict.fromkeys(map(self.instances.pin, own_pins))
            candidates = [self.wires.names[node] for node in nodes]
            if len(candidates) > 1:
                candidates.sort(key=lambda n: (n[0], natural_key(n[1]), n[3]))
            _, name, identifier, at = candidates[0]
            origin = Origin(self.positions.file, *self.positions.line_column(at))
            if is_no_connect(name):
                lonely += len(pins)
                nets += [(name_of_alone(pin), [pin], origin) for pin in pins]
                continue
            unique = name
            if name in taken:
                twins[name] = None
                unique = f"{name} ({identifier})"
                while unique in taken:
                    unique += "_"
            taken.add(unique)
            nets.append((unique, list(pins), origin))
        if lonely > 1:
            text = f"{lonely} pins are marked as not connected; each is on a net of its own"
            self.wires.findings.append(note("no-connect-joined", text))
        if twins:
            shown = ", ".join(list(twins)[:8])
            text = f"several nets are called {shown}; they were kept apart by their identifiers"
            self.wires.findings.append(warning("name-twins", text, *twins))
        return nets

    def _said(self) -> list[Finding]:
        found = list(self.instances.findings())
        if self.wires.undeclared:
            pins = [str(self.instances.pin(pin)) for pin in list(self.wires.undeclared)[:8]]
            names = ", ".join(pins)
            text = (
                f"{self.wires.undeclared.total()} pin(s) stand in nets but not in their parts' cells: {names}"
            )
            found.append(note("undeclared-pin", text, *pins))
        if self.wires.skipped:
            names = ", ".join(f"{n} x {c}" for c, n in sorted(self.wires.skipped.items()))
            text = f"clauses that this reader does not know were skipped: {names}"
            found.append(note("skipped-clause", text, self.positions.file))
        return found


def _pins(entry: Placed) -> tuple[Pin, ...]:
    """The pins that a part's cell declares."""
    pins: dict[str, Pin] = {}
    for port_id, port in entry.ports.exact.items():
        for bit in port.bits:
            number = entry.numbers.get(port_id, "") or port.number or bit
            name = bit if bit != number or not bit.isdecimal() else ""
            pins.setdefault(number, Pin(number, name, port.kind))
    return tuple(pins.values())


def _holds_something(contents: Expr) -> bool:
    return any(
        isinstance(item, Expr) and item.head in ("instance", "net", "netbundle", "page") for item in contents
    )
