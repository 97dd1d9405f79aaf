"""What can fail between the resistors and the tube: track and plug, harness, the monitor's inputs, two wires swapped.

Priors are shares of one another.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from tracer.bitmap.model import Colour
from tracer.suspects.fault import Effect, Fault, Leg, Place
from tracer.suspects.path_legs import PathLegs
from tracer.suspects.priors import Priors

__all__ = ["beyond_faults", "severed_tracks"]

#: What a weak input of a monitor leaves of a colour: guess.
_WEAK_GAIN = 0.4


def severed_tracks(legs: PathLegs, share: float) -> Iterator[Fault]:
    """The track from a colour's resistors to its pin, open on the board."""
    colours = [c for c in legs.traced.bit_map.colours if c.bits]
    for colour in colours:
        ends = _nearest(colour), _pin_of(colour)
        yield Fault(
            "joint", "open", colour.pin.part or "", Place(ends), _at(colour), Effect(severed=(colour.name,)),
            prior=share / len(colours), colours=(colour.name,),
        )  # fmt: skip


def beyond_faults(legs: PathLegs, priors: Priors) -> Iterator[Fault]:
    """Behind the connector's pin: edge contact, plug, harness, monitor."""
    colours = [c for c in legs.traced.bit_map.colours if c.bits]
    for colour in colours:
        for manner, word, gain in (("wire open", "open", 0.0), ("input weak", "weak", _WEAK_GAIN)):
            yield Fault(
                "beyond", "wire open" if manner == "wire open" else "input weak", colour.pin.part or "",
                Place((_pin_of(colour),)), _at(colour), Effect(gains=((colour.name, gain),)),
                prior=priors("beyond", word), colours=(colour.name,),
            )  # fmt: skip
    for a, b in combinations(colours, 2):
        yield Fault(
            "beyond", "wires swapped", a.pin.part or "", Place((_pin_of(a), _pin_of(b))), (*_at(a), *_at(b)),
            Effect(swapped=(a.name, b.name)), prior=priors("beyond", "swapped"), colours=(a.name, b.name),
        )  # fmt: skip


def _pin_of(colour: Colour) -> str:
    pin = colour.pin
    return f"{pin.part}.{pin.pin}" if pin.part else pin.net


def _at(colour: Colour) -> tuple[Leg, ...]:
    pin = colour.pin
    return (Leg(pin.part or "", pin.pin, pin.name),) if pin.pin else ()


def _nearest(colour: Colour) -> str:
    """What the track comes from: a transistor or amplifier that all bits pass, else the heaviest bit's resistor."""
    return next((r.part for b in colour.bits for r in b.resistors), colour.bits[0].driver.part)
