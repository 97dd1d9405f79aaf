"""How many words a memory has and which leg is which bit of them: what a dump of it must fit.

Bit 0 of an address is the address leg that comes first by name (A0), bit 0 of a word the data leg that comes
first by name (D0, O1, Q1): the order in which programmers write and read them (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from tracer.base.names import bare_name, is_active_low, natural_key
from tracer.parts.kinds import Kind
from tracer.parts.model import PartType

__all__ = ["MemoryShape", "shape_of"]


@dataclass(frozen=True, slots=True)
class MemoryShape:
    """One memory as its dump sees it.

    Attributes
    ----------
    part, type : str
        Reference and type.
    address, data : tuple of str
        Pin numbers, lightest first.
    names : tuple of str
        Names of the data pins, lightest first.
    inverts : bool
        Its outputs show what was written turned over.
    place : str or None
        Where on the board it sits.
    used : tuple of (int, int) or None
        First word and number of words that the board can read, where they lie together.
    """

    part: str
    type: str
    address: tuple[str, ...]
    data: tuple[str, ...]
    names: tuple[str, ...]
    inverts: bool = False
    place: str | None = None
    used: tuple[int, int] | None = None

    @property
    def depth(self) -> int:
        """Words."""
        return 1 << len(self.address)

    @property
    def width(self) -> int:
        """Bits of a word."""
        return len(self.data)

    @property
    def n_bytes(self) -> int:
        """Bytes of a dump: each word starts a byte of its own."""
        return self.depth * -(-self.width // 8)

    def __str__(self) -> str:
        return f"{self.part} ({self.type}, {self.depth} x {self.width})"


def shape_of(
    part: str, known: PartType, source_pins: Iterable[str], place: str | None = None
) -> MemoryShape | None:
    """The shape of a memory at the port that `source_pins` belong to.

    Returns
    -------
    MemoryShape or None
        None where address and data do not make a table: row and column share the address pins of a
        dynamic RAM, several ports are read at once, a leg is data or address by a mode, or no address pins
        are known.
    """
    ports = {frozenset(a.source for a in known.arcs_into(pin, "address")) for pin in source_pins}
    if len(ports) != 1:
        return None
    port = ports.pop()
    data = [
        p for p in known.pins if frozenset(a.source for a in known.arcs_into(p.number, "address")) == port
    ]
    controls = {a.source for pin in data for a in known.arcs_into(pin.number, "control")}
    if not port or port & {p.number for p in known.pins if p.role.startswith("data")}:
        return None
    if any(bare_name(known.by_number[c].name) in ("RAS", "CAS") for c in controls):
        return None
    data.sort(key=lambda p: (natural_key(p.name), natural_key(p.number)))
    address = sorted(port, key=lambda n: (natural_key(known.by_number[n].name), natural_key(n)))
    return MemoryShape(
        part,
        known.name,
        tuple(address),
        tuple(p.number for p in data),
        tuple(p.name for p in data),
        known.kind == Kind.RAM and all(is_active_low(p.name) for p in data),
        place,
    )
