"""What each leg of the path should read: with the board on, and with it off.

Board on: data legs follow the picture; clocks pulse; a control that a rail
holds is still; one called blanking (or a clear or enable that is driven) holds
the bits between the lines. Levels are the data sheets' (typical to guaranteed),
on the legs that drive an output stage and on the colour pins those of its solution.

Board off: see `tracer.levels.board_off`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Literal

from tracer.base.names import natural_key
from tracer.base.once import once
from tracer.bitmap.model import Bit, Colour, Step
from tracer.levels.at_rest import levels_at_rest
from tracer.levels.board_off import ohms_between
from tracer.levels.codes import DEAD_VOLTS
from tracer.levels.drive import ASSUMED_FAMILY, Corner
from tracer.levels.leg_values import Activity, Cause, LegReading, LegRole
from tracer.levels.loaded_stage import loaded_stage, solver_of
from tracer.parts.families import Family, families, family_of
from tracer.stage.nodal import NoConvergenceError
from tracer.tracing.pipeline import Traced

__all__ = ["read_legs"]

#: Stages of more bits are asked at black, full and each bit alone.
_MOST_BITS = 6
_BLANKING = re.compile(r".*(BLANK|BLNK|BLK|SYNC|DISP|ACTIVE|VIDEN|[HV]BL)", re.IGNORECASE)
_CLOCK_ROLES = frozenset({"clock"})
_GATING_ROLES = frozenset({"clear", "preset", "enable"})


def read_legs(
    traced: Traced, load_ohm: float | Literal["traced"] | None = "traced"
) -> tuple[LegReading, ...]:
    """Readings of all legs that the bits pass, from the memory to the connector, each leg once.

    At the load at which the board was traced, unless another is told; None for none.
    """
    return _readings(traced, traced.bit_map.load_ohm if load_ohm == "traced" else load_ohm)


@once
def _readings(traced: Traced, load_ohm: float | None) -> tuple[LegReading, ...]:
    return _Legs(traced, load_ohm).readings()


@dataclass
class _Seen:
    """A leg as the bits pass it."""

    role: LegRole
    feeds: list[tuple[str, int]] = field(default_factory=list)


class _Legs:
    """Collects legs and what is known of each."""

    def __init__(self, traced: Traced, load_ohm: float | None) -> None:
        self.traced, self.circuit = traced, traced.circuit
        self.seen: dict[tuple[str, str], _Seen] = {}
        self.swings: dict[tuple[str, str], tuple[tuple[float, float], tuple[float, float]]] = {}
        self.neighbours: dict[tuple[str, str], tuple[str, str]] = {}
        for colour in traced.bit_map.colours:
            self._swings(colour, load_ohm)
            for light, heavy in zip(colour.bits[1:], colour.bits, strict=False):
                self.neighbours[heavy.driver.part, heavy.driver.pin] = (light.driver.part, light.driver.pin)
            if len(colour.bits) > 1:
                last, before = colour.bits[-1].driver, colour.bits[-2].driver
                self.neighbours[last.part, last.pin] = (before.part, before.pin)

    def readings(self) -> tuple[LegReading, ...]:
        for colour in self.traced.bit_map.colours:
            for bit in colour.bits:
                self._collect(colour, bit)
            if colour.pin.part and colour.pin.pin:
                self._add(
                    colour.pin.part,
                    colour.pin.pin,
                    "colour pin",
                    *((colour.name, b.bit) for b in colour.bits),
                )
        order = {"source": 0, "data in": 1, "data out": 2, "control": 3, "colour pin": 4}
        ranked = sorted(
            self.seen.items(),
            key=lambda item: (item[1].role == "colour pin", natural_key(item[0][0]), order[item[1].role], natural_key(item[0][1])),
        )  # fmt: skip
        return tuple(self._reading(part, pin, seen) for (part, pin), seen in ranked)

    # -- which legs ---------------------------------------------------------------------------------

    def _collect(self, colour: Colour, bit: Bit) -> None:
        for path in bit.paths:
            if path.role == "write path":
                continue
            if path.source.part and path.source.pin:
                self._add(path.source.part, path.source.pin, "source", (colour.name, bit.bit))
            for step in path.steps:
                self._add(step.part, step.source_pin, "data in", (colour.name, bit.bit))
                self._add(step.part, step.target_pin, "data out", (colour.name, bit.bit))
                self._controls(step, colour.name, bit.bit)

    def _controls(self, step: Step, colour: str, bit: int) -> None:
        for control in step.controls:
            self._add(step.part, control.pin, "control", (colour, bit))

    def _add(self, part: str, pin: str, role: LegRole, *feeds: tuple[str, int]) -> None:
        seen = self.seen.setdefault((part, pin), _Seen(role))
        seen.feeds += [f for f in feeds if f not in seen.feeds]

    # -- board on -----------------------------------------------------------------------------------

    def _reading(self, part: str, pin: str, seen: _Seen) -> LegReading:
        known = self.circuit.identified[part]
        leg = known.type.by_number.get(pin)
        net = self.circuit.net_of(part, pin)
        activity, cause = self._activity(part, pin, net, seen.role)
        low, high = self._volts(part, pin, net, seen.role, activity)
        other = self.neighbours.get((part, pin))
        other_net = self.circuit.net_of(*other) if other else None
        return LegReading(
            part, pin, leg.name if leg else "", net, seen.role, tuple(seen.feeds), activity, cause, low, high,
            to_ground=ohms_between(self.circuit, net, None),
            neighbour=f"{other[0]}.{other[1]}" if other and other_net else None,
            to_neighbour=ohms_between(self.circuit, net, other_net) if other_net else None,
        )  # fmt: skip

    def _activity(self, part: str, pin: str, net: str | None, role: LegRole) -> tuple[Activity, Cause | None]:
        if role != "control":
            return "pulses with the picture", None
        if net is None:
            return "not known", Cause(None)
        tied = self.circuit.tied_level(net)
        if tied is not None:
            return "still", Cause(net, tied, net if net in self.circuit.rails else None)
        roles = {
            arc.role
            for arc in self.circuit.identified[part].type.arcs
            if arc.kind == "control" and arc.source == pin
        }
        drivers = self.circuit.drivers_of(net)
        is_clock = bool(roles & _CLOCK_ROLES)
        cause = Cause(net, driver=str(drivers[0]) if drivers else None, is_clock=is_clock)
        if is_clock:
            return "pulses all the time", cause
        if _BLANKING.match(self.circuit.given_name(net)) or roles & _GATING_ROLES:
            return "held by blanking", cause
        return "not known", cause

    def _volts(
        self, part: str, pin: str, net: str | None, role: LegRole, activity: Activity
    ) -> tuple[tuple[float, float] | None, tuple[float, float] | None]:
        if (part, pin) in self.swings:
            return self.swings[part, pin]
        if net is not None and net in self.circuit.rails:
            volts = self.circuit.rails[net].volts
            return ((volts, volts), None) if volts == 0.0 else (None, (volts, volts))
        if role == "colour pin" or net is None:
            # Of a colour pin nothing but the solution of its stage tells the volts.
            return None, None
        family = self._family_on(net)
        if family is None:
            return None, None
        low, high = (0.0, family.low_max), (family.high_min, max(family.high, family.high_min))
        if activity == "still":
            return (None, high) if self.circuit.tied_level(net) else (low, None)
        return low, high

    def _family_on(self, net: str) -> Family | None:
        """Of the output that the picture comes from, where several stand on a net."""
        drivers = sorted(self.circuit.drivers_of(net), key=lambda d: (d.part, d.pin) not in self.seen)
        for driver in drivers:
            found = family_of(self.circuit.identified[driver.part])
            if found is not None:
                return found
        return families()[ASSUMED_FAMILY] if drivers else None

    def _swings(self, colour: Colour, load_ohm: float | None) -> None:
        """Volts of every driver leg at each of its levels and of the colour pin at its darkest and brightest code, with
        typical and weak outputs.
        """
        stage = loaded_stage(self.traced, colour.name)
        if not colour.bits or stage.unread or not stage.drivers:
            return
        found: dict[int, tuple[list[float], list[float]]] = {}
        rest = levels_at_rest(self.traced, colour.name, load_ohm)
        levels = [rest.levels(len(stage.drivers), code) for code in _some_codes(len(rest.places))]
        dark, bright = [], []
        corners: tuple[Corner, ...] = ("typical", "weak")
        for corner in corners:
            solver = solver_of(self.traced, colour.name, load_ohm, corner)
            try:
                solver.settle_charges(levels)
                solved = [solver.solve(each).volts for each in levels]
            except NoConvergenceError:
                return
            at_pin = [volts[solver.out] for volts in solved]
            # Behind a capacitor only what lies above black is known.
            black = at_pin[0] if stage.network.charged else 0.0
            dark.append(min(at_pin) - black)
            bright.append(max(at_pin) - black)
            for each, volts in zip(levels, solved, strict=True):
                for at in rest.places:
                    if at is not None:
                        node = stage.node(stage.drivers[at].net)
                        found.setdefault(at, ([], []))[each[at]].append(volts[node])
        for bit, at in zip(reversed(colour.bits), rest.places, strict=True):
            if at in found:
                low, high = found[at]
                ends = ((min(low), max(low)), (min(high), max(high)))
                self.swings[bit.driver.part, bit.driver.pin] = ends
        # A converter or a module makes the volts itself, and a stage that nothing moves lacks something.
        is_solved = colour.levels and None not in rest.places and bright[0] - dark[0] >= DEAD_VOLTS
        if is_solved and colour.pin.part and colour.pin.pin:
            ends = ((min(dark), max(dark)), (min(bright), max(bright)))
            self.swings[colour.pin.part, colour.pin.pin] = ends


def _some_codes(n: int) -> Iterator[tuple[int, ...]]:
    if n <= _MOST_BITS:
        yield from (tuple(code >> i & 1 for i in range(n)) for code in range(2**n))
        return
    yield (0,) * n
    yield (1,) * n
    for i in range(n):
        yield tuple(int(k == i) for k in range(n))
        yield tuple(int(k != i) for k in range(n))
