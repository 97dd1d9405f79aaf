"""From a driver back to the memory pin that sources its bit.

A walk goes from an output over the data arcs of its part to the inputs they
come from, from each input's net to the outputs on it, and so on. It ends at a
memory's data pin, or where nothing carries it on; the end says why. What a gate
passes as data and what only gates it, and which of several outputs on a net
shows the picture, is decided in `tracer.tracing.roles`.

It is the fan-in walk of timing analysers, at zero delay: a register passes its
data. A net that was passed already ends the way (a loop).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace

from tracer.base.findings import Finding, note
from tracer.bitmap.model import Control, Path, Source, Step, When
from tracer.circuit.graph import Circuit
from tracer.netlist.board import PinRef
from tracer.parts.identify import Identified
from tracer.parts.kinds import Kind
from tracer.parts.model import Arc
from tracer.tracing.roles import drivers_by_role, split_gate_inputs
from tracer.tracing.walk_ends import end_at, nothing, stop_at, too_far

__all__ = ["Walker"]

#: Parts in a row; longer ways than this are loops that take a turn each time.
LONGEST_WAY = 60
#: Paths of one bit; more are counted and left out.
MOST_PATHS = 96

#: How a step is called in the map, where the kind of its part does not say it.
_HOW = {Kind.RESISTOR_PACK: "resistor", Kind.TRIMMER: "resistor", Kind.INDUCTOR: "link"}


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
        Net -> the drivers of the output stage whose gates take it as an input (see `tracer.tracing.roles`).
    """

    circuit: Circuit
    closed: frozenset[str] = frozenset()
    gate_users: dict[str, frozenset[str]] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    _memo: dict[PinRef, tuple[Path, ...]] = field(default_factory=dict)
    _memory_behind: dict[str, bool] = field(default_factory=dict)

    def walk_back(self, driver: PinRef) -> tuple[Path, ...]:
        """All ways from an output back; at least one."""
        if driver not in self._memo:
            paths = self._limited(list(self._from_output(driver, frozenset(), 0)), driver)
            self._memo[driver] = paths or (nothing(None, "the way back runs in a circle"),)
        return self._memo[driver]

    def leads_to_memory(self, net: str, passed: frozenset[str] = frozenset()) -> bool:
        """Whether some way back from a net ends at a memory that shows the picture."""
        if net not in self._memory_behind:
            paths = self._from_net(net, passed, LONGEST_WAY // 2)
            self._memory_behind[net] = any(p.source.is_memory and p.role != "write path" for p in paths)
        return self._memory_behind[net]

    def _limited(self, paths: list[Path], driver: PinRef) -> tuple[Path, ...]:
        unique = list(dict.fromkeys(paths))
        if len(unique) > MOST_PATHS:
            self._say(
                note(
                    "several-drivers",
                    f"{driver} has {len(unique)} ways back; the first {MOST_PATHS} are in the map",
                    str(driver),
                )
            )
        return tuple(unique[:MOST_PATHS])

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
        arcs = self._open_arcs(pin, part)
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
            data = self._gate_data(pin, live, passed)
            gating = tuple(
                Control(arc.source, part.type.by_number[arc.source].name, net)
                for net, arc in live.items()
                if net not in data
            )
            live = data
        selects = part.kind in (Kind.MULTIPLEXER, Kind.ANALOGUE_SWITCH) or any(
            arc.when for arc in live.values()
        )
        groups: list[tuple[Arc, list[Path]]] = []
        for net, arc in live.items():
            groups.append((arc, list(self._from_net(net, passed, depth + 1))))
        if part.kind == Kind.SHIFT_REGISTER:
            groups = self._word(groups, part)
        elif selects and len(groups) > 1:
            groups = self._legs(pin, groups)
        for arc, paths in groups:
            step = self._step(pin, part, arc)
            step = replace(step, controls=(*step.controls, *gating))
            for path in paths:
                yield replace(path, steps=(step, *path.steps))
        if not groups:
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

    def _open_arcs(self, pin: PinRef, part: Identified) -> list[Arc]:
        """Data arcs into an output that no tied control pin shuts."""
        arcs = part.type.arcs_into(pin.pin, "data")
        return [arc for arc in arcs if not self.circuit.is_shut(pin.part, arc)] or list(arcs)

    def _gate_data(self, pin: PinRef, live: dict[str, Arc], passed: frozenset[str]) -> dict[str, Arc]:
        # A jumper or a pull-up sets an option; it brings no bit.
        moving = {net: arc for net, arc in live.items() if not self._stands_still(net, passed)}
        live = moving or live
        memory = {net: self.leads_to_memory(net, passed) for net in live}
        data, settled = split_gate_inputs(live, memory, self.gate_users)
        if not settled:
            nets = ", ".join(data)
            self._say(
                note(
                    "gate-undecided",
                    f"it is not settled which input of the gate at {pin} is the data ({nets}); all are in the map",
                    str(pin),
                )
            )
        return {net: live[net] for net in data}

    def _stands_still(self, net: str, passed: frozenset[str]) -> bool:
        """Whether a net only ever leads to rails or to nothing."""
        paths = list(self._from_net(net, passed, LONGEST_WAY // 2))
        return all(p.source.kind in ("rail", "nothing") and not p.steps for p in paths) or all(
            p.source.kind == "rail" for p in paths
        )

    def _word(self, groups: list[tuple[Arc, list[Path]]], part: Identified) -> list[tuple[Arc, list[Path]]]:
        """A shift register: every parallel input shows in turn; a serial input only if it brings a stored bit."""
        kept = []
        for arc, paths in groups:
            if part.type.by_number[arc.source].role == "serial_in":
                paths = [p for p in paths if p.source.is_memory]
            if paths:
                kept.append((arc, paths))
        return kept or groups

    def _legs(self, pin: PinRef, groups: list[tuple[Arc, list[Path]]]) -> list[tuple[Arc, list[Path]]]:
        """Legs of a multiplexer: alternatives, each with the levels that choose it."""
        part = self.circuit.identified[pin.part]
        live = []
        for arc, paths in groups:
            if all(p.source.kind == "nothing" and not p.steps for p in paths):
                self._say(
                    note(
                        "unused-leg",
                        f"{pin.part}.{arc.source} leads to nothing and was left out",
                        f"{pin.part}.{arc.source}",
                    )
                )
            else:
                live.append((arc, paths))
        if len(live) < 2:
            return live or groups
        found = []
        for arc, paths in live:
            when = tuple(
                When(pin.part, p, part.type.by_number[p].name, level)
                for p, level in arc.when
                if self.circuit.tied_level(self.circuit.net_of(pin.part, p)) is None
            )
            marked = [
                replace(p, role="alternative" if p.role == "picture" else p.role, when=(*when, *p.when))
                for p in paths
            ]
            found.append((arc, marked))
        # Legs with a stored bit first: they are what a repairer looks for.
        return sorted(found, key=lambda item: not any(p.source.is_memory for p in item[1]))

    def _step(self, pin: PinRef, part: Identified, arc: Arc) -> Step:
        controls = tuple(
            Control(c.source, part.type.by_number[c.source].name, self.circuit.net_of(pin.part, c.source))
            for c in part.type.arcs_into(pin.pin, "control")
        )
        how = "inverter" if part.kind == Kind.BUFFER and arc.inverts else _how(part.kind)
        return Step(pin.part, part.shown_type, arc.source, pin.pin, how, arc.inverts, controls)

    # -- from a net to the outputs on it --------------------------------------------------------

    def _from_net(self, net: str, passed: frozenset[str], depth: int) -> Iterator[Path]:
        if net in passed:
            return
        passed = passed | {net}
        rail = self.circuit.rails.get(net)
        if rail is not None:
            level = "low" if rail.is_ground else "high"
            yield Path(
                "picture", (), (), Source(None, None, None, net, "rail"), f"it is tied {level} ({net})"
            )
            return
        drivers = [p for p in self.circuit.drivers_of(net) if self._can_drive(p, passed)]
        if not drivers:
            yield from self._past_series(net, passed, depth)
            return
        groups = drivers_by_role(self, net, drivers, passed, depth)
        self.say(groups.findings)
        for role, _, when, paths in groups.ways:
            for path in paths:
                own: tuple[When, ...] = when if when and path.role != "write path" else ()
                new = path.role if role == "picture" else role
                yield replace(path, role=new, when=(*own, *path.when))

    def from_output(self, pin: PinRef, passed: frozenset[str], depth: int) -> tuple[Path, ...]:
        """Ways back from one output; for `tracer.tracing.roles`."""
        return tuple(self._from_output(pin, passed, depth))

    def _can_drive(self, pin: PinRef, passed: frozenset[str]) -> bool:
        """A two-way buffer's pin drives only when its other side was not passed and its direction allows."""
        part = self.circuit.identified[pin.part]
        if part.kind not in (Kind.TRANSCEIVER, Kind.ANALOGUE_SWITCH):
            return True
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
        for other, step in self._series_ways(net):
            if other in passed or other in self.closed or other in self.circuit.rails:
                continue
            for path in self._from_net(other, passed, depth + 1):
                if path.source.kind != "nothing":
                    found = True
                    yield replace(path, steps=(step, *path.steps))
        if not found:
            yield self._stop_at(net)

    def _series_ways(self, net: str) -> Iterator[tuple[str, Step]]:
        for other, reference, arc in self.circuit.series_neighbours(net):
            part = self.circuit.identified[reference]
            if part.kind == Kind.SWITCH:
                self._say(note("switch-assumed", f"{reference} was taken as closed", reference))
            yield other, Step(reference, part.shown_type, arc.target, arc.source, _how(part.kind))
        for pin, part in self.circuit.parts_on(net):
            if part.kind != Kind.TRANSISTOR or pin.pin not in part.type.by_number:
                continue
            legs = {leg.name: leg.number for leg in part.type.pins}
            reached = part.type.by_number[pin.pin].name
            if reached in ("C", "E") and "B" in legs:
                base = self.circuit.net_of(pin.part, legs["B"])
                if base:
                    yield (
                        base,
                        Step(pin.part, part.shown_type, legs["B"], pin.pin, "transistor", reached == "C"),
                    )

    def _stop_at(self, net: str) -> Path:
        """Why a net without any output stops the walk."""
        path, findings = stop_at(self.circuit, net)
        self.say(findings)
        return path

    def _end(self, pin: PinRef, part: Identified) -> Path:
        """The end of a walk at an output; what is odd about its part is said."""
        self.say(part.findings)
        return end_at(pin, part)
