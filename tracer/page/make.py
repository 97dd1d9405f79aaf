"""A traced board -> what its page shows: leg readings, levels, and what each fault does."""

from __future__ import annotations

from collections.abc import Mapping

from tracer.card.chips import chip_views
from tracer.levels.codes import bench_levels
from tracer.levels.legs import read_legs
from tracer.page.faults import faults_shown
from tracer.page.values import BoardPage
from tracer.palette.values import Palette
from tracer.suspects.values import SuspectTable
from tracer.tracing.pipeline import Traced

__all__ = ["make_page"]


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
        Volts of faults only where the colour's levels are known and it has at most `tracer.page.faults.MOST_BITS` bits.
    """
    faults, volts = faults_shown(traced, load_ohm)
    return BoardPage(
        traced.bit_map,
        read_legs(traced, load_ohm),
        _nets(traced),
        bench_levels(traced, load_ohm),
        load_ohm,
        faults,
        volts,
        chip_views(traced),
        traced.circuit.netlist.notes.evidence,
        palette,
        palette_words,
        suspects,
    )


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
