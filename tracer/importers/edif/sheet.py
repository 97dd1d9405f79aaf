"""The nets of one EDIF cell: which wires its ``joined`` clauses join.

A net or a port may be a bus; then the wires of a bus net are joined with the
bits of its ports one by one, in order. Sizes that differ are an error, as any
choice could join two nets that are none of one another's.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from tracer.base.errors import NetlistError
from tracer.base.findings import Finding, warning
from tracer.importers.edif.cells import Cell, Port, View
from tracer.importers.edif.names import Name, Names, decoded, defined, referred
from tracer.importers.sexpr import Expr
from tracer.importers.text import Positions
from tracer.netlist.board import PinRef
from tracer.netlist.union_find import UnionFind

__all__ = ["MOST_PARTS", "Placed", "Sheet", "Wires"]

#: More parts than any board has; sheets in sheets can stand for any number.
MOST_PARTS = 100_000

#: What may stand in a net and joins nothing.
_SILENT = frozenset({"property", "comment", "userdata", "status", "criticality", "netdelay"})

#: One end of a net: a wire of this or another sheet, or the pin of a part.
_End = int | PinRef


@dataclass(frozen=True, slots=True)
class Placed:
    """An instance: a part (`nodes` is None) or a sheet, whose port bits are nodes.

    `numbers` are the legs that ``portInstance`` clauses tell; `known` says that its cell was found.
    """

    reference: str
    name: Name
    ports: Names[Port]
    numbers: dict[str, str]
    known: bool
    view: View | None = None
    cell: Cell | None = None
    nodes: dict[tuple[str, int], int] | None = None


@dataclass
class Wires:
    """All wires of the board, and what they join."""

    positions: Positions
    joined: UnionFind = field(default_factory=UnionFind)
    #: Wire of a net -> depth of its sheet, name, identifier, place in the text.
    names: dict[int, tuple[int, str, str, int]] = field(default_factory=dict)
    pins: dict[int, dict[PinRef, None]] = field(default_factory=dict)
    undeclared: Counter[PinRef] = field(default_factory=Counter)
    skipped: Counter[str] = field(default_factory=Counter)
    findings: list[Finding] = field(default_factory=list)
    #: Depth of a sheet, wire of a port -> the first wire of a net that was tied to it there.
    at_ports: dict[tuple[int, int], int] = field(default_factory=dict)
    count: int = 0

    def node(self) -> int:
        """A new piece of wire.

        Raises
        ------
        NetlistError
            There are more than a board can have.
        """
        self.count += 1
        if self.count > MOST_PARTS * 20:
            raise self.too_large()
        return self.count

    def too_large(self) -> NetlistError:
        """The error for sheets in sheets without end."""
        return NetlistError(
            "its cells, put into one another, make more than a board can hold",
            file=self.positions.file,
            fix="give the netlist of the board alone",
        )


@dataclass
class Sheet:
    """One cell with contents, as it is used at one place.

    Attributes
    ----------
    ports : Names of Port
        Its own.
    outside : dict
        Port identifier and bit -> the wire outside.
    placed : Names of Placed
        What it holds; a member of an array of instances under ``identifier member``.
    path : str
        Names of the sheets before it, each with a slash.
    """

    wires: Wires
    ports: Names[Port]
    placed: Names[Placed]
    path: str
    outside: dict[tuple[str, int], int]
    depth: int
    #: Identifier and name -> wires.
    nets: dict[tuple[str, str], list[int]] = field(default_factory=dict)
    #: Identifier -> the name that it stood for first.
    first_names: dict[str, str] = field(default_factory=dict)

    def net(self, item: Expr) -> None:
        """One ``(net NAME (joined ..))``.

        Raises
        ------
        NetlistError
            It names a port that is not there, or joins buses of different sizes.
        """
        name = defined(item[1] if len(item) > 1 else None, self.wires.positions, item.at)
        key = name.id, name.text
        nodes = self.nets.get(key)
        if nodes is None:
            nodes = self.nets[key] = []
            first = self.first_names.setdefault(name.id, name.text)
            if first != name.text:
                # A slip of whoever wrote it; nothing refers to a net, so that both can be what they are called.
                names = [self.path + first, self.path + name.text]
                text = f"nets {' and '.join(names)} have one identifier, {name.id}; they were kept apart"
                self.wires.findings.append(warning("name-twins", text, *names))
            for bit in name.bits or (name.text,):
                node = self.wires.node()
                nodes.append(node)
                self.wires.names[node] = (self.depth, self.path + bit, name.id, item.at)
                self.wires.pins[node] = {}
        else:
            text = f"net {self.path}{name.text} stands in the file twice; its pins were put together"
            self.wires.findings.append(warning("duplicate-net", text, self.path + name.text))
        self._join(item, nodes, name)

    def _join(self, item: Expr, nodes: list[int], name: Name) -> None:
        for clause in item:
            if not isinstance(clause, Expr) or clause is item[1]:
                continue
            if clause.head == "joined":
                for end in clause:
                    if isinstance(end, Expr):
                        self._connect(end, nodes, name)
            elif clause.head in ("net", "subnet"):
                # Part of this net, under a name of its own that is not shown.
                self._join(clause, nodes, name)
            elif clause.head not in _SILENT:
                self.wires.skipped[f"{clause.head} in a net"] += 1

    def _connect(self, end: Expr, nodes: list[int], name: Name) -> None:
        pin = self._plain_pin(end)
        if pin is not None and len(nodes) == 1:
            self.wires.pins[nodes[0]][pin] = None
            return
        ends = self._ends(end)
        if len(ends) != len(nodes):
            raise self.wires.positions.error(
                f"net {name.text} has {len(nodes)} wire(s), this port {len(ends)}",
                end.at,
                "export the netlist again with each wire by itself",
            )
        for node, other in zip(nodes, ends, strict=True):
            if isinstance(other, PinRef):
                self.wires.pins[node][other] = None
            else:
                self._tie(node, other)

    def _plain_pin(self, end: Expr) -> PinRef | None:
        """What `_ends` gives for ``(portRef PORT (instanceRef PART))``, which nearly all are, in half the time."""
        if len(end) != 3 or end[0] != "portref":
            return None
        key, reference = end[1], end[2]
        if type(key) is not str or type(reference) is not Expr or len(reference) != 2:
            return None
        instance = reference[1]
        if reference[0] != "instanceref" or type(instance) is not str:
            return None
        found = self.placed.exact.get(instance)
        port = found.ports.exact.get(key) if found is not None else None
        if found is None or found.nodes is not None or port is None or port.name.bits is not None:
            return None
        return PinRef(found.reference, found.numbers.get(port.name.id) or port.number or port.name.text)

    def _tie(self, node: int, port: int) -> None:
        """A net and a port are one wire; a second net at the port is joined with the first by it, and said."""
        first = self.wires.at_ports.setdefault((self.depth, port), node)
        if first != node:
            names = [self.wires.names[n][1] for n in (first, node)]
            text = f"one port is on nets {' and '.join(names)}; they are one net by it"
            self.wires.findings.append(warning("nets-at-port", text, *names))
        self.wires.joined.union(node, port)

    def _ends(self, end: Expr) -> list[_End]:
        """The bits of a ``portRef``, or of a ``portList`` one after another."""
        if end.head == "portlist":
            listed: list[_End] = []
            for item in end:
                if isinstance(item, Expr):
                    listed += self._ends(item)
            return listed
        if end.head != "portref" or end.first("portref") is not None:
            raise self.wires.positions.error(
                f"({end.head} ..) of this form in a net is not read",
                end.at,
                "export the netlist without bundles",
            )
        key, indices = referred(end[1] if len(end) > 1 else None, self.wires.positions, end.at)
        reference = end.first("instanceref")
        if reference is None:
            return self._own(key, indices, end)
        instance, found = self._instance(reference)
        if found is None or found.nodes is None:
            return list(self._pins(instance, found, key, indices, end))
        port, bits = self._port(found.ports, key, indices, end, found.reference)
        return [found.nodes[port.name.id, bit] for bit in bits]

    def _own(self, key: str, indices: tuple[int, ...] | None, end: Expr) -> list[_End]:
        port, bits = self._port(self.ports, key, indices, end, "the cell itself")
        return [self.outside[port.name.id, bit] for bit in bits]

    def _instance(self, reference: Expr) -> tuple[str, Placed | None]:
        """Reference and what stands there; an instance that is not in the file keeps its name."""
        positions = self.wires.positions
        if reference.first("instanceref") is not None:
            raise positions.error(
                "this net reaches into another sheet past its ports, which is not read",
                reference.at,
                "export the netlist again, flat or with ports",
            )
        key, indices = referred(reference[1] if len(reference) > 1 else None, positions, reference.at)
        if indices is None:
            found = self.placed.get(key)
            return (found.reference if found else self.path + key.removeprefix("&")), found
        members = [p for p in self.placed.exact.values() if p.name.bits and p.name.id.lower() == key.lower()]
        place = members[0].name.place(indices) if members else None
        if place is None:
            raise positions.error(
                f"there is no member {' '.join(map(str, indices))} of an array of instances {key}",
                reference.at,
                "export the netlist again",
            )
        return members[place].reference, members[place]

    def _port(
        self, ports: Names[Port], key: str, indices: tuple[int, ...] | None, end: Expr, whose: str
    ) -> tuple[Port, list[int]]:
        port = ports.get(key)
        if port is None:
            raise self.wires.positions.error(
                f"{whose} has no port {decoded(key)}", end.at, "export the netlist again"
            )
        return port, self._bits(port, indices, end)

    def _bits(self, port: Port, indices: tuple[int, ...] | None, end: Expr) -> list[int]:
        if indices is None:
            return list(range(len(port.bits)))
        place = port.name.place(indices)
        if place is None:
            raise self.wires.positions.error(
                f"port {port.name.text} has no member {' '.join(map(str, indices))}",
                end.at,
                "export the netlist again",
            )
        return [place]

    def _pins(
        self, instance: str, found: Placed | None, key: str, indices: tuple[int, ...] | None, end: Expr
    ) -> list[PinRef]:
        """Pins of a part; one that its cell does not declare is kept under the name that the net uses."""
        port = found.ports.get(key) if found is not None else None
        if port is not None and found is not None and port.name.bits is None and indices is None:
            return [PinRef(instance, found.numbers.get(port.name.id) or port.number or port.name.text)]
        if port is None:
            number = key.removeprefix("&") + "".join(f"[{i}]" for i in indices or ())
            if found is not None and found.known:
                self.wires.undeclared[PinRef(instance, number)] += 1
            return [PinRef(instance, (found.numbers.get(key, "") if found and not indices else "") or number)]
        return [PinRef(instance, port.bits[bit]) for bit in self._bits(port, indices, end)]
