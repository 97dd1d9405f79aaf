"""From a driver back to the memory pin that sources its bit.

A walk goes from an output over the data arcs of its part to the inputs they
come from, from each input's net to the outputs on it, and so on. It ends at a
memory's data pin, or where nothing carries it on; the end says why. What a gate
passes as data and what only gates it is decided in `tracer.tracing.gate_inputs`,
which inputs are followed else in `tracer.tracing.legs`, and which of several
outputs on a net shows the picture in `tracer.tracing.roles`.

It is the fan-in walk of timing analysers, at zero delay: a register passes its
data. A net that was passed already ends the way (a loop).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property, partial
from itertools import chain, islice

from tracer.base.findings import Finding, note
from tracer.bitmap.model import Control, Path, Role, Source, Step, When
from tracer.circuit.graph import Circuit
from tracer.netlist.board import PinRef
from tracer.parts.identify import Identified
from tracer.parts.kinds import Kind
from tracer.parts.model import Arc
from tracer.tracing.buses import bus_talkers
from tracer.tracing.cone import Cones
from tracer.tracing.gate_inputs import gate_data, open_finding
from tracer.tracing.legs import legs_followed
from tracer.tracing.roles import NetDrivers, drivers_by_role
from tracer.tracing.walk_ends import at_connector, end_at, nothing, stop_at, too_far, undecided

__all__ = ["Walker"]

#: Parts in a row; longer ways than this are loops that take a turn each time.
LONGEST_WAY = 60
#: Paths of one bit; more are left out, and that there are some is said.
MOST_PATHS = 96
#: Nets that are looked at for them: in a tangle of loops most ways lead round to where they came from.
MOST_LOOKS = 20_000
#: How a step is called in the map, where the kind of its part does not say it.
_HOW = {Kind.RESISTOR_PACK: "resistor", Kind.TRIMMER: "resistor", Kind.INDUCTOR: "link"}

_ROLE_ORDER = {"picture": 0, "alternative": 1, "write path": 2}


def _together(own: tuple[When, ...], behind: tuple[When, ...]) -> tuple[When, ...] | None:
    """The levels of both, each once; None where they want a pin at both levels, so that the way is never open."""
    found = dict.fromkeys((*own, *behind))
    if len({(when.part, when.pin) for when in found}) < len(found):
        return None
    return tuple(found)


def _each_once(paths: Iterable[Path]) -> Iterator[Path]:
    seen = set()
    for path in paths:
        if path not in seen:
            seen.add(path)
            yield path


def _how(kind: Kind) -> str:
    return _HOW.get(kind, kind.value)


@dataclass
class Walker:
    """Walks on one circuit; keeps what it found on the way.

    Attributes
    ----------
    circuit : Circuit
    closed : frozenset of str
        Nets of the output stages: not entered, so that no series part leads back into them.
    gate_users : mapping of str to frozenset of str
        Net -> the drivers of the output stage whose gates take it as an input (see `tracer.tracing.gate_inputs`).
    """

    circuit: Circuit
    closed: frozenset[str] = frozenset()
    gate_users: dict[str, frozenset[str]] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    _ways: dict[PinRef, tuple[Path, ...]] = field(default_factory=dict)
    _drivers: dict[tuple[str, tuple[PinRef, ...]], NetDrivers] = field(default_factory=dict)
    _looks: int = 0

    @cached_property
    def cones(self) -> Cones:
        """What lies behind nets, without the ways."""
        return Cones(self.circuit, self.closed, partial(bus_talkers, self.circuit))

    def walk_back(self, driver: PinRef) -> tuple[Path, ...]:
        """The ways from an output back, at least one; up to `MOST_PATHS`."""
        if driver not in self._ways:
            paths = self._first(self._from_output(driver, frozenset(), 0), str(driver))
            self._ways[driver] = paths or (nothing(None, "the way back runs in a circle"),)
        return self._ways[driver]

    def walk_net(self, net: str, drivers: tuple[PinRef, ...]) -> tuple[PinRef, tuple[Path, ...]]:
        """The output to show of several on one net, and the ways back from all of them."""
        found = self._by_role(net, drivers)
        first = min(found.talkers, key=lambda talker: _ROLE_ORDER[talker.role]).pin
        passed = frozenset({net})
        ways = chain(self._from_talkers(found, passed, 0), self._from_weak(net, passed, 0))
        return first, self._first(ways, str(first)) or self.walk_back(first)

    def _first(self, paths: Iterator[Path], where: str) -> tuple[Path, ...]:
        """The first of many ways, each once."""
        self._looks = 0
        found = list(islice(_each_once(paths), MOST_PATHS + 1))
        if len(found) > MOST_PATHS or self._looks > MOST_LOOKS:
            found = found[:MOST_PATHS]
            text = f"{where} has more ways back than these; the first {len(found)} are in the map"
            self._say(note("several-drivers", text, where))
        return tuple(found)

    def say(self, findings: Iterable[Finding]) -> None:
        """Keep what a person should know, each once."""
        self.findings += [f for f in findings if f not in self.findings]

    def _say(self, finding: Finding) -> None:
        self.say([finding])

    # -- from an output to the inputs it comes from ---------------------------------------------

    def _from_output(self, pin: PinRef, passed: frozenset[str], depth: int) -> Iterator[Path]:
        part = self.circuit.identified[pin.part]
        if not part.kind.passes:
            yield self._end(pin, part)
            return
        if depth > LONGEST_WAY:
            yield too_far(str(pin), LONGEST_WAY)
            return
        arcs = self.circuit.open_arcs(pin)
        if not arcs:
            yield self._end(pin, part)
            return
        inputs: dict[str, Arc] = {}
        unstated: list[Arc] = []
        for arc in arcs:
            net = self.circuit.net_of(pin.part, arc.source)
            if net is None:
                unstated.append(arc)
            elif net not in passed:
                inputs.setdefault(net, arc)
        yield from self._inputs(pin, part, inputs, unstated, passed, depth)

    def _inputs(
        self,
        pin: PinRef,
        part: Identified,
        inputs: dict[str, Arc],
        unstated: list[Arc],
        passed: frozenset[str],
        depth: int,
    ) -> Iterator[Path]:
        live = {net: arc for net, arc in inputs.items() if self.circuit.tied_level(net) is None}
        gating: tuple[Control, ...] = ()
        if part.kind == Kind.GATE and len(live) > 1:
            gate = gate_data(self.cones, live, self.gate_users)
            if not gate.is_settled:
                if gate.are_too_many:
                    yield undecided(pin, part, gate.ends)
                    return
                self._say(open_finding(pin, gate))
            data = gate.data
            gating = tuple(
                Control(arc.source, part.type.by_number[arc.source].name, net)
                for net, arc in live.items()
                if net not in data
            )
            live = {net: live[net] for net in data}
        legs, unused = legs_followed(self.circuit, self.cones, part, live)
        self.say(unused)
        for leg in legs:
            step = self._step(pin, part, leg.arc)
            step = replace(step, controls=(*step.controls, *gating))
            for path in self._from_net(leg.net, passed, depth + 1):
                if leg.only_stored and not path.source.is_memory:
                    continue
                role: Role = "alternative" if leg.is_choice and path.role == "picture" else path.role
                when = _together(leg.when, path.when)
                if when is not None:
                    yield replace(path, role=role, when=when, steps=(step, *path.steps))
        if not legs:
            yield from self._dead_inputs(pin, part, inputs, unstated)

    def _dead_inputs(
        self, pin: PinRef, part: Identified, inputs: dict[str, Arc], unstated: list[Arc]
    ) -> Iterator[Path]:
        """An output none of whose inputs brings anything."""
        for net, arc in inputs.items():
            level = self.circuit.tied_level(net)
            if level is not None:
                source = Source(None, None, None, net, "rail")
                text = f"{pin.part}.{arc.source} is tied {'high' if level else 'low'} ({net})"
                yield Path("picture", (), (self._step(pin, part, arc),), source, text)
                return
        for arc in unstated:
            where = f"{pin.part}.{arc.source}"
            text = f"the netlist does not say what {where} is joined to; beep it to carry on"
            yield replace(nothing(None, text), steps=(self._step(pin, part, arc),))
            return

    def _step(self, pin: PinRef, part: Identified, arc: Arc) -> Step:
        controls = tuple(
            Control(c.source, part.type.by_number[c.source].name, self.circuit.net_of(pin.part, c.source))
            for c in part.type.arcs_into(pin.pin, "control")
        )
        how = "inverter" if part.kind == Kind.BUFFER and arc.inverts else _how(part.kind)
        return Step(pin.part, part.shown_type, arc.source, pin.pin, how, arc.inverts, controls, part.sold_as)

    # -- from a net to the outputs on it --------------------------------------------------------

    def _from_net(self, net: str, passed: frozenset[str], depth: int) -> Iterator[Path]:
        self._looks += 1
        if net in passed or self._looks > MOST_LOOKS:
            return
        passed = passed | {net}
        rail = self.circuit.rails.get(net)
        if rail is not None:
            level = "low" if rail.is_ground else "high"
            yield Path(
                "picture", (), (), Source(None, None, None, net, "rail"), f"it is tied {level} ({net})"
            )
            return
        drivers = tuple(p for p in self.circuit.drivers_of(net) if self._can_drive(p, passed))
        if not drivers:
            yield from self._past_series(net, passed, depth)
            return
        yield from self._from_talkers(self._by_role(net, drivers), passed, depth)
        yield from self._from_weak(net, passed, depth)

    def _from_weak(self, net: str, passed: frozenset[str], depth: int) -> Iterator[Path]:
        """What holds a net over a resistor while the outputs on it are off."""
        for other, arc, reference in self.circuit.weak_sources(net):
            if other not in passed and other not in self.closed and other not in self.circuit.rails:
                step = self._series_step(arc, reference)
                for path in self._from_net(other, passed, depth + 1):
                    role: Role = "alternative" if path.role == "picture" else path.role
                    yield replace(path, role=role, steps=(step, *path.steps))

    def _by_role(self, net: str, drivers: tuple[PinRef, ...]) -> NetDrivers:
        if (net, drivers) not in self._drivers:
            self._drivers[net, drivers] = drivers_by_role(self.cones, net, drivers)
            self.say(self._drivers[net, drivers].findings)
        return self._drivers[net, drivers]

    def _from_talkers(self, found: NetDrivers, passed: frozenset[str], depth: int) -> Iterator[Path]:
        for talker in sorted(found.talkers, key=lambda t: _ROLE_ORDER[t.role]):
            for path in self._from_output(talker.pin, passed, depth):
                role = path.role if talker.role == "picture" else talker.role
                when = _together(talker.when if path.role != "write path" else (), path.when)
                if when is not None:
                    yield replace(path, role=role, when=when)

    def _can_drive(self, pin: PinRef, passed: frozenset[str]) -> bool:
        """A two-way buffer's pin drives only when its other side was not passed and its direction allows."""
        if not self.circuit.identified[pin.part].kind.is_two_way:
            return True
        part = self.circuit.identified[pin.part]
        return any(
            self.circuit.net_of(pin.part, arc.source) not in passed
            for arc in part.type.arcs_into(pin.pin, "data")
            if not self.circuit.is_shut(pin.part, arc)
        )

    def _past_series(self, net: str, passed: frozenset[str], depth: int) -> Iterator[Path]:
        """A net without an output: over resistors, links, diodes and transistors to one that has some."""
        if depth > LONGEST_WAY:
            yield too_far(net, LONGEST_WAY)
            return
        found = False
        for other, arc, reference in self.circuit.ways_past(net):
            if other in passed or other in self.closed or other in self.circuit.rails:
                continue
            step = self._series_step(arc, reference)
            for path in self._from_net(other, passed, depth + 1):
                if path.source.kind != "nothing":
                    found = True
                    yield replace(path, steps=(step, *path.steps))
            if self.circuit.identified[reference].kind == Kind.SWITCH:
                self._say(note("switch-assumed", f"{reference} was taken as closed", reference))
        if not found:
            yield self._stop_at(net)

    def _series_step(self, arc: Arc, reference: str) -> Step:
        part = self.circuit.identified[reference]
        return Step(reference, part.shown_type, arc.source, arc.target, _how(part.kind), arc.inverts)

    def _stop_at(self, net: str) -> Path:
        """Why a net without any output stops the walk."""
        path, findings = stop_at(self.circuit, net)
        self.say(findings)
        return path

    def _end(self, pin: PinRef, part: Identified) -> Path:
        """The end of a walk at an output; what is odd about its part is said."""
        self.say(part.findings)
        return at_connector(self.circuit, pin, part) if part.kind == Kind.CONNECTOR else end_at(pin, part)
