"""A traced board -> what its page shows: leg readings, levels, and what each fault does.

Faults are those of `tracer.suspects.leg_faults`: data legs and chips of the picture's way.
Their volts are computed once for each change of bits, as many legs of one way
change the same bit in the same way.
"""

from __future__ import annotations

from collections.abc import Mapping

from tracer.bitmap.model import Bit
from tracer.card.chips import chip_views
from tracer.levels.codes import bench_levels
from tracer.levels.legs import read_legs
from tracer.page.values import BoardPage, FaultedBit, FaultedColour, PageFault
from tracer.palette.values import Palette
from tracer.parts.families import family_of
from tracer.suspects.leg_faults import BitEffect, Fault, bits_hit, faults_of_path, volts_with
from tracer.suspects.values import SuspectTable
from tracer.tracing.pipeline import Traced

__all__ = ["MOST_BITS", "make_page"]

#: Colours of more bits have no ramps: 256 steps are what a page can show side by side.
MOST_BITS = 8


def make_page(
    traced: Traced,
    load_ohm: float | None = 75.0,
    *,
    palette: Palette | None = None,
    palette_words: tuple[str, ...] = (),
    suspects: SuspectTable | None = None,
) -> BoardPage:
    """All that a board's page shows.

    Parameters
    ----------
    traced : Traced
        From `tracer.tracing.pipeline.trace_fully`.
    load_ohm : float or None
        The monitor's input in ohms; None for none.
    palette : Palette, optional
        From `tracer.palette.make.make_palette`.
    palette_words : tuple of str
        Why there is none though contents were given.
    suspects : SuspectTable, optional
        From `tracer.suspects.answer.answer`, where the notes carry evidence.

    Returns
    -------
    BoardPage
        Volts of faults only where the colour's levels are known and it has at most `MOST_BITS` bits.
    """
    levels = bench_levels(traced, load_ohm)
    known = {c.colour for c in levels.colours if c.loads and c.n_bits <= MOST_BITS}
    pool: dict[tuple[float, ...], int] = {}
    solved: dict[object, tuple[float, ...] | None] = {}
    faults = []
    for fault in faults_of_path(traced):
        hit = bits_hit(traced, fault)
        colours = []
        for colour in traced.bit_map.colours:
            own = {key: effect for key, effect in hit.items() if key[0] == colour.name}
            if not own:
                continue
            key = tuple(own.items())
            if key not in solved:
                solved[key] = volts_with(traced, colour.name, own, load_ohm) if colour.name in known else None
            volts = solved[key]
            place = None if volts is None else pool.setdefault(volts, len(pool))
            bits = tuple(
                _faulted(traced, fault, bit, own[colour.name, bit.bit])
                for bit in colour.bits
                if (colour.name, bit.bit) in own
            )
            colours.append(FaultedColour(colour.name, bits, place))
        if colours:
            faults.append(PageFault(fault.part, fault.pin or "", fault.kind, tuple(colours)))
    return BoardPage(
        traced.bit_map,
        read_legs(traced, load_ohm),
        _nets(traced),
        levels,
        load_ohm,
        tuple(faults),
        tuple(pool),
        chip_views(traced),
        traced.circuit.netlist.notes.evidence,
        palette,
        palette_words,
        suspects,
    )


def _faulted(traced: Traced, fault: Fault, bit: Bit, effect: BitEffect) -> FaultedBit:
    unknown = effect.level is None and not effect.let_go
    return FaultedBit(
        bit.bit, effect.level, effect.let_go, _why_unknown(traced, fault, bit) if unknown else ""
    )


def _why_unknown(traced: Traced, fault: Fault, bit: Bit) -> str:
    """What is known of the input that the fault leaves open: a family whose inputs float, or no family."""
    reader = _reader(fault, bit)
    known = traced.circuit.identified.get(reader)
    family = family_of(known) if known else None
    if family is None:
        return f"the logic family of {reader} is not known, nor what its open input reads"
    return f"an open input of {reader} ({family.name}) floats: it may read low or high, and change"


def _reader(fault: Fault, bit: Bit) -> str:
    """The part whose input a fault leaves open: the faulted part itself at an input, else the next on the way."""
    path = bit.main_path
    steps = path.steps if path else ()
    for after, step in enumerate(steps):
        if step.part == fault.part and fault.pin in (None, step.target_pin):
            return steps[after - 1].part if after else fault.part
        if step.part == fault.part and fault.pin == step.source_pin:
            return fault.part
    return steps[-1].part if steps else fault.part


def _nets(traced: Traced) -> tuple[tuple[str, str, str], ...]:
    """Nets of all legs that the paths name, those of write paths too."""
    legs: dict[tuple[str, str], None] = {}
    for colour in traced.bit_map.colours:
        for bit in colour.bits:
            legs[bit.driver.part, bit.driver.pin] = None
            for path in bit.paths:
                for step in path.steps:
                    legs[step.part, step.target_pin] = None
                    legs[step.part, step.source_pin] = None
                if path.source.part and path.source.pin:
                    legs[path.source.part, path.source.pin] = None
        if colour.pin.part and colour.pin.pin:
            legs[colour.pin.part, colour.pin.pin] = None
    found: Mapping[tuple[str, str], str | None] = {leg: traced.circuit.net_of(*leg) for leg in legs}
    return tuple((part, pin, net) for (part, pin), net in found.items() if net is not None)
