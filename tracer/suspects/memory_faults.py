"""How a memory of the path fails: its data legs, what it holds, how it is addressed inside, and what writes it.

Priors are relative within a memory.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from tracer.base.names import natural_key
from tracer.parts.kinds import Kind
from tracer.suspects.fault import AddressFault, Effect, Fault, Place
from tracer.suspects.hits import BitId, by_bit
from tracer.suspects.of_chip import all_at, frozen, of_chip, one_output
from tracer.suspects.path_legs import LegKey, PathLegs
from tracer.suspects.priors import Priors

__all__ = ["memory_faults", "write_faults"]


def memory_faults(legs: PathLegs, part: str, outputs: tuple[LegKey, ...], priors: Priors) -> Iterator[Fault]:
    """The ways of one memory to fail."""
    bit, dead, address, contents = (priors("memory", k) for k in ("bit", "dead", "address", "contents"))
    stuck, weak, floating, shorted, unstable = (
        bit * priors("memory_bit", k) for k in ("stuck", "weak", "floating", "shorted", "unstable")
    )
    yield from one_output(legs, part, outputs, stuck, weak, floating, unstable / 2)
    yield all_at(legs, part, outputs, None, dead * priors("memory_dead", "silent"))
    yield all_at(legs, part, outputs, 0, dead * priors("memory_dead", "low"))
    yield all_at(legs, part, outputs, 1, dead * priors("memory_dead", "high"))
    yield from frozen(legs, part, outputs, dead * priors("memory_dead", "frozen"))
    unsteady = Effect(by_bit(legs.held(outputs, None)))
    yield of_chip("unstable", part, legs, outputs, unstable / 2, unsteady)
    yield from _address(legs, part, address, priors)
    for pin, other in pairwise(outputs):
        yield of_chip(
            "data shorted", part, legs, (pin, other), shorted / len(outputs),
            Effect(tied=(_first_bit(legs, pin), _first_bit(legs, other))),
        )  # fmt: skip
    words = Effect(memories=(part,), scrambled=True)
    yield of_chip("other words", part, legs, (), contents, words)


def write_faults(legs: PathLegs, priors: Priors) -> Iterator[list[Fault]]:
    """Chips that write the memories: dead, so that the game's words never come, or held on, so that they fight.

    The faults of one writer are one list.
    """
    written: dict[str, set[str]] = {}
    for colour in legs.traced.bit_map.colours:
        for bit in colour.bits:
            if bit.main_path is None or bit.main_path.source.part is None:
                continue
            for path in bit.paths:
                steps = path.steps if path.role == "write path" else ()
                for writer in {step.part for step in steps} - set(legs.chips):
                    written.setdefault(writer, set()).add(bit.main_path.source.part)
    for writer in sorted(written, key=natural_key):
        kind = legs.circuit.identified[writer].kind
        memories = tuple(
            sorted(
                (m for m in written[writer] if legs.circuit.identified[m].kind == Kind.RAM), key=natural_key
            )
        )
        if not memories or kind.conducts:
            continue
        outputs = [key for m in memories for key in legs.outputs_of(m)]
        not_written = Effect(memories=memories, scrambled=True)
        fights = Effect(by_bit(legs.held(outputs, None)))
        yield [
            Fault(
                "chip", "not written", writer, Place((writer,)), (), not_written,
                prior=priors("write", "dead"), fights=memories[0],
            ),
            Fault(
                "chip", "held on", writer, Place((writer,)), legs.legs(outputs), fights,
                prior=priors("write", "held_on"), fights=memories[0],
            ),
        ]  # fmt: skip


def _first_bit(legs: PathLegs, key: LegKey) -> BitId:
    path, _ = legs.uses[key][0]
    return path.colour, path.bit


def _address(legs: PathLegs, part: str, share: float, priors: Priors) -> Iterator[Fault]:
    """Address lines that can change, stuck inside the memory or shorted with the next."""
    memory = next(m for m in legs.traced.bit_map.index if m.part == part)
    pins = [(part, line.pin) for line in memory.lines if line.is_live]
    stuck, shorted = (priors("memory_address", k) for k in ("stuck", "shorted"))
    for i, key in enumerate(pins):
        for level in (0, 1):
            effect = Effect(memories=(part,), address=AddressFault(((i, level),)))
            yield of_chip("address stuck", part, legs, [key], share / len(pins) * stuck, effect, level)
    for i, keys in enumerate(pairwise(pins)):
        effect = Effect(memories=(part,), address=AddressFault(joined=(i, i + 1)))
        yield of_chip("address shorted", part, legs, keys, share / len(pins) * shorted, effect)
