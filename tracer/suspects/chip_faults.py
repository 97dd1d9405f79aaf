"""How the chips of the path that hold or pass the bits fail: outputs, inputs, controls.

Priors are relative within a chip. `tracer.suspects.memory_faults` has what only memories can suffer.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from tracer.suspects.fault import Effect, Fault, Manner, Place
from tracer.suspects.hits import by_bit
from tracer.suspects.memory_faults import memory_faults
from tracer.suspects.of_chip import all_at, frozen, of_chip, one_output
from tracer.suspects.path_legs import LegKey, PathLegs
from tracer.suspects.priors import Priors

__all__ = ["alike_pairs", "chip_faults", "loose_chips"]


def chip_faults(legs: PathLegs, part: str, priors: Priors) -> Iterator[Fault]:
    """The ways of one chip to fail."""
    outputs = legs.outputs_of(part)
    if any(m.part == part for m in legs.traced.bit_map.index):
        yield from memory_faults(legs, part, outputs, priors)
        return
    stuck, weak, floating, shorted, dead = (
        priors("logic", k) for k in ("stuck", "weak", "floating", "shorted", "dead")
    )
    yield from one_output(legs, part, outputs, stuck, weak, floating)
    inputs = legs.inputs_of(part)
    for key in inputs:
        for level in (0, 1):
            effect = Effect(by_bit(legs.shorted([key], level)))
            yield of_chip("input shorted", part, legs, [key], shorted / len(inputs) / 2, effect, level)
    for level, word in ((0, "low"), (1, "high")):
        yield all_at(legs, part, outputs, level, dead * priors("dead", word))
    yield all_at(legs, part, outputs, None, dead * priors("dead", "silent"))
    yield from frozen(legs, part, outputs, dead * priors("dead", "frozen"))
    weak_all = Effect(by_bit(legs.held(outputs, None)))
    yield of_chip("all weak", part, legs, outputs, dead * priors("dead", "weak"), weak_all)
    yield from _controls(legs, part, outputs, priors("logic", "control"))


def alike_pairs(legs: PathLegs, priors: Priors) -> Iterator[list[Fault]]:
    """Two chips of one type that are dead in one way; the faults of two chips are one list, half of them at each."""
    circuit = legs.circuit
    memories = {m.part for m in legs.traced.bit_map.index}
    chips = [part for part in legs.chips if part not in memories and legs.outputs_of(part)]
    for a, b in combinations(chips, 2):
        if circuit.identified[a].type.name != circuit.identified[b].type.name:
            continue
        outputs = (*legs.outputs_of(a), *legs.outputs_of(b))
        pair = priors("logic", "pair")
        yield [
            Fault(
                "chip", "pair dead", part, Place((part,)), legs.legs(outputs),
                Effect(by_bit(legs.held(outputs, level))), level, pair * priors("dead", word), fights=other,
            )
            for part, other in ((a, b), (b, a)) for level, word in ((0, "low"), (1, "high"))
        ]  # fmt: skip


def loose_chips(legs: PathLegs, share: float) -> Iterator[Fault]:
    """Chips without contact in their sockets.

    Another chip, or the same one seated anew, cures it: to the bench it is one with the chip.
    """
    for part in legs.chips:
        outputs = legs.outputs_of(part)
        effect = Effect(by_bit(legs.opened(outputs)))
        yield of_chip("loose", part, legs, outputs, share / len(legs.chips), effect)


def _controls(legs: PathLegs, part: str, outputs: tuple[LegKey, ...], share: float) -> Iterator[Fault]:
    """Controls that are dead inside the chip: at their legs they are as they should be."""
    arcs = legs.circuit.identified[part].type.arcs
    roles = {arc.role for arc in arcs if arc.kind == "control"}
    found: list[tuple[Manner, int | None]] = []
    if "clock" in roles:
        found += [("not clocked", 0), ("not clocked", 1)]
    if "clear" in roles:
        found.append(("held cleared", 0))
    if "enable" in roles:
        found.append(("not enabled", None))
    for manner, level in found:
        hits = legs.opened(outputs) if level is None else legs.held(outputs, level)
        yield of_chip(manner, part, legs, outputs, share / len(found), Effect(by_bit(hits)), level)
