"""Answers that cannot all be right, and answers that are likely wrong: which touch to repeat.

A touch that is misread is either a beep that was not heard or a beep on the leg beside. The first shows as a sweep in
which nothing beeps; the second as a leg that nothing spoke for, where the leg beside it was expected.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from typing import Literal

from tracer.base.names import natural_key
from tracer.base.toml_numbers import NumberTables
from tracer.beeps.bench import Bench
from tracer.beeps.wanted import Connection, Wanted
from tracer.beeps.wiring import Wiring
from tracer.netlist.board import PinRef, Touch

__all__ = ["Clash", "doubtful", "find_clashes", "slip_chance"]


ClashKind = Literal["two outputs", "ground and supply", "output and supply", "heard and not heard"]


@dataclass(frozen=True)
class Clash:
    """Answers that contradict each other.

    Attributes
    ----------
    kind : str
        What the two legs cannot both be on one net, or that they beeped by some lines and not by another.
    a, b : PinRef
    rests_on : tuple of Touch
        The touches that join them.
    """

    kind: ClashKind
    a: PinRef
    b: PinRef
    rests_on: tuple[Touch, ...]


def find_clashes(bench: Bench) -> list[Clash]:
    """Two outputs that always drive on one net, a supply on ground or on an output, legs that beep and do not."""
    found = []
    for net in bench.circuit.netlist.nets:
        outputs: list[PinRef] = []
        roles: dict[str, PinRef] = {}
        for pin, part in bench.circuit.parts_on(net.name):
            leg = part.type.by_number.get(pin.pin)
            if leg is None or part.known_by != "library":
                continue
            if leg.direction == "out":
                outputs.append(pin)
            if leg.role in ("ground", "supply"):
                roles.setdefault(leg.role, pin)
        pairs: list[tuple[ClashKind, PinRef, PinRef]] = []
        if len(outputs) > 1:
            pairs.append(("two outputs", outputs[0], outputs[1]))
        if len(roles) > 1:
            pairs.append(("ground and supply", roles["ground"], roles["supply"]))
        elif outputs and roles:
            pairs.append(("output and supply", outputs[0], next(iter(roles.values()))))
        found += [Clash(kind, a, b, _path(bench, a, b)) for kind, a, b in pairs]
    for touch in bench.touches:
        if not touch.heard and bench.net(touch.pins[0]) == bench.net(touch.pins[1]):
            a, b = touch.pins
            path = _path(bench, a, b)
            if path:
                found.append(Clash("heard and not heard", a, b, (*path, touch)))
    return found


def _path(bench: Bench, a: PinRef, b: PinRef) -> tuple[Touch, ...]:
    """The fewest touches that join two legs."""
    ways: dict[PinRef, list[tuple[PinRef, Touch]]] = {}
    for touch in bench.touches:
        if touch.heard:
            for pin in touch.pins[1:]:
                ways.setdefault(touch.pins[0], []).append((pin, touch))
                ways.setdefault(pin, []).append((touch.pins[0], touch))
    rails = bench.circuit.rails
    came: dict[PinRef, tuple[PinRef, Touch | None]] = {a: (a, None)}
    queue = deque([a])
    while queue:
        here = queue.popleft()
        if here == b:
            break
        steps: list[tuple[PinRef, Touch | None]] = list(ways.get(here, ()))
        if bench.net(here) in rails:
            steps += [(p, None) for p in bench.circuit.pins_on(bench.net(here)) if p in ways or p == b]
        for other, step in steps:
            if other not in came:
                came[other] = (here, step)
                queue.append(other)
    found: list[Touch] = []
    here = b
    while here in came and here != a:
        here, joined_by = came[here]
        if joined_by is not None and joined_by not in found:
            found.append(joined_by)
    return tuple(reversed(found)) if here == a else ()


def doubtful(
    bench: Bench, wanted: Wanted, wiring: Wiring, numbers: NumberTables
) -> list[tuple[float, Connection]]:
    """Connections that one touch alone speaks for, with the chance that it was wrong, the likeliest first."""
    heard: dict[frozenset[PinRef], int] = {}
    for touch in bench.touches:
        if touch.heard and len(touch.pins) == 2:
            pair = frozenset(touch.pins)
            heard[pair] = heard.get(pair, 0) + 1
    found = []
    for connection in wanted.found:
        pair = frozenset((connection.want.held, connection.end))
        if heard.get(pair) == 1:
            found.append((slip_chance(wiring, connection, numbers), connection))
    return sorted(found, key=lambda f: -f[0])


def slip_chance(wiring: Wiring, connection: Connection, numbers: NumberTables) -> float:
    """The chance that the probe was on the leg beside the right one (Bayes' rule)."""
    near = [
        p
        for p in _beside(wiring, connection.end)
        if connection.want.kind == "stage" or p in wiring.candidates
    ]
    if not near:
        return 0.0
    chances = wiring.chances(connection.want, without=connection)
    wrong = numbers("answer", "wrong")
    right = chances.get(connection.end, 0.0)
    beside = sum(chances.get(p, 0.0) for p in near) / 2
    total = right * (1 - wrong) + wrong * beside
    return wrong * beside / total if total else 0.0


def _beside(wiring: Wiring, pin: PinRef) -> list[PinRef]:
    """The legs next to one on its part."""
    numbers = sorted(wiring.circuit.identified[pin.part].type.by_number, key=natural_key)
    at = numbers.index(pin.pin) if pin.pin in numbers else -1
    return [PinRef(pin.part, numbers[i]) for i in (at - 1, at + 1) if at >= 0 and 0 <= i < len(numbers)]
