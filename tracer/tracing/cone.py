"""What lies behind a net: found by one sweep back, without listing the ways.

The sweep is the fan-in cone of timing analysers: from a net to the outputs on it, from an output over the open data
arcs of its part to their nets, and over resistors and links where no output holds a net. It ends at memories, at
what makes its output itself, at connectors and rails, and at a processor: what else stands on the line of a
processor's data bus is not behind a net that only reads that line.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field

from tracer.circuit.graph import Circuit
from tracer.netlist.board import PinRef
from tracer.parts.kinds import Kind

__all__ = ["Cone", "Cones"]


@dataclass(frozen=True, slots=True)
class Cone:
    """The ends behind a net or an output.

    Attributes
    ----------
    memories : frozenset of PinRef
        Data pins of memories.
    makers : frozenset of PinRef
        Pins of parts that make or hide their bit: counters, arrays, processors, unknown parts, connectors.
    rails : frozenset of str
        Supplies and grounds that hold a net behind.
    is_driven : bool
        Some output lies behind, though what feeds it may not be known.
    is_loose : bool
        An input behind an output is not stated, or nothing drives it.
    """

    memories: frozenset[PinRef] = frozenset()
    makers: frozenset[PinRef] = frozenset()
    rails: frozenset[str] = frozenset()
    is_driven: bool = False
    is_loose: bool = False

    @property
    def stores(self) -> bool:
        """Whether a stored bit lies behind."""
        return bool(self.memories)

    @property
    def ends(self) -> frozenset[PinRef]:
        """Every pin that the bit may come from."""
        return self.memories | self.makers

    @property
    def stands_still(self) -> bool:
        """Whether nothing behind can change."""
        return not self.ends and not self.is_loose

    @property
    def is_open(self) -> bool:
        """Whether nothing at all lies behind."""
        return not (self.ends or self.rails or self.is_driven)


@dataclass
class Cones:
    """Sweeps on one circuit, each done once.

    Attributes
    ----------
    circuit : Circuit
    closed : frozenset of str
        Nets of the output stages, which no series part leads back into.
    talkers : callable
        Of several outputs on a net, those that a reader of the net gets its bit from.
    """

    circuit: Circuit
    closed: frozenset[str]
    talkers: Callable[[str, tuple[PinRef, ...]], tuple[PinRef, ...]]
    _found: dict[tuple[str | PinRef, str], Cone] = field(default_factory=dict)

    def behind(self, start: str | PinRef, without: str = "") -> Cone:
        """What lies behind a net or an output; the net `without` is not entered."""
        key = (start, without)
        if key not in self._found:
            self._found[key] = _Sweep(self, without).run(start)
        return self._found[key]


class _Sweep:
    """One sweep back, breadth first."""

    def __init__(self, cones: Cones, without: str) -> None:
        self.cones, self.circuit = cones, cones.circuit
        self.seen: set[str | PinRef] = {without}
        self.front: deque[str | PinRef] = deque()
        self.memories: set[PinRef] = set()
        self.makers: set[PinRef] = set()
        self.rails: set[str] = set()
        self.is_driven = self.is_loose = False

    def run(self, start: str | PinRef) -> Cone:
        self._go(start)
        while self.front:
            here = self.front.popleft()
            if isinstance(here, PinRef):
                self._output(here)
            else:
                self._net(here)
        return Cone(
            frozenset(self.memories),
            frozenset(self.makers),
            frozenset(self.rails),
            self.is_driven,
            self.is_loose,
        )

    def _go(self, where: str | PinRef) -> None:
        if where not in self.seen:
            self.seen.add(where)
            self.front.append(where)

    def _output(self, pin: PinRef) -> None:
        self.is_driven = True
        kind = self.circuit.identified[pin.part].kind
        if kind.stores:
            self.memories.add(pin)
            return
        arcs = self.circuit.open_arcs(pin) if kind.passes else ()
        for arc in arcs:
            net = self.circuit.net_of(pin.part, arc.source)
            if net is not None:
                self._go(net)
            else:
                self.is_loose = True
        if not arcs:
            self.makers.add(pin)

    def _net(self, net: str) -> None:
        if net in self.circuit.rails:
            self.rails.add(net)
            return
        drivers = tuple(pin for pin in self.circuit.drivers_of(net) if not self.circuit.is_input(pin))
        if drivers:
            for pin in self.cones.talkers(net, drivers):
                self._go(pin)
            for other, _, _ in self.circuit.weak_sources(net):
                if other not in self.cones.closed and other not in self.circuit.rails:
                    self._go(other)
        else:
            self._past_series(net)

    def _past_series(self, net: str) -> None:
        tied = self.circuit.tied_level(net)
        ways = [other for other, _, _ in self.circuit.ways_past(net) if other not in self.cones.closed]
        for other in ways:
            if other not in self.circuit.rails:
                self._go(other)
            elif tied is not None:
                self.rails.add(other)
        found = {
            pin
            for pin, part in self.circuit.parts_on(net)
            if part.kind == Kind.CONNECTOR or (part.kind.may_drive and not part.type.drives(pin.pin))
        }
        self.makers |= found
        if not (ways or found):
            self.is_loose = self.is_driven
