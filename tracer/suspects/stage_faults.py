"""How resistors, diodes and transistors of the output stages fail, and the stage with one of them failed.

Priors are shares of one another.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from tracer.bitmap.model import Colour
from tracer.levels.loaded_stage import loaded_stage
from tracer.parts.kinds import Kind
from tracer.stage.model import Stage
from tracer.stage.network import Diode, Network, Resistor, Transistor
from tracer.suspects.fault import Change, Effect, Fault, Manner, Place, StageChange, What
from tracer.suspects.priors import Priors
from tracer.tracing.pipeline import Traced

__all__ = ["changed_stage", "stage_faults"]

#: A resistor that drifted or was fitted wrong, as factors of its value (drifting goes up; a wrong one may be either),
#: and a shorted one.
WRONG_VALUES, SHORTED = (10.0, 2.5, 0.3), 1e-3
#: What stands for an open resistor: far beyond every other one of a stage; and for a short in a transistor.
OPEN_OHM, SHORT_OHM = 1e9, 1.0
_LIFTED = "\0lifted"

_OF_RESISTOR: tuple[tuple[Manner, str, Change, float], ...] = (
    ("open", "open", "remove", 0.0),
    *(("wrong value", "value", "scale", factor) for factor in WRONG_VALUES),
    ("shorted", "short", "scale", SHORTED),
)
#: Ways of a part with junctions to fail: manner, share among the passive parts, what becomes of the stage.
_Ways = tuple[tuple[Manner, str, Change], ...]
_OF_TRANSISTOR: _Ways = (
    ("open", "open", "transistor open"),
    ("collector-emitter short", "short", "collector-emitter short"),
    ("base-emitter short", "short", "base-emitter short"),
    ("collector-base short", "short", "collector-base short"),
)
_OF_DIODE: _Ways = (
    ("open", "open", "diode open"),
    ("shorted", "short", "diode short"),
)


def stage_faults(traced: Traced, priors: Priors) -> Iterator[Fault]:
    """Resistors, diodes and transistors of the stages.

    A stage that is shared holds the resistors of all its colours: each is a fault of one of them.
    """
    for colour in traced.bit_map.colours:
        if not colour.bits:
            continue
        stage, own = loaded_stage(traced, colour.name), (colour.name,)
        for i, r in enumerate(stage.network.resistors):
            for manner, prior, change, factor in _OF_RESISTOR:
                effect = Effect(stage=(StageChange(colour.name, change, i, factor),))
                share = priors("passive", prior) / (len(WRONG_VALUES) if manner == "wrong value" else 1)
                yield Fault(
                    "resistor", manner, r.part, Place((r.part,)), (), effect,
                    prior=share, ohm=r.ohm, colours=own,
                )  # fmt: skip
        junctions: tuple[tuple[What, Sequence[Transistor | Diode], _Ways], ...] = (
            ("transistor", stage.network.transistors, _OF_TRANSISTOR),
            ("diode", stage.network.diodes, _OF_DIODE),
        )
        for what, parts, ways in junctions:
            for i, each in enumerate(parts):
                for manner, prior, change in ways:
                    effect = Effect(stage=(StageChange(colour.name, change, i),))
                    yield Fault(
                        what, manner, each.part, Place((each.part,)), (), effect,
                        prior=priors("passive", prior), colours=own,
                    )  # fmt: skip
        for part, is_ground in _clamps(traced, colour):
            effect = Effect(joined=own) if is_ground else Effect(lifted=own)
            yield Fault(
                "diode", "shorted", part, Place((part,)), (), effect,
                prior=priors("passive", "short"), colours=own,
            )  # fmt: skip
        for pack, at in _bussed(traced, stage).items():
            yield Fault(
                "resistor", "common open", pack, Place((pack,)), (),
                Effect(stage=(StageChange(colour.name, "lift", at),)), prior=priors("passive", "open"), colours=own,
            )  # fmt: skip


def _clamps(traced: Traced, colour: Colour) -> Iterator[tuple[str, bool]]:
    """Diodes from a colour's pin to a rail, which a good board never notices; whether the rail is ground."""
    circuit = traced.circuit
    for pin in circuit.pins_on(colour.pin.net):
        if circuit.identified[pin.part].kind == Kind.DIODE:
            others = {circuit.net_of(pin.part, n) for n in circuit.netlist.pins_of_parts[pin.part]}
            for net in sorted(n for n in others if n is not None and n in circuit.rails):
                yield pin.part, circuit.rails[net].is_ground


def _bussed(traced: Traced, stage: Stage) -> dict[str, int]:
    """Packs with several resistors from one rail -> the first of them."""
    found: dict[str, list[int]] = {}
    for i, r in enumerate(stage.network.resistors):
        pack = traced.circuit.identified[r.part].kind == Kind.RESISTOR_PACK
        if pack and {r.a, r.b} & set(stage.fixed):
            found.setdefault(r.part, []).append(i)
    return {pack: places[0] for pack, places in found.items() if len(places) > 1}


def changed_stage(stage: Stage, changes: Sequence[StageChange]) -> Stage:
    """The stage with parts removed, shorted or of other values."""
    if not changes:
        return stage
    network = stage.network
    resistors, transistors = list(network.resistors), list(network.transistors)
    diodes = list(network.diodes)
    for each in changes:
        if each.change == "scale":
            resistors[each.at] = replace(resistors[each.at], ohm=resistors[each.at].ohm * each.factor)
        elif each.change == "remove":
            resistors[each.at] = replace(resistors[each.at], ohm=OPEN_OHM)
        elif each.change == "lift":
            _lift(resistors, each.at, stage)
        elif each.change in ("diode open", "diode short"):
            d = diodes.pop(each.at)
            if each.change == "diode short":
                resistors.append(Resistor(d.part, d.anode, d.cathode, SHORT_OHM))
        else:
            q = transistors.pop(each.at)
            if each.change == "collector-emitter short":
                resistors.append(Resistor(q.part, q.collector, q.emitter, SHORT_OHM))
            elif each.change == "base-emitter short":
                resistors.append(Resistor(q.part, q.base, q.emitter, SHORT_OHM))
            elif each.change == "collector-base short":
                # What is left is the junction from the base, now the collector, to the emitter.
                resistors.append(Resistor(q.part, q.base, q.collector, SHORT_OHM))
                ends = (q.base, q.emitter) if q.polarity == "npn" else (q.emitter, q.base)
                diodes.append(Diode(q.part, *ends))
    changed = Network(
        tuple(resistors), tuple(diodes), tuple(transistors), network.amplifiers, network.charged
    )
    return replace(stage, network=changed)


def _lift(resistors: list[Resistor], at: int, stage: Stage) -> None:
    """Take the common leg of a pack off its rail: its resistors stay joined there."""
    pack = resistors[at].part
    for i, r in enumerate(resistors):
        if r.part == pack:
            a, b = (_LIFTED if end in stage.fixed else end for end in (r.a, r.b))
            resistors[i] = replace(r, a=a, b=b)
