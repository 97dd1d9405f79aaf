"""The ways of a map as boxes, outputs and wires: `BitMap` -> `Network`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import pairwise

from tracer.base.names import readable_name
from tracer.base.text import clean
from tracer.bitmap.model import Bit, BitMap, Path, Role, Source, Step, When
from tracer.diagram.network import BitId, Box, BoxKey, Head, In, Network, Out, OutKey, Wire
from tracer.netlist.board import PinRef

__all__ = ["gather"]

#: Parts drawn small: they stand in the way of one bit and hold nothing.
SMALL = frozenset({"resistor", "link", "diode", "switch", "transistor"})

_STRENGTH: dict[Role, int] = {"picture": 2, "alternative": 1, "write path": 0}


def gather(bit_map: BitMap) -> Network:
    """Collect boxes, outputs and wires of all bits and paths."""
    return _Gatherer(bit_map).run()


class _Gatherer:
    def __init__(self, bit_map: BitMap) -> None:
        self.map = bit_map
        self.network = Network()
        self.chips = {chip.part: chip for chip in bit_map.chips}
        self.cyclic = _parts_passed_twice(bit_map)

    def run(self) -> Network:
        for colour_index, colour in enumerate(self.map.colours):
            for bit in colour.bits:
                self._bit(bit, BitId(colour_index, -bit.bit))
        return self.network

    def _bit(self, bit: Bit, bit_id: BitId) -> None:
        shown = [p for p in bit.paths if p.role != "write path"]
        self.network.n_ways[bit_id] = len(shown)
        for path in shown:
            self._path(path, bit, bit_id)
        if shown:
            for path in bit.paths:
                if path.role == "write path":
                    self._write_path(path, shown, bit_id)
            return
        for path in bit.paths:
            # Nothing but writing leads here: shown whole, and where it ends it says so.
            self._path(path, bit, bit_id, bit.because)
        if not bit.paths:
            driver = bit.driver
            source = Source(
                driver.part, driver.type, driver.pin, driver.name, "unknown part", sold_as=driver.sold_as
            )
            last = PinRef(driver.part, driver.pin)
            self._end(source, (), bit.because, last, Head("stage", bit=bit_id), bit_id, "picture")

    # -- picture and alternative paths ---------------------------------------------------------

    def _path(self, path: Path, bit: Bit, bit_id: BitId, because: str | None = None) -> None:
        head = Head("stage", bit=bit_id)
        last = PinRef(bit.driver.part, bit.driver.pin)
        left = list(path.when)
        for depth, step in enumerate(path.steps):
            key = OutKey(self._step_box(step, depth), step.target_pin)
            out = self._out(key, bit_id, how=step.how, picture=path.role != "write path")
            self._name(out, step.part)
            into = out.ins.setdefault(step.source_pin, In(step.source_pin, step.inverts))
            into.inverts &= step.inverts
            own = tuple(_taken(left, step.part))
            if own:
                into.when[own] = None
            self._join(key, head, bit_id, path.role)
            head = Head("in", key.box, key.pin, step.source_pin)
            last = PinRef(step.part, step.source_pin)
        if because is None and not path.source.is_memory:
            because = path.stops_because
        self._end(path.source, tuple(left), because, last, head, bit_id, path.role)

    def _step_box(self, step: Step, depth: int) -> BoxKey:
        if step.how in SMALL:
            key = BoxKey("small", step.part, f"{step.source_pin} {step.target_pin}")
        else:
            key = BoxKey("step", step.part, str(depth) if step.part in self.cyclic else "")
        self._box(key, step.sold_as, step.part)
        self._controls(key, step)
        return key

    def _end(
        self,
        source: Source,
        when: tuple[When, ...],
        because: str | None,
        last: PinRef,
        head: Head,
        bit_id: BitId,
        role: Role,
    ) -> None:
        stopped = because is not None
        if source.part is None:
            # Where no net has a name either, the leg that gets nothing stands for the end.
            key, pin = BoxKey("stop", "", source.kind), source.name or f"{last.part}.{last.pin}"
        else:
            key, pin = BoxKey("stop" if stopped else "memory", source.part), source.pin or ""
        box = self._box(key, source.sold_as or "", source.part)
        box.place = box.place or source.place
        box.does = box.does if source.is_memory or source.part is None else source.kind
        out = self._out(OutKey(key, pin), bit_id, name=source.name if source.part else "", picture=True)
        if when:
            out.when[when] = None
        if because is not None:
            out.because[because] = None
        self._join(out.key, head, bit_id, role)

    # -- write paths ---------------------------------------------------------------------------

    def _write_path(self, path: Path, shown: list[Path], bit_id: BitId) -> None:
        """Only what stands on the memory's own net is drawn; what lies behind it is named in its foot."""
        shared = max(_shared_steps(path.steps, other.steps) for other in shown)
        on_net = [p.source for p in shown if len(p.steps) == shared == _shared_steps(path.steps, p.steps)]
        heads = [
            Head("leg", BoxKey("memory", s.part), s.pin or "") for s in on_net if s.part and s.is_memory
        ] or [self._branch(path, shared, bit_id)]
        beyond = path.steps[shared:]
        source = path.source
        if beyond:
            first = beyond[0]
            box = self._box(BoxKey("write", first.part), first.sold_as, first.part)
            self._controls(box.key, first)
            out = self._out(OutKey(box.key, first.target_pin), bit_id, how=first.how)
            out.ins.setdefault(first.source_pin, In(first.source_pin, first.inverts))
            for name in [*(f"{s.part} {s.sold_as}" for s in beyond[1:]), _end_text(source)]:
                box.behind[name] = None
        else:
            part = source.part or source.kind
            box = self._box(BoxKey("write", part), source.sold_as or "", source.part)
            box.does, box.place = source.kind, box.place or source.place
            out = self._out(OutKey(box.key, source.pin or source.name), bit_id, name=source.name)
        for head in dict.fromkeys(heads):
            self._join(out.key, head, bit_id, "write path")

    def _branch(self, path: Path, shared: int, bit_id: BitId) -> Head:
        """Where a write path leaves the ways that are drawn, when that is not at a memory leg."""
        if shared == 0:
            return Head("stage", bit=bit_id)
        step = path.steps[shared - 1]
        return Head("in", self._step_box(step, shared - 1), step.target_pin, step.source_pin)

    # -- shared --------------------------------------------------------------------------------

    def _box(self, key: BoxKey, sold_as: str, part: str | None) -> Box:
        if key not in self.network.boxes:
            chip = self.chips.get(part or "")
            self.network.boxes[key] = Box(
                key, sold_as, chip.place if chip else None, chip.does if chip else ""
            )
        return self.network.boxes[key]

    def _out(
        self, key: OutKey, bit_id: BitId, *, name: str = "", how: str = "", picture: bool = False
    ) -> Out:
        out = self.network.outs.setdefault(key, Out(key))
        out.name, out.how = out.name or name, out.how or how
        out.picture |= picture
        out.bits.add(bit_id)
        return out

    def _name(self, out: Out, part: str) -> None:
        """A step knows its legs by number; the driver's leg has its name in the bit."""
        if out.name:
            return
        for colour in self.map.colours:
            for bit in colour.bits:
                if (bit.driver.part, bit.driver.pin) == (part, out.key.pin):
                    out.name = bit.driver.name
                    return

    def _controls(self, key: BoxKey, step: Step) -> None:
        nets = self.network.boxes[key].controls
        for control in step.controls:
            nets.setdefault(control.net, {}).setdefault(control.pin, control.name)

    def _join(self, tail: OutKey, head: Head, bit_id: BitId, role: Role) -> None:
        wire = self.network.wires.setdefault((tail, head), Wire())
        wire.bits[bit_id] = wire.bits.get(bit_id, 0) + 1
        if _STRENGTH[role] > _STRENGTH[wire.role]:
            wire.role = role


def _taken(left: list[When], part: str) -> Iterator[When]:
    """Take from the front the levels that belong to a part's step: they stand in the order of the steps."""
    seen: set[str] = set()
    while left and left[0].part == part and left[0].pin not in seen:
        seen.add(left[0].pin)
        yield left.pop(0)


def _shared_steps(a: tuple[Step, ...], b: tuple[Step, ...]) -> int:
    """How many steps two paths have in common, from the connector's side."""
    n = 0
    for x, y in zip(a, b, strict=False):
        if (x.part, x.source_pin, x.target_pin) != (y.part, y.source_pin, y.target_pin):
            break
        n += 1
    return n


def _end_text(source: Source) -> str:
    if source.part is None:
        return clean(readable_name(source.name)) or source.kind
    return f"{source.part} {source.sold_as or ''}".strip() + f" ({source.kind})"


def _parts_passed_twice(bit_map: BitMap) -> frozenset[str]:
    """Parts from which some way leads back to themselves: each depth gets a box of its own."""
    before: dict[str, set[str]] = {}
    for colour in bit_map.colours:
        for bit in colour.bits:
            shown = [p for p in bit.paths if p.role != "write path"] or bit.paths
            for path in shown:
                parts = [s.part for s in path.steps if s.how not in SMALL]
                for head, tail in pairwise(parts):
                    before.setdefault(head, set()).add(tail)
    return frozenset(part for part in before if part in _reached(before, before[part]))


def _reached(before: dict[str, set[str]], start: Iterable[str]) -> set[str]:
    seen: set[str] = set()
    front = list(start)
    while front:
        part = front.pop()
        if part not in seen:
            seen.add(part)
            front += before.get(part, ())
    return seen
