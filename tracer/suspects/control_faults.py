"""Clocks, clears, enables and blanking that come from beside the path: what drives them is dead, or a joint is open.

Priors are shares of one another.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tracer.base.names import natural_key
from tracer.base.once import once
from tracer.levels.at_rest import levels_at_rest
from tracer.levels.loaded_stage import loaded_stage
from tracer.suspects.fault import AddressFault, ControlRole, Effect, Fault, Place, SharedControl
from tracer.suspects.hits import by_bit
from tracer.suspects.index_faults import far_feeds, memories_of, near_feeds
from tracer.suspects.of_chip import MIXES
from tracer.suspects.path_legs import LegKey, PathLegs
from tracer.suspects.priors import Priors

__all__ = ["blanking_faults", "control_faults", "controls_of", "open_controls", "shorted_controls"]

#: Ohms at which it is asked who blanks: 75 (`tracer.tracing.pipeline`).
USUAL_LOAD = 75.0

#: A control that is dead -> the level at which it stands; a clock can stop at either.
_STANDS: dict[ControlRole, int | None] = {"clock": None, "clear": 0, "enable": 1}
#: Levels at which the outputs stand in turn when a control is dead, in several ways; none: they hold nothing.
_OUTPUTS: dict[ControlRole, tuple[tuple[int, ...], ...]] = {
    "clock": ((0,), (1,), *MIXES),
    "clear": ((0,),),
    "enable": ((),),
}


@once
def controls_of(legs: PathLegs) -> list[SharedControl]:
    """Every clock, clear and enable that something drives, of the path's chips and of those before the palette.

    Each net and role once.
    """
    circuit = legs.circuit
    nets: dict[tuple[ControlRole, str], dict[str, None]] = {}
    for part in dict.fromkeys((*legs.chips, *near_feeds(legs), *far_feeds(legs))):
        for arc in circuit.identified[part].type.arcs:
            net = circuit.net_of(part, arc.source)
            if arc.kind == "control" and net is not None:
                for role in _STANDS:
                    if arc.role == role:
                        nets.setdefault((role, net), {})[part] = None
    found = []
    for (role, net), named in sorted(nets.items(), key=lambda item: natural_key(item[0][1])):
        drivers = circuit.drivers_of(net)
        if not drivers or circuit.tied_level(net) is not None:
            continue
        driver, parts = drivers[0], tuple(sorted(named, key=natural_key))
        at_chips = ((p.part, p.pin) for p in circuit.pins_on(net) if p.part in named)
        legs_of = ((driver.part, driver.pin), *at_chips)
        found.append(SharedControl(role, net, parts, legs_of, _STANDS[role]))
    return found


def control_faults(legs: PathLegs, priors: Priors) -> Iterator[list[Fault]]:
    """What drives a control is dead; the faults of one control are one list."""
    for control in controls_of(legs):
        part, pin = control.legs[0]
        levels = _OUTPUTS[control.role]
        yield [
            Fault(
                "chip", "control dead", part, Place((part,)), (legs.leg(part, pin),),
                _stands(legs, control.parts, level), _only(level), priors("logic", "stuck") / len(levels), control=control,
            )
            for level in levels
        ]  # fmt: skip


def open_controls(legs: PathLegs, share: float) -> Iterator[Fault]:
    """Joints and tracks to a chip's clock or enable that are open; an open clear of a TTL chip does nothing."""
    found = [
        (control, key)
        for control in controls_of(legs)
        for key in control.legs[1:]
        if control.role != "clear" and key[0] in control.parts
    ]
    for control, key in found:
        ends = tuple(f"{part}.{pin}" for part, pin in (control.legs[0], key))
        levels = _OUTPUTS[control.role]
        for level in levels:
            yield Fault(
                "joint", "control open", key[0], Place(ends), (legs.leg(*key),),
                _stands(legs, key[:1], level), _only(level), share / len(found) / len(levels),
                control=control,
            )  # fmt: skip


def shorted_controls(legs: PathLegs, share: float) -> Iterator[Fault]:
    """Tracks of controls that are shorted to ground or supply, where that stops the chips."""
    found = [c for c in controls_of(legs) if len(c.legs) > 1]
    for control in found:
        ends = tuple(".".join(key) for key in control.legs[:2])
        levels = _OUTPUTS[control.role]
        for level in levels:
            yield Fault(
                "track", "shorted", control.legs[0][0], Place(ends), (legs.leg(*control.legs[0]),),
                _stands(legs, control.parts, level), 0 if control.stands is None else control.stands,
                share / len(found) / len(levels), control=control,
            )  # fmt: skip


def _only(levels: Sequence[int]) -> int | None:
    """The one level at which all stand."""
    return levels[0] if len(levels) == 1 else None


def _stands(legs: PathLegs, parts: Sequence[str], levels: Sequence[int]) -> Effect:
    """The outputs of chips stand, or hold nothing; those before the palette stand as they stood last."""
    outputs = [key for name in parts for key in legs.outputs_of(name)]
    hits = by_bit(
        legs.opened(outputs)
        if not levels
        else (h for i, key in enumerate(outputs) for h in legs.held([key], levels[i % len(levels)]))
    )
    feeds = [
        f for every in (near_feeds(legs), far_feeds(legs)) for part in parts for f in every.get(part, ())
    ]
    is_mixed = len(levels) > 1
    if not feeds:
        return Effect(hits, is_mixed=is_mixed)
    held = {feed.net.line: i % 2 for i, feed in enumerate(feeds)}
    address = AddressFault(tuple(held.items()), is_partial=all(f.is_partial for f in feeds))
    still = tuple(dict.fromkeys(key for feed in feeds for key in feed.legs))
    return Effect(hits, memories_of(feeds), address, still=still, is_mixed=is_mixed)


def blanking_faults(legs: PathLegs, priors: Priors) -> Iterator[list[Fault]]:
    """Outputs that blank the stages and stand there; the faults of one output are one list."""
    blanks: dict[LegKey, tuple[list[str], int]] = {}
    for colour in legs.traced.bit_map.colours:
        if not colour.bits:
            continue
        stage = loaded_stage(legs.traced, colour.name)
        for at, level in levels_at_rest(legs.traced, colour.name, USUAL_LOAD).blanked.items():
            pin = stage.drivers[at].pins[0]
            blanks.setdefault((pin.part, pin.pin), ([], level))[0].append(colour.name)
    for key, (colours, level) in sorted(blanks.items()):
        yield [
            Fault(
                "chip", "blanks", key[0], Place((key[0],)), (legs.leg(*key),),
                Effect(blanked=tuple(colours), stands=((key, level),)), level, priors("logic", "stuck"), colours=tuple(colours),
            )
        ]  # fmt: skip
