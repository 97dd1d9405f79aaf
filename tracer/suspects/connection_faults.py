"""Joints of the path's legs, the tracks between them, and the pins of the colours.

Priors are shares of one another.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Literal

from tracer.suspects.beyond_faults import far_joints, far_legs, severed_tracks
from tracer.suspects.bridge_faults import joined_tracks
from tracer.suspects.chip_faults import loose_chips
from tracer.suspects.control_faults import controls_of, open_controls, shorted_controls
from tracer.suspects.fault import Effect, Fault, Leg, Place
from tracer.suspects.hits import by_bit
from tracer.suspects.index_faults import index_nets, open_lines
from tracer.suspects.path_legs import PathLegs
from tracer.suspects.priors import Priors

__all__ = ["connection_faults", "no_supply"]

#: The far end of a colour pin that is shorted to ground.
_GROUND = "ground"


def connection_faults(legs: PathLegs, priors: Priors) -> Iterator[Fault]:
    """Joints, loose sockets, shorts between tracks."""
    opened, comes_and_goes, short, socket = (
        priors("interconnect", k) for k in ("open", "intermittent", "short", "socket")
    )
    # Every joint of the path is as likely to be open as any other.
    beside = {
        severed_tracks: sum(bool(c.bits) for c in legs.traced.bit_map.colours),
        far_joints: len(far_legs(legs)),
        open_controls: sum(len(control.legs) - 1 for control in controls_of(legs)),
    }
    lines = sum(len(net.legs) for net in index_nets(legs))
    n = len(legs.uses) + lines + sum(beside.values())
    for key in legs.uses:
        part, own = key[0], legs.legs([key])
        hits = list(legs.opened([key]))
        unsteady = ((bit, replace(hit, level=None, let_go=False)) for bit, hit in hits)
        yield Fault("joint", "open", part, legs.connection(key), own, Effect(by_bit(hits)), prior=opened / n)
        # It is found by pressing the part, not by beeping the connection.
        yield Fault(
            "joint", "comes and goes", part, Place((part,)), own, Effect(by_bit(unsteady)), prior=comes_and_goes / n
        )  # fmt: skip
    # A track is named by the leg that drives it, or by the first that hears it where nothing drawn does.
    starts = [key for key, uses in legs.uses.items() if legs.is_output(key) or uses[0][1] == 0]
    nets, controls = len(index_nets(legs)), len(controls_of(legs))
    tracks = short * priors("short", "tracks") / (len(starts) + nets + controls)
    colours = priors("short", "colours")
    for key in starts:
        for level in (0, 1):
            yield Fault(
                "track", "shorted", key[0], legs.connection(key), legs.legs([key]),
                Effect(by_bit(legs.held([key], level))), level, tracks / 2,
            )  # fmt: skip
    yield from open_lines(legs, opened * lines / n, tracks * nets)
    yield from shorted_controls(legs, tracks * controls)
    yield from joined_tracks(legs, short * priors("short", "bridges"))
    yield from no_supply(legs, priors("interconnect", "supply"))
    for listed, joints in beside.items():
        yield from listed(legs, opened * joints / n)
    yield from _colour_shorts(legs, short * colours)
    yield from loose_chips(legs, socket)


#: What a chip without its supply, or without its ground, makes of its outputs: nothing, neither level, or one of them.
_WITHOUT: Mapping[int, tuple[Literal["silent", "between", "low", "high"], ...]] = {
    1: ("silent", "between", "low"),
    0: ("between", "high"),
}


def no_supply(legs: PathLegs, share: float) -> Iterator[Fault]:
    """A chip's supply or ground leg that is open."""
    found = [(part, key, level) for part in legs.chips for key, level in legs.supplies_of(part)]
    for part, key, level in found:
        outputs = legs.outputs_of(part)
        for manner in _WITHOUT[level]:
            stands = {"low": 0, "high": 1}.get(manner)
            hits = legs.opened(outputs) if manner == "silent" else legs.held(outputs, stands)
            yield Fault(
                "joint", "no supply", part, Place((".".join(key),)), legs.legs([key]), Effect(by_bit(hits)), level,
                share / len(found) / len(_WITHOUT[level]),
            )  # fmt: skip


def _colour_shorts(legs: PathLegs, share: float) -> Iterator[Fault]:
    """Colour pins shorted to ground or to one another."""
    pins = {c.name: c.pin for c in legs.traced.bit_map.colours if c.bits}
    names = list(pins)
    pairs = [(a, b) for i, a in enumerate(names) for b in names[i + 1 :]]
    every = [*((n,) for n in names), *pairs]
    for joined in every:
        own = [pins[name] for name in joined]
        ends = [f"{p.part}.{p.pin}" if p.part else p.net for p in own]
        place = Place((*ends, *([_GROUND] if len(joined) == 1 else [])))
        at = tuple(Leg(p.part or "", p.pin, p.name) for p in own if p.pin)
        yield Fault(
            "track", "colours shorted", own[0].part or "", place, at, Effect(joined=joined),
            prior=share / len(every), colours=joined,
        )  # fmt: skip
