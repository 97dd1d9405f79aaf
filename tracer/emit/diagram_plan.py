"""What a diagram shows: boxes with rows and cells, and lines between cells; `BitMap` -> `Plan`.

A shift register brings a whole word over one output. Its inputs become one
cell, and what feeds them (memory legs, sections of a latch) one row each, as
far back as every leg leads into that word alone: a bundle, drawn as one line.
The legs of a bundle stand in the same order at both ends.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

from tracer.bitmap import BitMap, Role, When
from tracer.emit.diagram_network import BitId, Box, BoxKey, Head, In, Network, Out, OutKey, Wire, gather
from tracer.names import natural_key

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
        return f"leg-{self.out.port.removeprefix('out-')}"


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
    """A line from a row's output to a cell, a stage row or a memory leg."""

    tail: str
    tail_port: str
    head: str
    head_port: str
    bits: tuple[BitId, ...]
    role: Role
    inverts: bool
    n_legs: int


@dataclass(frozen=True, slots=True)
class Plan:
    """All that is drawn left of the connector."""

    boxes: tuple[DrawnBox, ...]
    lines: tuple[Line, ...]
    stages: tuple[str, ...]


def make_plan(bit_map: BitMap) -> Plan:
    """Lay down boxes, rows and lines of a map."""
    network = gather(bit_map)
    return _Planner(bit_map, network, _bundles(network)).run()


def identifier(text: str) -> str:
    """A name for ids, classes and ports: letters and figures, all else as ``_hex_``; different texts stay different.

    >>> [identifier(t) for t in ("U4", "A:U4", "a_b", "Ω")]
    ['U4', 'A_3a_U4', 'a_5f_b', '_3a9_']
    """
    return "".join(c if c.isascii() and c.isalnum() else f"_{ord(c):x}_" for c in text)


# -- bundles ----------------------------------------------------------------------------------------


def _bundles(network: Network) -> list[list[OutKey]]:
    """Outputs of one box that are drawn as one row; a word's own output is a row of one."""
    tails: dict[tuple[BoxKey, str, str], list[OutKey]] = {}
    heads: dict[OutKey, list[Head]] = {}
    for (tail, head), _ in network.wires.items():
        heads.setdefault(tail, []).append(head)
        if head.kind != "stage" and head.box is not None:
            tails.setdefault((head.box, head.pin, head.in_pin), []).append(tail)

    found = [[key] for key, out in network.outs.items() if _is_word(out)]
    queue = deque(found)
    while queue:
        word = queue.popleft()
        feeding: dict[BoxKey, dict[OutKey, None]] = {}
        for slot in _slots(network, word):
            for tail in tails.get(slot, ()):
                if _leads_only_to(heads[tail], word):
                    feeding.setdefault(tail.box, {})[tail] = None
        for box, keys in feeding.items():
            outs = [network.outs[k] for k in keys]
            alike = len({tuple(o.because) for o in outs}) == 1 and len({tuple(o.when) for o in outs}) == 1
            plain = box.kind in ("memory", "stop") or all(len(o.ins) <= 1 for o in outs)
            if len(keys) > 1 and alike and plain and not any(k in row for k in keys for row in found):
                found.append(list(keys))
                queue.append(found[-1])
    return found


def _is_word(out: Out) -> bool:
    return out.how == "shift register" and out.picture and len(out.ins) > 1


def _slots(network: Network, row: list[OutKey]) -> list[tuple[BoxKey, str, str]]:
    """What feeds a row: its inputs in order, or, at an end, its legs themselves (write paths meet them)."""
    slots = []
    for key in row:
        ins = network.outs[key].ins
        pins = sorted(ins, key=natural_key) if len(row) == 1 else list(ins)
        slots += [(key.box, key.pin, pin) for pin in pins] or [(key.box, key.pin, "")]
    return slots


def _leads_only_to(heads: list[Head], row: list[OutKey]) -> bool:
    return all(h.box is not None and OutKey(h.box, h.pin) in row for h in heads)


# -- boxes, rows, lines -----------------------------------------------------------------------------


class _Planner:
    def __init__(self, bit_map: BitMap, network: Network, bundles: list[list[OutKey]]) -> None:
        self.map, self.network, self.bundles = bit_map, network, bundles
        self.bundle_of = {key: row for row in bundles for key in row}
        self.nodes: dict[BoxKey, str] = {}
        self.in_ports: dict[tuple[OutKey, str], str] = {}
        self.out_ports: dict[OutKey, str] = {}

    def run(self) -> Plan:
        keys = sorted(self.network.boxes, key=self._box_order)
        for key in keys:
            self.nodes[key] = self._node_name(key)
        boxes = tuple(self._drawn(key) for key in keys if any(o.box == key for o in self.network.outs))
        stages = tuple(f"stage-{identifier(c.name)}" for c in self.map.colours)
        return Plan(boxes, self._lines(stages), stages)

    def _box_order(self, key: BoxKey) -> tuple[object, ...]:
        bits = [bit for k, out in self.network.outs.items() if k.box == key for bit in out.bits]
        return min(bits, default=BitId(0, 0)), key.kind, natural_key(key.part), natural_key(key.which)

    def _node_name(self, key: BoxKey) -> str:
        part = identifier(key.part)
        if key.kind == "small":
            return f"part-{part}-{identifier(key.which)}"
        if key.kind in ("stop", "write"):
            return f"{key.kind}-{part or 'nothing'}"
        name, taken, n = f"chip-{part}", set(self.nodes.values()), 1
        while (name if n == 1 else f"{name}-{n}") in taken:
            n += 1
        return name if n == 1 else f"{name}-{n}"

    def _drawn(self, key: BoxKey) -> DrawnBox:
        outs = sorted((o for k, o in self.network.outs.items() if k.box == key), key=lambda o: o.order)
        rows: list[Row] = []
        done: set[OutKey] = set()
        for out in outs:
            if out.key not in done:
                members = self.bundle_of.get(out.key, [out.key])
                done.update(members)
                rows.append(self._row([self.network.outs[k] for k in members]))
        same = [k for k in self.nodes if k.part == key.part and k.kind == key.kind == "step"]
        also = f"box {same.index(key) + 1} of {len(same)}" if len(same) > 1 else ""
        return DrawnBox(self.nodes[key], self.network.boxes[key], tuple(rows), also)

    def _row(self, outs: list[Out]) -> Row:
        first = outs[0]
        port = f"out-{identifier(first.key.pin)}"
        for out in outs:
            self.out_ports[out.key] = port
        cell = Legs(tuple(o.key.pin for o in outs), tuple(o.name for o in outs), tuple(first.when), port)
        ins = self._word_cell(outs) if _is_word(first) or len(outs) > 1 else self._cells(first)
        bits = tuple(sorted({bit for o in outs for bit in o.bits}))
        return Row(ins, cell, bits, tuple(first.because), all(o.inverts for o in outs))

    def _word_cell(self, outs: list[Out]) -> tuple[Legs, ...]:
        slots = _slots(self.network, [o.key for o in outs])
        pins = [pin for _, _, pin in slots if pin]
        if not pins:
            return ()
        port = self._in_port(OutKey(slots[0][0], slots[0][1]), pins[0])
        for box, pin, in_pin in slots:
            self.in_ports[OutKey(box, pin), in_pin] = port
        return (Legs(tuple(pins), ("",) * len(pins), (), port),)

    def _cells(self, out: Out) -> tuple[Legs, ...]:
        return tuple(self._in_cell(out, i) for i in out.ins.values())

    def _in_cell(self, out: Out, into: In) -> Legs:
        port = self._in_port(out.key, into.pin)
        self.in_ports[out.key, into.pin] = port
        odd = into.inverts and not out.inverts
        return Legs((into.pin,), ("",), tuple(into.when), port, odd)

    def _in_port(self, key: OutKey, pin: str) -> str:
        """An input that serves several outputs has a cell in each row."""
        taken = {p for (k, _), p in self.in_ports.items() if k.box == key.box}
        port = f"in-{identifier(pin)}"
        return port if port not in taken else f"{port}-to-{identifier(key.pin)}"

    def _lines(self, stages: tuple[str, ...]) -> tuple[Line, ...]:
        merged: dict[tuple[str, str, str, str], list[tuple[OutKey, Wire]]] = {}
        for (tail, head), wire in self.network.wires.items():
            start = (self.nodes[tail.box], self.out_ports[tail])
            merged.setdefault((*start, *self._end_of(head, stages)), []).append((tail, wire))
        lines = []
        for ends, wires in merged.items():
            roles = [w.role for _, w in wires]
            role: Role = next(r for r in ("picture", "alternative", "write path") if r in roles)
            bits = tuple(sorted({bit for _, w in wires for bit in w.bits}))
            inverts = all(self.network.outs[tail].inverts for tail, _ in wires)
            legs = len({tail for tail, _ in wires})
            lines.append(Line(*ends, bits, role, inverts, legs))
        return tuple(sorted(lines, key=lambda x: (x.bits, x.tail, x.tail_port, x.head, x.head_port)))

    def _end_of(self, head: Head, stages: tuple[str, ...]) -> tuple[str, str]:
        if head.kind == "stage" or head.box is None:
            assert head.bit is not None
            return stages[head.bit.colour], f"bit-{head.bit.bit}"
        key = OutKey(head.box, head.pin)
        if head.kind == "leg":
            return self.nodes[head.box], f"leg-{self.out_ports[key].removeprefix('out-')}"
        return self.nodes[head.box], self.in_ports[key, head.in_pin]
