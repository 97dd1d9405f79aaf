"""The faults that a page lets people try: those listed for the path that a leg or a chip shows, with their volts.

Volts are kept once for each change of bits, as many legs of one path change the same bit in the same way.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from tracer.levels.codes import bench_levels
from tracer.page.values import FaultAt, FaultedBit, FaultedColour, OpenInput
from tracer.parts.families import family_of
from tracer.suspects.fault import Fault
from tracer.suspects.hits import AtDriver, BitId, Hit, stands_from
from tracer.suspects.listing import list_faults
from tracer.suspects.path_legs import LegKey, PathLegs, path_legs
from tracer.suspects.picture import picture_of
from tracer.suspects.priors import load_priors
from tracer.tracing.pipeline import Traced

__all__ = ["MOST_BITS", "faults_shown"]

#: Colours of more bits have no ramps: 256 steps are what a page can show side by side.
MOST_BITS = 8


def faults_shown(
    traced: Traced, load_ohm: float | None
) -> tuple[tuple[FaultAt, ...], tuple[tuple[float, ...], ...]]:
    """Faults in the order of their legs, source first, then those of whole chips; and the volts that they name."""
    levels, picture, legs = bench_levels(traced, load_ohm), picture_of(traced, load_ohm), path_legs(traced)
    known = {c.colour for c in levels.colours if c.loads and c.n_bits <= MOST_BITS}
    pool: dict[tuple[float, ...], int] = {}
    solved: dict[object, int | None] = {}
    found = []
    for fault, key in _places(legs, list_faults(traced, load_priors())):
        hit = picture.bits_hit(fault.effect)
        colours = []
        for colour in traced.bit_map.colours:
            own = {bit.bit: hit[colour.name, bit.bit] for bit in colour.bits if (colour.name, bit.bit) in hit}
            if not own:
                continue
            change = (colour.name, *own.items())
            if change not in solved:
                volts = picture.volts_by_code(colour.name, fault.effect) if colour.name in known else None
                solved[change] = None if volts is None else pool.setdefault(volts, len(pool))
            bits = tuple(_faulted(legs, fault, (colour.name, bit), end) for bit, end in own.items())
            colours.append(FaultedColour(colour.name, bits, solved[change]))
        if colours:
            found.append(FaultAt(fault, *key, tuple(colours)))
    return tuple(found), tuple(pool)


def _places(legs: PathLegs, faults: tuple[Fault, ...]) -> Iterator[tuple[Fault, tuple[str, str | None]]]:
    """Faults with the leg, or the whole chip, at which a person looks for them.

    A leg that stands at a level: an output by its chip's fault, an input by that of the track it hangs on.
    """
    of_leg: dict[tuple[LegKey, str], dict[int | None, Fault]] = {}
    whole = {}
    for fault in faults:
        if fault.manner == "loose":
            whole[fault.part] = fault
        elif (fault.what, fault.manner) in (("chip", "stuck"), ("track", "shorted"), ("joint", "open")):
            for leg in fault.legs:
                of_leg.setdefault(((leg.part, leg.pin), fault.what), {})[fault.level] = fault
    for key, (path, at) in ((key, uses[0]) for key, uses in legs.uses.items()):
        if legs.is_output(key):
            held = of_leg.get((key, "chip"), {})
        else:
            start = path.legs[max(at - 1, 0)]
            held = of_leg.get(((start.part, start.pin), "track"), {})
        opened = of_leg.get((key, "joint"), {})
        yield from ((fault, key) for fault in (*held.values(), *opened.values()))
    chips = dict.fromkeys(part for part, _ in legs.uses)
    yield from ((whole[part], (part, None)) for part in chips if part in whole)


def _faulted(legs: PathLegs, fault: Fault, key: BitId, end: AtDriver) -> FaultedBit:
    return FaultedBit(
        key[1], end.level, end.let_go, None if end.is_told else _open_input(legs, fault.effect.hits, key)
    )


def _open_input(legs: PathLegs, hits: Mapping[BitId, Sequence[Hit]], key: BitId) -> OpenInput:
    """The input that a fault leaves open."""
    path, hit = legs.paths[key], hits[key][-1]
    reader = path.legs[stands_from(path, hit)].part
    known = legs.circuit.identified.get(reader)
    family = family_of(known) if known else None
    return OpenInput(reader, family.name if family else None)
