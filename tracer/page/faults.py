"""The faults that a page lets people try: those listed for the path that a leg or a chip shows, with their volts.

Volts are kept once for each change of bits, as many legs of one path change the same bit in the same way.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from tracer.levels.codes import bench_levels
from tracer.page.values import FaultAt, FaultedBit, FaultedColour, OpenInput, Trial
from tracer.parts.families import family_of
from tracer.suspects.fault import Fault, What
from tracer.suspects.hits import AtDriver, BitId, Hit, in_bank, stands_from
from tracer.suspects.listing import list_faults
from tracer.suspects.path_legs import LegKey, PathLegs, path_legs
from tracer.suspects.picture import picture_of
from tracer.suspects.priors import load_priors
from tracer.tracing.pipeline import Traced

__all__ = ["MOST_BITS", "faults_shown"]

#: Colours of more bits have no ramps: 256 steps are what a page can show side by side.
MOST_BITS = 8
_LEVELS: tuple[Trial, Trial] = ("low", "high")
_AT_LEGS = (("chip", "stuck"), ("track", "shorted"), ("joint", "open"))


def faults_shown(
    traced: Traced, load_ohm: float | None
) -> tuple[tuple[FaultAt, ...], tuple[tuple[float, ...], ...]]:
    """Faults in the order of their legs, source first, then those of whole chips; and the volts that they name."""
    levels, picture, legs = bench_levels(traced, load_ohm), picture_of(traced, load_ohm), path_legs(traced)
    known = {c.colour for c in levels.colours if c.loads and c.n_bits <= MOST_BITS}
    pool: dict[tuple[float, ...], int] = {}
    solved: dict[object, int | None] = {}
    found = []
    for trial, fault, key in _trials(legs, list_faults(traced, load_priors())):
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
            found.append(FaultAt(trial, fault, *key, tuple(colours)))
    return tuple(found), tuple(pool)


def _trials(
    legs: PathLegs, faults: tuple[Fault, ...]
) -> Iterator[tuple[Trial, Fault, tuple[str, str | None]]]:
    """What can be tried, the fault that it is, and its leg or whole chip.

    A leg that stands at a level: an output by its chip's fault, an input by that of the track it hangs on.
    """
    of_leg: dict[tuple[What, LegKey], dict[Trial, Fault]] = {}
    pulled = {fault.part: fault for fault in faults if fault.manner == "loose"}
    for fault in faults:
        if fault.effect.hits and (fault.what, fault.manner) in _AT_LEGS:
            (leg,) = fault.legs
            trial = "open" if fault.level is None else _LEVELS[fault.level]
            of_leg.setdefault((fault.what, (leg.part, leg.pin)), {})[trial] = fault
    for key, uses in legs.uses.items():
        path, at = uses[0]
        if path.bank:
            continue
        if legs.is_output(key):
            found = of_leg.get(("chip", key), {})
        else:
            start = path.legs[max(at - 1, 0)]
            found = of_leg.get(("track", (start.part, start.pin)), {})
        found = found | of_leg.get(("joint", key), {})
        yield from ((trial, fault, key) for trial, fault in found.items())
    chips = dict.fromkeys(part for part, _ in legs.uses)
    yield from (("pulled", pulled[part], (part, None)) for part in chips if part in pulled)


def _faulted(legs: PathLegs, fault: Fault, key: BitId, end: AtDriver) -> FaultedBit:
    return FaultedBit(
        key[1], end.level, end.let_go, None if end.is_told else _open_input(legs, fault.effect.hits, key)
    )


def _open_input(legs: PathLegs, hits: Mapping[BitId, Sequence[Hit]], key: BitId) -> OpenInput:
    """The input that a fault leaves open."""
    path = legs.paths[key]
    hit = in_bank(hits[key], path.bank)[-1]
    reader = path.legs[stands_from(path, hit)].part
    known = legs.circuit.identified.get(reader)
    family = family_of(known) if known else None
    return OpenInput(reader, family.name if family else None)
