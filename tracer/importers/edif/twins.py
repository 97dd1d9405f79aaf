"""EDIF instances of one designator: the sections of one part, or several parts that were never numbered.

A section has legs of its own; legs that two sections share, the supplies, stand on one net. What has the same legs as
another instance, or a shared leg elsewhere, is another part: it gets its instance's name behind the designator, so
that nothing is found to be joined through a part that only shares a name. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from tracer.base.findings import Finding, warning
from tracer.netlist.board import Part, PinRef

__all__ = ["Instances"]


@dataclass
class Instances:
    """All instances that are parts, by what they are called.

    Until all nets are known each has a name of its own (`add`); `settle` gives the names that people see.
    """

    _uses: dict[str, list[tuple[str, str]]] = field(default_factory=dict)
    _given: set[str] = field(default_factory=set)
    _final: dict[str, str] = field(default_factory=dict)
    _apart: dict[str, None] = field(default_factory=dict)

    def add(self, reference: str, identifier: str) -> str:
        """A name for one instance that no other has."""
        uses = self._uses.setdefault(reference, [])
        own = reference
        while own in self._given:
            own = f"{own}\0{len(uses)}"
        self._given.add(own)
        uses.append((own, identifier))
        if own != reference:
            self._final[own] = reference
        return own

    def settle(
        self, parts: Iterable[Part], nets: Iterable[tuple[object, Iterable[PinRef]]], ports: str
    ) -> None:
        """Tell sections from parts, by the legs that each has and the nets they stand on.

        `ports` is a part that is no instance; no instance gets its name.
        """
        twins = {own: reference for reference, uses in self._uses.items() if len(uses) > 1 for own, _ in uses}
        if not twins:
            return
        legs: dict[str, dict[str, set[object]]] = {own: {} for own in twins}
        for part in parts:
            if part.reference in legs:
                legs[part.reference].update((pin.number, set()) for pin in part.pins)
        for net, pins in nets:
            for pin in pins:
                if pin.part in legs:
                    legs[pin.part].setdefault(pin.pin, set()).add(net)
        taken = {*self._uses, ports}
        for reference in dict.fromkeys(twins.values()):
            self._settle_one(reference, legs, taken)

    def _settle_one(
        self, reference: str, legs: Mapping[str, dict[str, set[object]]], taken: set[str]
    ) -> None:
        (first, _), *others = self._uses[reference]
        sections = {frozenset(legs[first])}
        nets = {leg: set(found) for leg, found in legs[first].items()}
        for own, identifier in others:
            mine = legs[own]
            clash = any(nets.get(leg) and found and nets[leg] != found for leg, found in mine.items())
            if clash or frozenset(mine) in sections:
                name = f"{reference}_{identifier}"
                while name in taken:
                    name += "_"
                taken.add(name)
                self._final[own] = name
                self._apart[name] = None
                continue
            sections.add(frozenset(mine))
            for leg, found in mine.items():
                nets.setdefault(leg, set()).update(found)

    def part(self, own: str) -> str:
        """What an instance is called."""
        return self._final.get(own, own)

    def pin(self, pin: PinRef) -> PinRef:
        """The pin of a part as people see it."""
        return PinRef(self._final[pin.part], pin.pin) if pin.part in self._final else pin

    def findings(self) -> Iterator[Finding]:
        """Those that were kept apart, all at once."""
        if self._apart:
            names = list(self._apart)
            yield warning(
                "duplicate-part",
                f"{len(names)} instance(s) have the designator of another part and were kept apart from it: "
                f"{', '.join(names[:8])}{' ...' if len(names) > 8 else ''}; number them in the drawing",
                *names,
            )
