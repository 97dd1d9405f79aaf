"""The chips of the colour path: what each does, and which bits of which colour it feeds."""

from __future__ import annotations

from collections.abc import Iterator

from tracer.base.names import natural_key
from tracer.bitmap.model import Bit, Chip, Colour
from tracer.circuit.graph import Circuit
from tracer.parts.kinds import Kind
from tracer.tracing.cone import Cone, Cones

__all__ = ["chips_of"]

#: What a kind of part does in the path, in the words of people at a bench.
_DOES = {
    Kind.REGISTER: "latch",
    Kind.LOGIC_ARRAY: "programmable logic",
    Kind.DAC: "converter",
}


def chips_of(circuit: Circuit, cones: Cones, colours: tuple[Colour, ...]) -> tuple[Chip, ...]:
    """Every chip that a picture or alternative path passes, and those that only write, by reference."""
    feeds: dict[str, dict[str, set[int]]] = {}
    does: dict[str, str] = {}
    writers: set[str] = set()
    for colour in colours:
        for bit in colour.bits:
            for part, what in _parts_of(circuit, cones, bit):
                feeds.setdefault(part, {}).setdefault(colour.name, set()).add(bit.bit)
                does.setdefault(part, what)
            for path in bit.paths:
                if path.role == "write path":
                    writers |= {s.part for s in path.steps}
    chips = []
    for part in sorted({*feeds, *writers}, key=natural_key):
        known = circuit.identified[part]
        by_colour = tuple(
            (c.name, tuple(sorted(feeds.get(part, {}).get(c.name, ()), reverse=True))) for c in colours
        )
        chips.append(
            Chip(
                part,
                known.shown_type,
                known.part.place or None,
                does.get(part, "write path"),
                by_colour,
                known.sold_as,
            )
        )
    return tuple(chips)


def _parts_of(circuit: Circuit, cones: Cones, bit: Bit) -> Iterator[tuple[str, str]]:
    yield bit.driver.part, _does(circuit, cones, bit.driver.part, False)
    for path in bit.paths:
        if path.role == "write path":
            continue
        serial = any(step.how == "shift register" for step in path.steps)
        for step in path.steps:
            if step.how not in ("resistor", "link", "diode", "switch"):
                yield step.part, _does(circuit, cones, step.part, serial)
        if path.source.part is not None and path.source.kind != "connector":
            yield path.source.part, _does(circuit, cones, path.source.part, serial)


def _does(circuit: Circuit, cones: Cones, part: str, serial: bool) -> str:
    known = circuit.identified[part]
    if not known.kind.stores:
        return _DOES.get(known.kind, known.kind.value)
    if serial:
        return "picture memory"
    if _is_scanned(circuit, cones, part):
        return "picture RAM" if known.kind == Kind.RAM else "picture ROM"
    return "palette"


def _is_scanned(circuit: Circuit, cones: Cones, part: str) -> bool:
    """Whether counters alone walk through a memory: it holds the picture, while pixels address a palette."""
    is_counted = False
    for net in {
        circuit.net_of(part, p.number) for p in circuit.identified[part].type.pins if p.role == "address"
    }:
        cone = cones.behind(net) if net is not None else Cone()
        if cone.stores:
            return False
        is_counted |= any(circuit.identified[end.part].kind == Kind.COUNTER for end in cone.makers)
    return is_counted
