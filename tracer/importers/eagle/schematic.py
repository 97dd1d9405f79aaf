"""Eagle schematics: nets by name over all sheets, pins by their gates, modules gone into.

- Nets of one name are one net on all sheets; buses only give names.
- A pin's legs come from the part's device (`library.py`). Supply symbols and
  frames, which have no package, are no parts.
- A pin of a drawn gate that no net names is joined to nothing; one of a gate that
  is not drawn is *not stated*. A supply pin (direction ``pwr``) of either is on
  the net of its name: so KiCad's importer reads it too (Debian source package
  kicad 6.0.11, ``addImplicitConnections``).
- A module's nets are its own, but for those with the name of one of its ports,
  which are joined with the net at the port of the instance. Its parts are called
  ``INSTANCE:R1``, or, with an offset of 100, ``R101`` (from memory; nothing
  outside shows it). A supply net in a module without a port is kept apart from
  the board's, and said.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, field

from tracer.base.errors import NetlistError
from tracer.base.findings import Finding, note, warning
from tracer.base.names import natural_key
from tracer.importers.eagle.library import Device, Libraries
from tracer.importers.eagle.parts import attributes, current_variant, place_of, populated, variant_of
from tracer.importers.text import Positions
from tracer.importers.xml_tree import Element
from tracer.netlist.board import Netlist, Origin, Part, Pin, PinRef, make_netlist
from tracer.netlist.net_names import name_of_alone
from tracer.netlist.union_find import UnionFind

__all__ = ["read_schematic"]

#: Modules in modules; the program itself allows one level (from memory).
DEEPEST_MODULE = 20
MOST_PARTS = 100_000

_NUMBERED = re.compile(r"(.*?)(\d{1,9})", re.DOTALL)


def read_schematic(schematic: Element, positions: Positions, name: str) -> Netlist:
    """The netlist of a ``<schematic>``.

    Raises
    ------
    NetlistError
        A pin reference names nothing, or a module holds itself.
    """
    reader = _Reader(schematic, positions)
    reader.scope(schematic, "", 0, {}, 0)
    return reader.netlist(name)


@dataclass
class _Scope:
    """The sheets of the board, or of one use of a module."""

    path: str
    parts: dict[str, tuple[str, Device | None, int]] = field(default_factory=dict)
    placed: set[tuple[str, str]] = field(default_factory=set)
    nets: dict[str, int] = field(default_factory=dict)
    connected: set[tuple[str, str, str]] = field(default_factory=set)
    supplies: set[str] = field(default_factory=set)
    instances: dict[str, dict[str, int]] = field(default_factory=dict)


@dataclass
class _Reader:
    schematic: Element
    positions: Positions
    joined: UnionFind = field(default_factory=UnionFind)
    parts: list[Part] = field(default_factory=list)
    names: dict[int, tuple[int, str, int]] = field(default_factory=dict)
    pins: dict[int, list[PinRef]] = field(default_factory=dict)
    alone: dict[PinRef, int] = field(default_factory=dict)
    hidden: list[str] = field(default_factory=list)
    without_number: Counter[str] = field(default_factory=Counter)
    not_in_libraries: dict[str, None] = field(default_factory=dict)
    twins: list[str] = field(default_factory=list)
    cut_off: list[str] = field(default_factory=list)
    open_modules: list[str] = field(default_factory=list)
    count: int = 0

    def __post_init__(self) -> None:
        self.libraries = Libraries(self.schematic)
        self.variant = current_variant(self.schematic)
        self.modules = {m.get("name"): m for m in self.schematic.all("modules", "module")}

    def scope(self, sheets: Element, path: str, offset: int, ports: dict[str, int], depth: int) -> None:
        """Read the sheets of the board or of a module; `ports` are the wires at its ports."""
        scope = _Scope(path)
        for part in sheets.all("parts", "part"):
            self._part(part, scope, offset)
        for instance in sheets.all("sheets", "sheet", "instances", "instance"):
            scope.placed.add((instance.get("part"), instance.get("gate")))
        for use in sheets.all("sheets", "sheet", "moduleinsts", "moduleinst"):
            self._use(use, scope, path, depth)
        for net in sheets.all("sheets", "sheet", "nets", "net"):
            self._net(net, scope, depth)
        self._unnamed_pins(scope, depth)
        for name, node in ports.items():
            if name in scope.nets:
                self.joined.union(scope.nets[name], node)
        if depth:
            self.cut_off += [path + name for name in sorted(scope.supplies - ports.keys())]

    def _node(self) -> int:
        self.count += 1
        return self.count

    def _net_node(self, name: str, scope: _Scope, depth: int, at: int) -> int:
        node = scope.nets.get(name)
        if node is None:
            node = scope.nets[name] = self._node()
            self.names[node] = (depth, scope.path.replace(":", "/") + name, at)
            self.pins[node] = []
        return node

    def _part(self, element: Element, scope: _Scope, offset: int) -> None:
        name = element.get("name")
        numbered = _NUMBERED.fullmatch(name)
        reference = scope.path + name
        if offset and numbered:
            reference = f"{numbered[1]}{int(numbered[2]) + offset}"
        device = self.libraries.device(element)
        scope.parts[name] = (reference, device, element.at)
        if device is None:
            self.not_in_libraries[reference] = None
        elif device.is_drawing:
            return
        facts = {**(device.attributes if device is not None else {}), **attributes(element)}
        chosen = variant_of(element, self.variant)
        value = (chosen.get("value") if chosen is not None else "") or element.get("value")
        pins: dict[str, Pin] = {}
        for _, _, pin in device.pins() if device is not None else ():
            pins.setdefault(pin.number, pin)
        self.parts.append(
            Part(
                reference,
                value or (device.value if device is not None else ""),
                symbol=device.symbol if device is not None else element.get("deviceset"),
                library=element.get("library"),
                footprint=device.package if device is not None else "",
                place=place_of(facts),
                pins=tuple(pins.values()),
                fitted=populated(element, self.variant),
                origin=Origin(self.positions.file, *self.positions.line_column(element.at)),
            )
        )
        if len(self.parts) > MOST_PARTS:
            raise self._too_large()

    def _too_large(self) -> NetlistError:
        return NetlistError(
            "its modules, put into one another, make more than a board can hold",
            file=self.positions.file,
            fix="give the schematic of the board alone",
        )

    def _use(self, use: Element, scope: _Scope, path: str, depth: int) -> None:
        name, module_name = use.get("name"), use.get("module")
        module = self.modules.get(module_name)
        if module is None:
            raise self.positions.error(
                f"there is no module {module_name!r} in the file", use.at, "save the schematic again"
            )
        if module_name in self.open_modules:
            raise self.positions.error(
                f"module {module_name!r} holds itself", use.at, "take it out of itself; nothing was read"
            )
        if depth >= DEEPEST_MODULE:
            raise self._too_large()
        offset = use.get("offset", "0")
        ports = {port.get("name"): self._node() for port in module.all("ports", "port")}
        scope.instances[name] = ports
        self.open_modules.append(module_name)
        inner = int(offset) if offset.isdecimal() and len(offset) < 9 else 0
        self.scope(module, f"{path}{name}:", inner, ports, depth + 1)
        self.open_modules.pop()

    def _net(self, net: Element, scope: _Scope, depth: int) -> None:
        node = self._net_node(net.get("name"), scope, depth, net.at)
        for reference in net.all("segment", "pinref"):
            part, gate, pin = (reference.get(a) for a in ("part", "gate", "pin"))
            if not part or not pin:
                raise self.positions.error(
                    "this pin reference names no part or no pin", reference.at, "save the schematic again"
                )
            scope.connected.add((part, gate, pin))
            self.pins[node] += self._legs(part, gate, pin, scope, net.get("name"))
        for reference in net.all("segment", "portref"):
            use, port = reference.get("moduleinst"), reference.get("port")
            if port not in scope.instances.get(use, {}):
                raise self.positions.error(
                    f"there is no port {port!r} of a module instance {use!r}",
                    reference.at,
                    "save the schematic again",
                )
            self.joined.union(node, scope.instances[use][port])

    def _legs(self, part: str, gate: str, pin: str, scope: _Scope, net: str) -> list[PinRef]:
        reference, device, _ = scope.parts.get(part, (scope.path + part, None, 0))
        known = device.gates.get(gate, {}).get(pin) if device is not None else None
        if device is not None and device.is_drawing:
            if known is not None:
                scope.supplies.add(net)
            return []
        if known is None or not known.pads:
            # Two gates may have pins of one name; without a pad only the gate tells them apart.
            twins = device is not None and sum(pin in pins for pins in device.gates.values()) > 1
            self.without_number[reference] += 1
            return [PinRef(reference, f"{gate}.{pin}" if twins else pin)]
        return [PinRef(reference, pad) for pad in known.pads]

    def _unnamed_pins(self, scope: _Scope, depth: int) -> None:
        """Pins that no net names: alone, on the net of their name, or not stated."""
        for name, (_, device, at) in scope.parts.items():
            if device is None or device.is_drawing:
                continue
            for gate, pins in device.gates.items():
                for pin in pins.values():
                    if (name, gate, pin.name) in scope.connected:
                        continue
                    legs = self._legs(name, gate, pin.name, scope, "")
                    if pin.direction == "pwr":
                        node = self._net_node(pin.name.split("@")[0] or pin.name, scope, depth, at)
                        self.pins[node] += legs
                        self.hidden += [str(leg) for leg in legs]
                    elif (name, gate) in scope.placed:
                        self.alone.update(dict.fromkeys(legs, at))

    def netlist(self, name: str) -> Netlist:
        """All of it."""
        groups: dict[object, list[int]] = {}
        for node in self.names:
            groups.setdefault(self.joined.find(node), []).append(node)
        nets: list[tuple[str, list[PinRef], Origin | None]] = []
        taken: set[str] = set()
        used: set[PinRef] = set()
        named = [
            (min((self.names[node] for node in nodes), key=lambda n: (n[0], natural_key(n[1]), n[2])), nodes)
            for nodes in groups.values()
        ]
        # Those nearest the board first: they keep their names.
        for (_, net_name, at), nodes in sorted(named, key=lambda found: found[0][0]):
            if net_name in taken:
                self.twins.append(net_name)
            while net_name in taken:
                net_name += "_"
            taken.add(net_name)
            pins = [pin for node in nodes for pin in self.pins[node]]
            used.update(pins)
            nets.append((net_name, pins, Origin(self.positions.file, *self.positions.line_column(at))))
        for pin, at in self.alone.items():
            if pin not in used:
                own = name_of_alone(pin)
                while own in taken:
                    own += "_"
                nets.append((own, [pin], Origin(self.positions.file, *self.positions.line_column(at))))
        return make_netlist(name, self.parts, nets, findings=self._said())

    def _said(self) -> list[Finding]:
        found = []
        if self.without_number:
            names = ", ".join(list(self.without_number)[:8])
            text = f"pins without a leg's number carry their names instead: on {names}"
            found.append(note("undeclared-pin", text, *list(self.without_number)[:8]))
        if self.not_in_libraries:
            names = ", ".join(list(self.not_in_libraries)[:8])
            text = f"the file does not hold the devices of {names}; what their pins are is not known"
            found.append(warning("undeclared-pin", text, *list(self.not_in_libraries)[:8]))
        if self.hidden:
            names = ", ".join(self.hidden[:8]) + (" ..." if len(self.hidden) > 8 else "")
            text = f"{len(self.hidden)} supply pin(s) without a wire were put on the nets of their names: {names}"
            found.append(note("hidden-supply", text, *self.hidden[:8]))
        if self.twins:
            text = f"several nets would be called {', '.join(self.twins[:8])}; they were kept apart"
            found.append(warning("name-twins", text, *self.twins[:8]))
        if self.cut_off:
            text = (
                f"supply nets inside modules were kept apart from the board's: {', '.join(self.cut_off[:8])}"
            )
            found.append(warning("module-supply", text, *self.cut_off[:8]))
        return found
