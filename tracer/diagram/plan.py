"""What a diagram shows: boxes with rows of legs, and lines between legs; `BitMap` -> `Plan`."""

from __future__ import annotations

from dataclasses import dataclass

from tracer.base.names import natural_key
from tracer.bitmap.model import BitMap, Role, When
from tracer.diagram.bundles import Bundles, find_bundles
from tracer.diagram.gather import gather
from tracer.diagram.network import BitId, Box, BoxKey, Head, In, Network, Out, OutKey, Wire

__all__ = ["DrawnBox", "Legs", "Line", "Plan", "Row", "identifier", "make_plan"]


@dataclass(frozen=True, slots=True)
class Legs:
    """Legs that one line meets: several for a bundle. `port` names it within its box."""

    pins: tuple[str, ...]
    names: tuple[str, ...]
    when: tuple[tuple[When, ...], ...]
    port: str
    inverts: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """One way through a box: inputs (none at an end), bits, output."""

    ins: tuple[Legs, ...]
    out: Legs
    bits: tuple[BitId, ...]
    because: tuple[str, ...]
    inverts: bool

    @property
    def write_port(self) -> str:
        """Where a write path meets an end's legs."""
        return _leg_port(self.out.pins[0])


@dataclass(frozen=True, slots=True)
class DrawnBox:
    """A box with its rows; `node` is its name in the graph and its id in the SVG."""

    node: str
    box: Box
    rows: tuple[Row, ...]
    also: str

    @property
    def bits(self) -> tuple[BitId, ...]:
        """Bits of all rows."""
        return tuple(sorted({bit for row in self.rows for bit in row.bits}))


@dataclass(frozen=True, slots=True)
class Line:
    """A line from a row's output to a cell, a stage row or a memory leg.

    Attributes
    ----------
    tail, tail_port, head, head_port : str
        Nodes and their ports.
    bits : tuple of BitId
    role : str
    inverts : bool
    n_legs : int
        Outputs that it stands for: several for a bundle.
    leaves_chips : bool
        Whether it ends at the resistors or the connector, and not at a chip.
    """

    tail: str
    tail_port: str
    head: str
    head_port: str
    bits: tuple[BitId, ...]
    role: Role
    inverts: bool
    n_legs: int
    leaves_chips: bool


@dataclass(frozen=True, slots=True)
class Plan:
    """All that is drawn left of the connector.

    Attributes
    ----------
    boxes, lines : tuple
        Boxes by the bits they bring, lines by bit and from the memory on.
    stages : tuple of str
        Node of each colour's resistors.
    columns : dict of str to int
        Node of a box -> its column, counted from the resistors (0) to the left.
    """

    boxes: tuple[DrawnBox, ...]
    lines: tuple[Line, ...]
    stages: tuple[str, ...]
    columns: dict[str, int]


def make_plan(bit_map: BitMap) -> Plan:
    """Lay down boxes, rows and lines of a map."""
    network = gather(bit_map)
    return _Planner(bit_map, network, find_bundles(network)).run()


def identifier(text: str) -> str:
    """A name for ids, classes and ports: letters and figures, all else as ``_hex_``; different texts stay different.

    >>> [identifier(t) for t in ("U4", "A:U4", "a_b", "Ω")]
    ['U4', 'A_3a_U4', 'a_5f_b', '_3a9_']
    """
    return "".join(c if c.isascii() and c.isalnum() else f"_{ord(c):x}_" for c in text)


def _out_port(pin: str) -> str:
    return f"out-{identifier(pin)}"


def _leg_port(pin: str) -> str:
    return f"leg-{identifier(pin)}"


# -- boxes, rows, lines -----------------------------------------------------------------------------


class _Planner:
    def __init__(self, bit_map: BitMap, network: Network, bundles: Bundles) -> None:
        self.map, self.network, self.bundles = bit_map, network, bundles
        self.nodes: dict[BoxKey, str] = {}
        self.in_ports: dict[tuple[OutKey, str], str] = {}
        #: The first leg of the row that an output is drawn in: it names the row's ports.
        self.row_pins: dict[OutKey, str] = {}
        self.ranks: dict[OutKey, tuple[int, ...]] = {}
        self.heads: dict[OutKey, list[Head]] = {}
        for tail, head in network.wires:
            self.heads.setdefault(tail, []).append(head)

    def run(self) -> Plan:
        keys = sorted(self.network.boxes, key=self._box_order)
        for key in keys:
            self.nodes[key] = self._node_name(key)
        boxes = tuple(self._drawn(key) for key in keys if any(o.box == key for o in self.network.outs))
        stages = tuple(f"stage-{identifier(c.name)}" for c in self.map.colours)
        lines = self._lines(stages)
        columns = _columns(boxes, lines)
        lines.sort(
            key=lambda x: (
                x.bits,
                -columns[x.tail],
                *map(natural_key, (x.tail, x.tail_port, x.head, x.head_port)),
            )
        )
        return Plan(boxes, tuple(lines), stages, columns)

    def _box_order(self, key: BoxKey) -> tuple[object, ...]:
        bits = [bit for k, out in self.network.outs.items() if k.box == key for bit in out.bits]
        return min(bits, default=BitId(0, 0)), key.kind, natural_key(key.part), natural_key(key.which)

    def _out_order(self, out: Out) -> tuple[object, ...]:
        """Heaviest bit of the first colour first; where several bring one bit, in the order of what they feed."""
        return min(out.bits), self._inputs_from_stage(out.key), natural_key(out.key.pin)

    def _inputs_from_stage(self, key: OutKey) -> tuple[int, ...]:
        """Which input of each part on the way from the connector's side leads to an output."""
        if key not in self.ranks:
            self.ranks[key] = ()  # so that a loop in a map made by hand ends
            found: list[tuple[int, ...]] = []
            for head in self.heads[key]:
                if head.box is None:
                    found.append(())
                elif head.kind == "in":
                    feeds = OutKey(head.box, head.pin)
                    which = list(self.network.outs[feeds].ins).index(head.in_pin)
                    found.append((*self._inputs_from_stage(feeds), which))
                else:
                    found.append(self._inputs_from_stage(OutKey(head.box, head.pin)))
            self.ranks[key] = min(found, default=())
        return self.ranks[key]

    def _node_name(self, key: BoxKey) -> str:
        part = identifier(key.part)
        if key.kind == "small":
            return f"part-{part}-{identifier(key.which)}"
        if key.kind in ("stop", "write"):
            return f"{key.kind}-{part}" if part else f"{key.kind}-none-{identifier(key.which)}"
        name, taken, n = f"chip-{part}", set(self.nodes.values()), 1
        while (name if n == 1 else f"{name}-{n}") in taken:
            n += 1
        return name if n == 1 else f"{name}-{n}"

    def _drawn(self, key: BoxKey) -> DrawnBox:
        outs = sorted((o for k, o in self.network.outs.items() if k.box == key), key=self._out_order)
        rows: list[Row] = []
        done: set[OutKey] = set()
        for out in outs:
            if out.key not in done:
                members = self.bundles.rows.get(out.key, [out.key])
                done.update(members)
                rows.append(self._row([self.network.outs[k] for k in members]))
        same = [k for k in self.nodes if k.part == key.part and k.kind == key.kind == "step"]
        same.sort(key=lambda k: natural_key(k.which))
        # Depths count from the connector, boxes from the memory.
        also = f"box {len(same) - same.index(key)} of {len(same)}" if len(same) > 1 else ""
        return DrawnBox(self.nodes[key], self.network.boxes[key], tuple(rows), also)

    def _row(self, outs: list[Out]) -> Row:
        first = outs[0]
        for out in outs:
            self.row_pins[out.key] = first.key.pin
        pins, names = tuple(o.key.pin for o in outs), tuple(o.name for o in outs)
        cell = Legs(pins, names, tuple(first.when), _out_port(first.key.pin))
        ins = self._bundle_cell(outs) if len(outs) > 1 else self._cells(first)
        bits = tuple(sorted({bit for o in outs for bit in o.bits}))
        return Row(ins, cell, bits, tuple(first.because), all(o.inverts for o in outs))

    def _bundle_cell(self, outs: list[Out]) -> tuple[Legs, ...]:
        """The inputs of a row of several outputs, which have one input each; none at an end."""
        pairs = [(out, into) for out in outs for into in out.ins.values()]
        return (self._cell(pairs),) if pairs else ()

    def _cells(self, out: Out) -> tuple[Legs, ...]:
        """The inputs of one output; those of a bundle share a cell."""
        groups = self.bundles.cells.get(out.key) or [[pin] for pin in out.ins]
        return tuple(self._cell([(out, out.ins[pin]) for pin in group]) for group in groups)

    def _cell(self, pairs: list[tuple[Out, In]]) -> Legs:
        out, first = pairs[0]
        port = self._in_port(out.key, first.pin)
        for one, into in pairs:
            self.in_ports[one.key, into.pin] = port
        odd = first.inverts and not out.inverts
        return Legs(tuple(i.pin for _, i in pairs), ("",) * len(pairs), tuple(first.when), port, odd)

    def _in_port(self, key: OutKey, pin: str) -> str:
        """An input that serves several outputs has a cell in each row."""
        taken = {p for (k, _), p in self.in_ports.items() if k.box == key.box}
        port = f"in-{identifier(pin)}"
        return port if port not in taken else f"{port}-to-{identifier(key.pin)}"

    def _lines(self, stages: tuple[str, ...]) -> list[Line]:
        merged: dict[tuple[tuple[str, str, str, str], bool], list[tuple[OutKey, Wire]]] = {}
        for (tail, head), wire in self.network.wires.items():
            start = (self.nodes[tail.box], _out_port(self.row_pins[tail]))
            at_stage = head.box is None
            merged.setdefault(((*start, *self._end_of(head, stages)), at_stage), []).append((tail, wire))
        lines = []
        for (ends, at_stage), wires in merged.items():
            role = self._role([w for _, w in wires])
            bits = tuple(sorted({bit for _, w in wires for bit in w.bits}))
            inverts = all(self.network.outs[tail].inverts for tail, _ in wires)
            legs = len({tail for tail, _ in wires})
            lines.append(Line(*ends, bits, role, inverts, legs, at_stage))
        return lines

    def _role(self, wires: list[Wire]) -> Role:
        """The strongest role; what all ways of each bit share is no alternative."""
        roles = {w.role for w in wires}
        if "picture" in roles:
            return "picture"
        if "alternative" not in roles:
            return "write path"
        shared = all(n == self.network.n_ways[bit] for w in wires for bit, n in w.bits.items())
        return "picture" if shared and len(wires) == 1 else "alternative"

    def _end_of(self, head: Head, stages: tuple[str, ...]) -> tuple[str, str]:
        if head.box is None:
            assert head.bit is not None
            return stages[head.bit.colour], f"bit-{head.bit.bit}"
        key = OutKey(head.box, head.pin)
        if head.kind == "leg":
            return self.nodes[head.box], _leg_port(self.row_pins[key])
        return self.nodes[head.box], self.in_ports[key, head.in_pin]


def _columns(boxes: tuple[DrawnBox, ...], lines: list[Line]) -> dict[str, int]:
    """Column of each box: left of all that it feeds; ends stand in one column."""
    ends = [b.node for b in boxes if b.box.key.kind in ("memory", "stop")]
    columns = dict.fromkeys((b.node for b in boxes), 1)
    for _ in boxes:
        before = dict(columns)
        for line in lines:
            columns[line.tail] = max(columns[line.tail], 1 + columns.get(line.head, 0))
        last = max((columns[node] for node in ends), default=0)
        columns.update(dict.fromkeys(ends, last))
        if columns == before:
            break
    return columns
