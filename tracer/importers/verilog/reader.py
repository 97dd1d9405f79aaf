"""Structural Verilog (IEEE 1364) -> netlist: instances of parts, and the wires between their ports.

The walk starts at the module that no other one places. An instance of a module
with something in it is a sheet and is gone into; any other is a part: its
reference is the instance's name with those of the sheets before it (``CPU/U4``),
its symbol the module's. A pin's number is the port's name where that is a
number (``.\\11 (n)``) or all ports of the kind are called ``p1``, ``pin2``
or ``_3``; else the port's name stands for the number. A wire's name is the one
nearest the top. The board's own ports stand as the pins of one part, a
connector called ``PORTS``.

What cannot be told is said or refused: ports told by order of a kind that the
file does not declare, sizes that differ, and everything that computes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from tracer.base.errors import NetlistError
from tracer.base.findings import Finding, warning
from tracer.importers.collector import Collector
from tracer.importers.pin_order import by_order, order_finding
from tracer.importers.text import Positions
from tracer.importers.verilog.modules import (
    GATES,
    Bit,
    Instance,
    Item,
    Module,
    Source,
    bits_of,
    leg_numbers,
    shown,
    top_module,
    width_of,
)
from tracer.importers.verilog.text import read_source
from tracer.importers.verilog.wires import DEEPEST_SHEET, MOST_WIRES, Wires
from tracer.netlist.board import Netlist, Pin, PinRef

__all__ = ["parse"]

#: Parts in all: a few lines of text can stand for more than any board has.
MOST_PARTS = 100_000


def parse(text: str, file: str, name: str) -> Netlist:
    """Read the text of a structural Verilog file.

    Raises
    ------
    NetlistError
        It computes, a statement is not whole, sizes differ, or no one module can be the board.
    """
    positions = Positions(text, file)
    source = read_source(positions)
    return _Board(source, positions).read(top_module(source, positions), name)


@dataclass
class _Board:
    source: Source
    positions: Positions
    open_modules: list[str] = field(default_factory=list)
    references: set[str] = field(default_factory=set)
    ordered: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    findings: list[Finding] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.collector = Collector(self.positions.file)
        self.wires = Wires(self.positions)
        self.numbering = leg_numbers(self.source)

    def read(self, top: Module, name: str) -> Netlist:
        """The netlist of the board."""
        own: dict[Bit, int] = {}
        for port in top.ports:
            for bit in top.wires(port):
                own[bit] = self.wires.node(shown(bit), -1, top.at)
        self.sheet(top, "", dict(own), 0)
        if own:
            reference = "PORTS"
            while reference in self.references:
                reference += "_"
            self.collector.part(reference, self._line(top.at), top.name, symbol="Connector")
            for bit, node in own.items():
                self.collector.declare(reference, Pin(shown(bit), shown(bit), "passive"))
                self.wires.pins[node].append(PinRef(reference, shown(bit)))
        self._say_nets()
        for word, count in self.source.skipped.items():
            for _ in range(count):
                self.collector.skip(word)
        if self.ordered:
            self.findings.append(order_finding(self.ordered, "name the ports, for example .\\11 (NET)"))
        self.collector.findings += self.findings
        return self.collector.netlist(name)

    def _say_nets(self) -> None:
        nets, twins = self.wires.nets()
        for net, pins, at in nets:
            self.collector.net(net, self._line(at)).extend(pins)
        if twins:
            text = f"several wires are called {', '.join(twins[:8])}; they were kept apart"
            self.findings.append(warning("name-twins", text, *twins))

    def _line(self, at: int) -> int:
        return self.positions.line_column(at)[0]

    def sheet(self, module: Module, path: str, nodes: dict[Bit, int], depth: int) -> None:
        """Place all that a module holds; `nodes` are those of its ports."""
        if module.name in self.open_modules:
            raise self.positions.error(
                f"module {module.name} holds itself, by itself or through another",
                module.at,
                f"take out the instance that places {module.name} inside it",
            )
        if depth > DEEPEST_SHEET:
            raise self._too_large(module.at)
        self.open_modules.append(module.name)

        def node_of(bit: Bit) -> int | None:
            if bit is None:
                return None
            if isinstance(bit, tuple) and not bit[0]:
                return self.wires.constant(bit[1])
            if bit not in nodes:
                nodes[bit] = self.wires.node(path + shown(bit), depth, module.at)
            return nodes[bit]

        wide = sum(abs(span[0] - span[1]) + 1 if span else 1 for span in module.ranges.values())
        if wide > MOST_WIRES:
            self.wires.count(wide, module.at)
        for name in module.ranges:
            for bit in module.wires(name):
                node_of(bit)
        for left, right, at in module.aliases:
            self.wires.count(width_of(module, left), at)
            for a, b in self._paired(bits_of(module, left), right, module, at, "this assign"):
                one, two = node_of(a), node_of(b)
                if one is not None and two is not None:
                    self.wires.joined.union(one, two)
        for instance in module.instances:
            kind = self.source.modules.get(instance.type)
            if kind is not None and not kind.is_empty:
                self._go_in(instance, kind, module, path, node_of, depth)
            else:
                self._part(instance, kind, module, path, node_of)
        self.open_modules.pop()

    def _too_large(self, at: int) -> NetlistError:
        return self.positions.error(
            "the modules, put into one another, hold more parts than any board has",
            at,
            "give the netlist of one board; a module that places many copies of another multiplies",
        )

    def _paired(
        self, left: list[Bit], right: list[Item], module: Module, at: int, what: str
    ) -> Iterable[tuple[Bit, Bit]]:
        """Bits one by one; a lone constant is made as wide as is needed."""
        self.wires.count(width_of(module, right) + len(left), at)
        bits = bits_of(module, right)
        if len(right) == 1 and right[0].bits and len(bits) != len(left):
            zeros: list[Bit] = [("", 0)] * (len(left) - len(bits))
            bits = zeros + bits[max(0, len(bits) - len(left)) :]
        if len(bits) != len(left):
            raise self.positions.error(
                f"{what} joins {len(left)} wire(s) with {len(bits)}", at, "give both sides the same width"
            )
        return zip(left, bits, strict=True)

    def _ports(self, instance: Instance, kind: Module) -> list[tuple[str, list[Item]]]:
        """An instance's ports with their names."""
        if not instance.by_order:
            for port, _ in instance.ports:
                if port not in kind.ports:
                    raise self.positions.error(
                        f"{instance.name} has a port {port} that module {kind.name} does not declare",
                        instance.at,
                        f"its ports are: {', '.join(kind.ports[:20]) or 'none'}",
                    )
            return instance.ports
        if len(instance.ports) > len(kind.ports) and instance.ports != [("", [])]:
            raise self.positions.error(
                f"{instance.name} has {len(instance.ports)} ports, module {kind.name} declares {len(kind.ports)}",
                instance.at,
                f"write one for each of: {', '.join(kind.ports[:20]) or '(none)'}",
            )
        return [(port, items) for port, (_, items) in zip(kind.ports, instance.ports, strict=False)]

    def _go_in(
        self,
        instance: Instance,
        kind: Module,
        home: Module,
        path: str,
        node_of: Callable[[Bit], int | None],
        depth: int,
    ) -> None:
        nodes: dict[Bit, int] = {}
        for port, items in self._ports(instance, kind):
            wires = kind.wires(port)
            if not items:
                continue
            for inner, outer in self._paired(
                wires, items, home, instance.at, f"port {port} of {instance.name}"
            ):
                node = node_of(outer)
                if node is None:
                    continue
                if inner in nodes:
                    self.wires.joined.union(nodes[inner], node)
                nodes[inner] = node
        self.sheet(kind, f"{path}{instance.name}/", nodes, depth + 1)

    def _part(
        self,
        instance: Instance,
        kind: Module | None,
        home: Module,
        path: str,
        node_of: Callable[[Bit], int | None],
    ) -> None:
        reference = path + instance.name
        if reference in self.references:
            text = f"two instances are called {reference}"
            self.findings.append(warning("duplicate-part", text, reference))
        self.references.add(reference)
        if len(self.references) > MOST_PARTS:
            raise self._too_large(instance.at)
        self.collector.part(reference, self._line(instance.at), symbol=instance.type)
        legs = self.numbering.get(instance.type, {})
        for port in kind.ports if kind is not None else ():
            self.wires.count(width_of(kind, [Item(port, None, None, (), 0)]) if kind else 0, instance.at)
            for bit in kind.wires(port) if kind is not None else ():
                self.collector.declare(
                    reference, _pin(shown(bit), legs, kind.kinds.get(port, "") if kind else "")
                )
        for port, items in self._named(instance, kind, reference):
            self.wires.count(width_of(home, items), instance.at)
            bits = bits_of(home, items)
            if kind is not None:
                inner = [shown(bit) for bit in kind.wires(port)]
                if items:
                    pairs = self._paired(
                        list(inner), items, home, instance.at, f"port {port} of {instance.name}"
                    )
                    bits = [outer for _, outer in pairs]
                else:
                    bits = [None] * len(inner)
            elif len(bits) > 1:
                inner = [f"{port}[{n}]" for n in range(len(bits) - 1, -1, -1)]
            else:
                inner, bits = [port], bits or [None]
            for name, bit in zip(inner, bits, strict=True):
                pin = _pin(name, legs, "")
                self.collector.declare(reference, pin)
                node = node_of(bit)
                if node is None:
                    self.wires.alone.append((PinRef(reference, pin.number), instance.at))
                else:
                    self.wires.pins[node].append(PinRef(reference, pin.number))

    def _named(self, instance: Instance, kind: Module | None, reference: str) -> list[tuple[str, list[Item]]]:
        if kind is not None:
            return self._ports(instance, kind)
        if not instance.by_order:
            return instance.ports
        if instance.ports == [("", [])] or not instance.ports:
            return []
        count = len(instance.ports)
        if instance.type in GATES:
            after = GATES[instance.type]
            inputs = count - 1 if after is None else min(after, count - 1)
            outputs = [f"Y{n}" if count - inputs > 1 else "Y" for n in range(1, count - inputs + 1)]
            names = [*outputs, *(f"A{n}" for n in range(1, inputs + 1))]
        else:
            names = [by_order(n) for n in range(1, count + 1)]
            self.ordered[instance.type].append(reference)
        return [(name, items) for name, (_, items) in zip(names, instance.ports, strict=True)]


def _pin(name: str, legs: dict[str, str], kind: str) -> Pin:
    number = legs.get(name, name)
    return Pin(number, "" if name in legs else name, kind)
