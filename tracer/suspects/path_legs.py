"""The legs of the colour path: which paths pass each, where a connection begins and ends, and what faults hit there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cached_property

from tracer.base.names import natural_key
from tracer.base.once import once
from tracer.bitmap.model import MemoryIndex
from tracer.levels.leg_paths import LegPath, banked_paths, open_reads
from tracer.suspects.fault import Leg, Place
from tracer.suspects.hits import BitId, Hit
from tracer.tracing.pipeline import Traced

__all__ = ["LegKey", "PathLegs", "path_legs"]

#: Part and pin.
LegKey = tuple[str, str]
#: What a control makes of an output while it acts.
_GIVES = {"clear": 0, "preset": 1}


class PathLegs:
    """All legs that the bits pass, source first.

    Attributes
    ----------
    paths : dict of (str, int) to LegPath
        The main path of each bit.
    banks : tuple of dict of (str, int) to LegPath
        The paths by bank, the main ones first.
    uses : dict of (str, str) to list of (LegPath, int)
        Leg -> the paths over it, and its place in each.
    """

    def __init__(self, traced: Traced) -> None:
        self.traced, self.circuit = traced, traced.circuit
        #: What `tracer.base.once.once` has computed from it.
        self.kept: dict[object, object] = {}
        self.banks = tuple({(p.colour, p.bit): p for p in paths} for paths in banked_paths(traced))
        self.paths: dict[BitId, LegPath] = self.banks[0]
        self.uses: dict[LegKey, list[tuple[LegPath, int]]] = {}
        for bank, paths in enumerate(self.banks):
            for path in (p for p in paths.values() if p.bank == bank):
                for at, leg in enumerate(path.legs):
                    self.uses.setdefault((leg.part, leg.pin), []).append((path, at))

    @cached_property
    def chips(self) -> tuple[str, ...]:
        """The parts that the paths pass."""
        return tuple(sorted({part for part, _ in self.uses}, key=natural_key))

    def is_output(self, key: LegKey) -> bool:
        """Whether the bits leave their part by this leg."""
        path, at = self.uses[key][0]
        return path.legs[at].is_output

    def outputs_of(self, part: str) -> tuple[LegKey, ...]:
        """The legs by which the bits leave a part."""
        own = {key for key in self.uses if key[0] == part and self.is_output(key)}
        return tuple(sorted(own, key=lambda key: natural_key(key[1])))

    @cached_property
    def memories(self) -> tuple[MemoryIndex, ...]:
        """The memories of the path whose address lines are known."""
        return tuple(m for m in self.traced.bit_map.index if m.part in self.chips)

    def inputs_of(self, part: str) -> tuple[LegKey, ...]:
        """The legs by which the bits enter a part."""
        own = {key for key in self.uses if key[0] == part and not self.is_output(key)}
        return tuple(sorted(own, key=lambda key: natural_key(key[1])))

    def supplies_of(self, part: str) -> tuple[tuple[LegKey, int], ...]:
        """The supply and ground legs of a part, each with the level that it should have."""
        circuit, found = self.circuit, []
        for pin in circuit.identified[part].type.pins:
            net = circuit.net_of(part, pin.number)
            if pin.direction == "power" and net is not None and net in circuit.rails:
                found.append(((part, pin.number), 0 if circuit.rails[net].is_ground else 1))
        return tuple(found)

    def leg(self, part: str, pin: str) -> Leg:
        """A leg with its name."""
        known = self.circuit.identified[part].type.by_number.get(pin)
        return Leg(part, pin, known.name if known and known.name != pin else "")

    def legs(self, keys: Iterable[LegKey]) -> tuple[Leg, ...]:
        """The same of several."""
        return tuple(self.leg(*key) for key in keys)

    def connection(self, key: LegKey) -> Place:
        """The two ends of the track that a leg stands on: an open one looks alike at both."""
        path, at = self.uses[key][0]
        first = at if path.legs[at].is_output else at - 1
        ends = [f"{leg.part}.{leg.pin}" for leg in path.legs[max(first, 0) : first + 2]]
        if first + 1 >= len(path.legs):
            ends += self._stage_parts(path)[:1]
        return Place(tuple(ends))

    def _stage_parts(self, path: LegPath) -> list[str]:
        """Parts of the output stage that stand on a driver's own net, the bit's resistors first."""
        driver = path.legs[-1]
        net = self.circuit.net_of(driver.part, driver.pin)
        if net is None:
            return []
        on = dict.fromkeys(pin.part for pin in self.circuit.pins_on(net))
        stage = [part for part in on if self.circuit.identified[part].kind.is_discrete]
        bits = next(c for c in self.traced.bit_map.colours if c.name == path.colour).bits
        own = {r.part for b in bits if b.bit == path.bit for r in b.resistors}
        return sorted(stage, key=lambda part: (part not in own, natural_key(part)))

    def blanked_from(self, path: LegPath, start: int, at: int) -> int | None:
        """The level that a leg gets between the lines from a clear or preset behind leg `start`; None where none acts."""
        level = None
        for i in range(start + 1, at + 1):
            leg = path.legs[i]
            if level is not None and leg.inverts:
                level = 1 - level
            if leg.is_output and leg.part in self._clears:
                level = self._clears[leg.part]
        return level

    @cached_property
    def _clears(self) -> dict[str, int]:
        """Chips of the path whose clear or preset something drives -> the level that it gives their outputs."""
        found = {}
        for part in self.chips:
            for arc in self.circuit.identified[part].type.arcs:
                net = self.circuit.net_of(part, arc.source)
                is_driven = (
                    net is not None and self.circuit.tied_level(net) is None and self.circuit.drivers_of(net)
                )
                if arc.kind == "control" and arc.role in _GIVES and is_driven:
                    found[part] = _GIVES[arc.role]
        return found

    # -- what faults do there -----------------------------------------------------------------------

    def held(self, keys: Iterable[LegKey], level: int | None) -> Iterator[tuple[BitId, Hit]]:
        """Hits of legs that have a level of their own; none, where `level` is None."""
        for key in keys:
            for path, at in self.uses[key]:
                yield (path.colour, path.bit), Hit(at, level, bank=path.bank)

    def shorted(self, keys: Iterable[LegKey], level: int) -> Iterator[tuple[BitId, Hit]]:
        """Hits of inputs that pull their whole net to a level: the output that drives it stands there too."""
        for key in keys:
            for path, at in self.uses[key]:
                yield (path.colour, path.bit), Hit(max(at - 1, 0), level, bank=path.bank)

    def opened(self, keys: Iterable[LegKey]) -> Iterator[tuple[BitId, Hit]]:
        """Hits of legs that are open: outputs hold nothing, inputs hear nothing."""
        for key in keys:
            for path, at in self.uses[key]:
                bit, leg = (path.colour, path.bit), path.legs[at]
                if leg.is_output and at + 1 == len(path.legs):
                    yield bit, Hit(at, None, is_open=True, let_go=True, bank=path.bank)
                else:
                    reader = path.legs[at + 1] if leg.is_output else leg
                    yield bit, Hit(at, open_reads(self.circuit, reader.part), is_open=True, bank=path.bank)


@once
def path_legs(traced: Traced) -> PathLegs:
    """The legs of a board's path."""
    return PathLegs(traced)
