"""R-2R ladders: two values only, and no more than three legs at each node.

Behind the smaller of two resistors of one to two the ladder goes on, to a resistor of either value; behind the larger
stands the output that drives a bit.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from tracer.base.toml_numbers import NumberTables
from tracer.beeps.bench import Bench
from tracer.beeps.wanted import Want, Wanted, are_rungs
from tracer.netlist.board import PinRef

__all__ = ["ends_ladder", "ladder_legs"]

#: Resistors of a ladder are of one make: they match better than the steps of a row of values.
LADDER_MATCH = 0.03
#: Resistors of a ladder that stand on its colour pin: the last R and the last 2R.
LEGS_ON_PIN = 2


def ends_ladder(ohms: Sequence[float]) -> bool:
    """Whether the resistors on a colour pin are two of one to two: the end of a ladder."""
    return len(ohms) == LEGS_ON_PIN and _same(max(ohms), 2 * min(ohms))


def ladder_legs(
    bench: Bench, wanted: Wanted, want: Want, numbers: NumberTables
) -> tuple[dict[PinRef, float], float]:
    """Legs to which a ladder may go on from a held one, with their weights, and the chance that it goes on at all."""
    if want.kind != "driver" or not want.ohm or not _may_go_on(bench, wanted, want):
        return {}, 0.0
    weights = {}
    here = {p.part for p in _on_near_end(bench, want) if bench.circuit.identified[p.part].kind == "resistor"}
    for reference, part in bench.circuit.identified.items():
        if part.kind not in ("resistor", "resistor pack") or not part.part.fitted or reference in here:
            continue
        for pin in part.type.pins:
            leg = PinRef(reference, pin.number)
            ohm = bench.ohm(leg)
            alone = len(bench.circuit.pins_on(bench.net(leg))) == 1
            if leg != want.held and ohm and alone and (_same(ohm, want.ohm) or _same(ohm, 2 * want.ohm)):
                weights[leg] = numbers("ladder", "beside") if _beside(leg, want.held) else 1.0
    return weights, numbers("ladder", "goes_on_known" if _has_ladder(bench, wanted) else "goes_on")


def _may_go_on(bench: Bench, wanted: Wanted, want: Want) -> bool:
    """Whether the near end of the held resistor is like a node of a ladder, and that resistor its smaller one."""
    others = [ohm for p in _on_near_end(bench, want) if p.part != want.held.part and (ohm := bench.ohm(p))]
    if len(others) > LEGS_ON_PIN or any(
        not _same(o, want.ohm) and not _same(o, 2 * want.ohm) for o in others
    ):
        return False
    if _has_ladder(bench, wanted):
        return True
    # Colours are built alike: one with more resistors on its pin has no ladder, so none has.
    return any(_same(o, 2 * want.ohm) for o in others) and _most_on_a_pin(bench, wanted) <= LEGS_ON_PIN


def _on_near_end(bench: Bench, want: Want) -> list[PinRef]:
    """The legs on the net at the other end of the held resistor."""
    near = [
        bench.net(PinRef(want.held.part, a.target if a.source == want.held.pin else a.source))
        for a in bench.circuit.identified[want.held.part].type.arcs
        if a.kind == "series" and want.held.pin in (a.source, a.target)
    ]
    return [p for net in near for p in bench.circuit.pins_on(net)]


def _has_ladder(bench: Bench, wanted: Wanted) -> bool:
    """Whether a node of a ladder was found: alike resistors on a net of a stage where the bits do not meet."""
    heads = wanted.head_nets
    for net in wanted.stage_nets:
        legs = bench.circuit.pins_on(net)
        ohms = [bench.ohm(p) for p in legs if bench.circuit.identified[p.part].kind.is_resistor]
        if net not in heads and are_rungs(ohms):
            return True
    return False


def _most_on_a_pin(bench: Bench, wanted: Wanted) -> int:
    pins = Counter(c.want.held for c in wanted.found if c.want.held in bench.colours.values())
    return max(pins.values(), default=0)


def _same(ohm: float, other: float) -> bool:
    return abs(ohm - other) <= LADDER_MATCH * other


def _beside(a: PinRef, b: PinRef) -> bool:
    """Whether two legs of one part are neighbours."""
    numbers = a.pin.isdecimal() and b.pin.isdecimal()
    return a.part == b.part and numbers and abs(int(a.pin) - int(b.pin)) == 1
