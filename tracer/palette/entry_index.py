"""The number of a palette entry: which address lines of which memories are one bit of it.

Lines on one net are one bit, and so are lines that hang on one another over a damping resistor, a buffer or an
inverter. A tied line is no bit, it holds its level. The lines of the first memory come first, A0 the lightest;
what only a later memory has comes above.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from tracer.base.findings import Finding, warning
from tracer.bitmap.model import IndexLine, Source
from tracer.bitmap.text import driven_by_text
from tracer.circuit.graph import DAMPING_OHM, Circuit
from tracer.palette.values import EntryBit
from tracer.parts.memory_shape import MemoryShape
from tracer.tracing.memory_index import index_of

__all__ = ["EntryIndex", "entry_index", "used_words"]

#: Buffers in a row between two memories' address lines; far more than any board has.
_MOST_STEPS = 8
_ONE_INPUT_KINDS = frozenset({"buffer", "gate", "transceiver"})


@dataclass(frozen=True, slots=True)
class EntryIndex:
    """How an entry number becomes the addresses of the memories.

    Attributes
    ----------
    bits : tuple of EntryBit
        Lightest first.
    lines : mapping of str to tuple of (int, int or None, bool)
        Memory -> for each address line that is not held low: its bit of the address, the bit of the entry
        number (None: held high) and whether it is turned over.
    findings : tuple of Finding
    """

    bits: tuple[EntryBit, ...]
    lines: Mapping[str, tuple[tuple[int, int | None, bool], ...]]
    findings: tuple[Finding, ...] = ()

    def address(self, part: str, entry: int) -> int:
        """The word of a memory that an entry reads."""
        word = 0
        for at, bit, inverts in self.lines[part]:
            level = 1 if bit is None else (entry >> bit & 1) ^ inverts
            word |= level << at
        return word


@dataclass
class _Bit:
    root: str
    inverts: bool
    net: str | None
    driven_by: str
    legs: list[str] = field(default_factory=list)


def entry_index(circuit: Circuit, shapes: Iterable[MemoryShape]) -> EntryIndex:
    """The entry number of the palette that these memories make together."""
    bits: list[_Bit] = []
    lines: dict[str, tuple[tuple[int, int | None, bool], ...]] = {}
    findings: list[Finding] = []
    loose: dict[str, str] = {}
    for shape in shapes:
        known = _lines_of(circuit, shape)
        found: list[tuple[int, int | None, bool]] = []
        for at, pin in enumerate(shape.address):
            line = known[pin]
            if line.level is not None:
                found += [(at, None, False)] if line.level else []
                continue
            leg = f"{shape.part}.{pin} {line.name}"
            if line.set_by in ("not stated", "nothing"):
                loose[f"{shape.part}.{pin}"] = leg
            root, inverts = _root(circuit, line.net) if line.net else (leg, False)
            number = next((i for i, b in enumerate(bits) if b.root == root), len(bits))
            if number == len(bits):
                bits.append(_Bit(root, inverts, line.net, driven_by_text(line)))
            bits[number].legs.append(leg)
            found.append((at, number, inverts ^ bits[number].inverts))
        lines[shape.part] = tuple(found)
    if loose:
        findings.append(
            warning(
                "loose-address",
                f"what sets {', '.join(loose.values())} is not drawn; each was taken as a line of its own, so that there may be more "
                "entries here than on the board",
                *loose,
            )
        )
    entry_bits = tuple(EntryBit(i, tuple(b.legs), b.net, b.driven_by) for i, b in enumerate(bits))
    return EntryIndex(entry_bits, lines, tuple(findings))


def used_words(circuit: Circuit, shape: MemoryShape) -> tuple[int, int] | None:
    """First word and number of words that a memory's tied address lines leave, where they lie together."""
    known = _lines_of(circuit, shape)
    held = [known[pin].level for pin in shape.address]
    n_live = held.count(None)
    if n_live == len(held) or any(level is not None for level in held[:n_live]):
        return None
    return sum((level or 0) << at for at, level in enumerate(held)), 1 << n_live


def _lines_of(circuit: Circuit, shape: MemoryShape) -> dict[str, IndexLine]:
    source = Source(shape.part, shape.type, shape.data[0], "", "ram")
    return {line.pin: line for memory in index_of(circuit, [source]) for line in memory.lines}


def _root(circuit: Circuit, net: str) -> tuple[str, bool]:
    """The net that a net is a copy of, and whether it is turned over against it."""
    inverts = False
    seen = {net}
    for _ in range(_MOST_STEPS):
        step = _copied_from(circuit, net)
        if step is None:
            break
        if step[0] in seen:
            # Two nets that copy one another over a resistor: either name will do, if it is always the same.
            return min(seen), inverts
        net, inverts = step[0], inverts ^ step[1]
        seen.add(net)
    return net, inverts


def _copied_from(circuit: Circuit, net: str) -> tuple[str, bool] | None:
    drivers = circuit.drivers_of(net)
    if not drivers:
        others = {
            other
            for other, _, arc in circuit.series_neighbours(net)
            if other not in circuit.rails and arc.ohm is not None and arc.ohm <= DAMPING_OHM
        }
        return (others.pop(), False) if len(others) == 1 else None
    if len(drivers) > 1:
        return None
    known = circuit.identified[drivers[0].part]
    arcs = known.type.arcs_into(drivers[0].pin, "data")
    if known.kind not in _ONE_INPUT_KINDS or len(arcs) != 1 or arcs[0].when:
        return None
    source = circuit.net_of(drivers[0].part, arcs[0].source)
    return (source, arcs[0].inverts) if source and source not in circuit.rails else None
