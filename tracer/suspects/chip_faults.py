"""How the chips of the path fail: outputs, controls, what a memory holds and how it is addressed.

Priors are relative within a chip.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from tracer.base.names import natural_key
from tracer.suspects.fault import AddressFault, ControlRole, Effect, Fault, Manner, Place, SharedControl
from tracer.suspects.hits import BitId, by_bit
from tracer.suspects.path_legs import LegKey, PathLegs
from tracer.suspects.priors import Priors

__all__ = ["chip_faults", "loose_chips", "shared_controls"]

#: A control that is dead -> the level at which it stands; a clock can stop at either.
_STANDS: dict[ControlRole, int | None] = {"clock": None, "clear": 0, "enable": 1}


def chip_faults(legs: PathLegs, part: str, priors: Priors) -> Iterator[Fault]:
    """The ways of one chip to fail."""
    outputs = legs.outputs_of(part)
    if any(m.part == part for m in legs.traced.bit_map.index):
        yield from _memory(legs, part, outputs, priors)
        return
    stuck, dead, weak = (priors("logic", k) for k in ("stuck", "dead", "weak"))
    yield from _outputs(legs, part, outputs, stuck, weak)
    for level, word in ((0, "low"), (1, "high")):
        yield _dead(legs, part, outputs, level, dead * priors("dead", word))
    yield _dead(legs, part, outputs, None, dead * priors("dead", "silent"))
    yield from _controls(legs, part, outputs, priors("logic", "control"))


def _outputs(
    legs: PathLegs, part: str, outputs: tuple[LegKey, ...], stuck: float, weak: float
) -> Iterator[Fault]:
    share = 1.0 / len(outputs) if outputs else 0.0
    for key in outputs:
        for level in (0, 1):
            hits = Effect(by_bit(legs.held([key], level)))
            yield _of_chip("stuck", part, legs, [key], stuck * share / 2, hits, level)
        yield _of_chip("weak", part, legs, [key], weak * share, Effect(by_bit(legs.held([key], None))))


def _dead(legs: PathLegs, part: str, outputs: tuple[LegKey, ...], level: int | None, prior: float) -> Fault:
    """All outputs at one level, or none of them holding anything."""
    hits = legs.opened(outputs) if level is None else legs.held(outputs, level)
    return _of_chip("dead", part, legs, outputs, prior, Effect(by_bit(hits)), level)


def loose_chips(legs: PathLegs, share: float) -> Iterator[Fault]:
    """Chips without contact in their sockets.

    Another chip, or the same one seated anew, cures it: to the bench it is one with the chip.
    """
    for part in legs.chips:
        outputs = legs.outputs_of(part)
        yield _of_chip(
            "loose", part, legs, outputs, share / len(legs.chips), Effect(by_bit(legs.opened(outputs)))
        )


def _controls(legs: PathLegs, part: str, outputs: tuple[LegKey, ...], share: float) -> Iterator[Fault]:
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
        yield _of_chip(manner, part, legs, outputs, share / len(found), Effect(by_bit(hits)), level)


def shared_controls(legs: PathLegs, priors: Priors) -> Iterator[list[Fault]]:
    """Clocks, clears and enables that several chips of the path hang on, by the chip that drives each."""
    circuit = legs.circuit
    nets: dict[tuple[ControlRole, str], dict[str, None]] = {}
    for part in legs.chips:
        for arc in circuit.identified[part].type.arcs:
            net = circuit.net_of(part, arc.source)
            if arc.kind == "control" and net is not None:
                for role in _STANDS:
                    if arc.role == role:
                        nets.setdefault((role, net), {})[part] = None
    for (role, net), named in sorted(nets.items(), key=lambda item: natural_key(item[0][1])):
        drivers = circuit.drivers_of(net)
        if len(named) < 2 or not drivers or circuit.tied_level(net) is not None:
            continue
        driver, parts = drivers[0], tuple(sorted(named, key=natural_key))
        at_chips = ((p.part, p.pin) for p in circuit.pins_on(net) if p.part in named)
        control = SharedControl(role, net, parts, ((driver.part, driver.pin), *at_chips), _STANDS[role])
        outputs = [key for part in parts for key in legs.outputs_of(part)]
        # A stopped clock leaves the outputs at either level; a clear that stands makes them low.
        levels: tuple[int | None, ...] = {"clock": (0, 1), "clear": (0,), "enable": (None,)}[role]
        yield [
            Fault(
                "chip", "control dead", driver.part, Place((driver.part,)), (legs.leg(driver.part, driver.pin),),
                Effect(by_bit(legs.opened(outputs) if level is None else legs.held(outputs, level))), level,
                priors("logic", "stuck") / len(levels), control=control,
            )
            for level in levels
        ]  # fmt: skip


# -- memories -----------------------------------------------------------------------------------------


def _memory(legs: PathLegs, part: str, outputs: tuple[LegKey, ...], priors: Priors) -> Iterator[Fault]:
    bit, dead, address, contents = (priors("memory", k) for k in ("bit", "dead", "address", "contents"))
    stuck, weak, shorted = (priors("memory_bit", k) for k in ("stuck", "weak", "shorted"))
    yield from _outputs(legs, part, outputs, bit * stuck, bit * weak)
    yield _dead(legs, part, outputs, None, dead * priors("memory_dead", "silent"))
    yield _dead(legs, part, outputs, 0, dead * priors("memory_dead", "low"))
    yield from _address(legs, part, address, priors)
    for pin, other in pairwise(outputs):
        yield _of_chip(
            "data shorted", part, legs, (pin, other), bit * shorted / len(outputs),
            Effect(tied=(_first_bit(legs, pin), _first_bit(legs, other))),
        )  # fmt: skip
    yield from _written(legs, part, outputs, contents * priors("memory_contents", "written"))
    words = Effect(memories=(part,), scrambled=True)
    yield _of_chip("other words", part, legs, (), contents * priors("memory_contents", "words"), words)


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
            effect = Effect(memories=(part,), address=AddressFault(i, level=level))
            yield _of_chip("address stuck", part, legs, [key], share / len(pins) * stuck, effect, level)
    for i, keys in enumerate(pairwise(pins)):
        effect = Effect(memories=(part,), address=AddressFault(i, other=i + 1))
        yield _of_chip("address shorted", part, legs, keys, share / len(pins) * shorted, effect)


def _written(legs: PathLegs, part: str, outputs: tuple[LegKey, ...], share: float) -> Iterator[Fault]:
    """Chips that write the memory and do not let go of its data legs."""
    writers = {
        step.part
        for c in legs.traced.bit_map.colours for b in c.bits for p in b.paths
        if p.role == "write path" for step in p.steps
        if b.main_path is not None and b.main_path.source.part == part and step.part not in legs.chips
    }  # fmt: skip
    for writer in sorted(writers, key=natural_key):
        yield Fault(
            "chip", "held on", writer, Place((writer,)), (), Effect(by_bit(legs.held(outputs, None))),
            prior=share / len(writers), fights=part,
        )  # fmt: skip


def _of_chip(
    manner: Manner,
    part: str,
    legs: PathLegs,
    keys: tuple[LegKey, ...] | list[LegKey],
    prior: float,
    effect: Effect,
    level: int | None = None,
) -> Fault:
    return Fault("chip", manner, part, Place((part,)), legs.legs(keys), effect, level, prior)
