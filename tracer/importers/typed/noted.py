"""What a person has noted of a board, fact by fact, and the netlist that it makes."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from tracer.base.findings import Finding, warning
from tracer.base.names import natural_key
from tracer.netlist.board import Evidence, Netlist, Notes, Origin, Part, Pin, PinRef, Touch, make_netlist
from tracer.netlist.net_names import name_of_alone, name_of_joined
from tracer.netlist.notes import Load, Told
from tracer.netlist.union_find import UnionFind

__all__ = ["Noted"]


@dataclass
class Noted:
    """All facts of a file, in the order of its lines."""

    file: str
    parts: dict[str, Part] = field(default_factory=dict)
    pins: dict[str, dict[str, Pin]] = field(default_factory=dict)
    joined: UnionFind = field(default_factory=UnionFind)
    names: dict[str, PinRef] = field(default_factory=dict)
    first: dict[PinRef, Origin] = field(default_factory=dict)
    alone: list[PinRef] = field(default_factory=list)
    colours: dict[str, Told] = field(default_factory=dict)
    apart: list[tuple[PinRef, PinRef]] = field(default_factory=list)
    evidence: list[Evidence] = field(default_factory=list)
    touches: list[Touch] = field(default_factory=list)
    sockets: dict[str, bool] = field(default_factory=dict)
    load: Load | None = None
    findings: list[Finding] = field(default_factory=list)

    def part(self, reference: str, marking: str, symbol: str, place: str, origin: Origin) -> None:
        """A part; one that is noted again keeps the place that it had, if none is said."""
        old = self.parts.get(reference, Part(reference))
        if old.marking and marking and old.marking != marking:
            self.findings.append(
                warning(
                    "contradiction",
                    f"{reference} is {old.marking} in {old.origin} and {marking} in line {origin.line}; the later one was "
                    "taken",
                    reference,
                )
            )
        self.parts[reference] = Part(
            reference, marking, symbol=symbol, place=place or old.place, fitted=old.fitted, origin=origin
        )

    def unfitted(self, reference: str, origin: Origin) -> None:
        """A part that is drawn or printed and not there."""
        old = self.parts.get(reference, Part(reference, origin=origin))
        self.parts[reference] = replace(old, fitted=False)

    def stands(self, pin: PinRef, origin: Origin) -> None:
        """A leg that is named somewhere."""
        self.joined.find(pin)
        self.first.setdefault(pin, origin)

    def named(self, pin: PinRef, known: Pin, origin: Origin) -> None:
        """What a leg is called."""
        self.first.setdefault(pin, origin)
        self.pins.setdefault(pin.part, {})[pin.pin] = known

    def beep(self, pins: list[PinRef], name: str | None, origin: Origin) -> None:
        """Legs that beep together, and the name of their net, if it was given."""
        self.touches.append(Touch(tuple(pins), True, origin))
        for pin in pins:
            self.stands(pin, origin)
            self.joined.union(pins[0], pin)
        if name is not None:
            self.joined.union(self.names.setdefault(name, pins[0]), pins[0])

    def silent(self, a: PinRef, b: PinRef, origin: Origin) -> None:
        """Two legs between which no beep was heard."""
        self.stands(a, origin)
        self.stands(b, origin)
        self.apart.append((a, b))
        self.touches.append(Touch((a, b), False, origin))

    def netlist(self, name: str) -> Netlist:
        """The board, in so far as it was noted."""
        groups: dict[object, list[PinRef]] = {}
        stated = set(self.alone)
        named = {self.joined.find(pin): net for net, pin in reversed(list(self.names.items()))}
        for pin in sorted(self.first, key=lambda p: p.key):
            groups.setdefault(self.joined.find(pin), []).append(pin)
        nets = []
        for key, pins in groups.items():
            if len(pins) == 1 and key not in named:
                if pins[0] in stated:
                    nets.append((name_of_alone(pins[0]), pins, self.first[pins[0]]))
                continue
            net_name = named.get(key, name_of_joined(pins[0]))
            nets.append((net_name, pins, self.first[pins[0]]))
        self._say_merged_names()
        noted: dict[str, dict[str, Pin]] = {}
        for pin in self.first:
            noted.setdefault(pin.part, {})[pin.pin] = Pin(pin.pin)
        references = sorted({*self.parts, *self.pins, *noted, *self.sockets}, key=natural_key)
        parts = []
        for reference in references:
            part = self.parts.get(reference) or Part(reference)
            pins_of = noted.get(reference, {})
            pins_of.update(self.pins.get(reference, {}))
            parts.append(
                Part(
                    reference,
                    part.marking,
                    part.symbol,
                    place=part.place,
                    pins=tuple(pins_of[n] for n in sorted(pins_of, key=natural_key)),
                    fitted=part.fitted,
                    origin=part.origin,
                )
            )
        notes = Notes(
            tuple(self.colours.items()),
            tuple(self.apart),
            tuple(self.evidence),
            tuple(self.touches),
            tuple(self.sockets.items()),
            self.load,
        )
        return make_netlist(name, parts, nets, findings=self.findings, notes=notes, beeped=True)

    def _say_merged_names(self) -> None:
        """Two named nets that beep together are one; it may be a slip of the pen."""
        by_key: dict[object, list[str]] = {}
        for name, pin in self.names.items():
            by_key.setdefault(self.joined.find(pin), []).append(name)
        for names in by_key.values():
            if len(names) > 1:
                self.findings.append(
                    warning(
                        "contradiction",
                        f"nets {' and '.join(names)} beep together in {self.file}; they are one net",
                        *names,
                    )
                )
