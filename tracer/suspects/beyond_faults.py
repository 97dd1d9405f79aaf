"""What can fail between the resistors and the tube: track and plug, harness, the monitor's inputs, two wires swapped.

Priors are shares of one another.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from tracer.bitmap.model import Colour
from tracer.levels.loaded_stage import loaded_stage
from tracer.suspects.fault import Effect, Fault, Leg, Manner, Place, StageChange
from tracer.suspects.path_legs import LegKey, PathLegs
from tracer.suspects.priors import Priors

__all__ = ["beyond_faults", "far_joints", "far_legs", "severed_tracks"]

#: What a weak input of a monitor leaves of a colour: guess.
_WEAK_GAIN = 0.4
#: Of all colours alike: the plug is off or the monitor dark, its contrast is low, or its inputs lack their load, which
#: nearly doubles what a stage for 75 ohm gives. Guesses.
_ALL: tuple[tuple[Manner, str, float], ...] = (
    ("wire open", "all_open", 0.0),
    ("input weak", "all_weak", _WEAK_GAIN),
    ("no load", "all_strong", 1.7),
)


def severed_tracks(legs: PathLegs, share: float) -> Iterator[Fault]:
    """The track from a colour's resistors to its pin, open on the board."""
    colours = [c for c in legs.traced.bit_map.colours if c.bits]
    for colour in colours:
        ends = (*_nearest(legs, colour), _pin_of(colour))
        yield Fault(
            "joint", "open", colour.pin.part or "", Place(ends), _at(colour), Effect(severed=(colour.name,)),
            prior=share / len(colours), colours=(colour.name,),
        )  # fmt: skip


def far_legs(legs: PathLegs) -> list[tuple[Colour, int, LegKey]]:
    """Legs of resistors that stand on a colour's own net: the colour, the resistor's number in its stage, the leg."""
    found = []
    for colour in legs.traced.bit_map.colours:
        stage = legs.traced.stages.get(colour.name)
        if not colour.bits or stage is None:
            continue
        loaded = loaded_stage(legs.traced, colour.name)
        end = loaded.node(stage.start)
        for at, r in enumerate(loaded.network.resistors):
            if end not in (r.a, r.b) or r.part not in legs.circuit.identified:
                continue
            numbers = legs.circuit.netlist.pins_of_parts.get(r.part, ())
            nets = ((number, legs.circuit.net_of(r.part, number)) for number in numbers)
            pins = [(r.part, number) for number, net in nets if net is not None and loaded.node(net) == end]
            if len(pins) == 1:
                found.append((colour, at, pins[0]))
    return found


def far_joints(legs: PathLegs, share: float) -> Iterator[Fault]:
    """The joint of a resistor's leg on the connector's side."""
    found = far_legs(legs)
    for colour, at, (part, pin) in found:
        yield Fault(
            "joint", "open", part, Place((f"{part}.{pin}", _pin_of(colour))), (Leg(part, pin),),
            Effect(stage=(StageChange(colour.name, "remove", at),)), prior=share / len(found), colours=(colour.name,),
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
    ends = Place(tuple(_pin_of(colour) for colour in colours))
    at = tuple(leg for colour in colours for leg in _at(colour))
    names = tuple(colour.name for colour in colours)
    for manner, word, gain in _ALL if len(colours) > 1 else ():
        yield Fault(
            "beyond", manner, colours[0].pin.part or "", ends, at, Effect(gains=tuple((n, gain) for n in names)),
            prior=priors("beyond", word), colours=names,
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


def _nearest(legs: PathLegs, colour: Colour) -> tuple[str, ...]:
    """A leg of the stage that stands on the pin's net: of a transistor or amplifier, else of the heaviest bit's resistor."""
    circuit = legs.circuit
    on = [pin for pin in circuit.pins_on(colour.pin.net) if circuit.identified[pin.part].kind.is_discrete]
    weighing = [r.part for bit in colour.bits for r in bit.resistors]
    on.sort(
        key=lambda pin: (
            pin.part in weighing,
            weighing.index(pin.part) if pin.part in weighing else 0,
            pin.key,
        )
    )
    return tuple(str(pin) for pin in on[:1])
