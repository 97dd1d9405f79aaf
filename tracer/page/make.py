"""A traced board -> what its page shows: leg readings, levels, and what each fault does."""

from __future__ import annotations

from collections.abc import Mapping

from tracer.card.chips import chip_views
from tracer.levels.codes import bench_levels
from tracer.levels.legs import read_legs
from tracer.page.board_parts import drawn_parts, other_parts, stage_parts
from tracer.page.faults import faults_shown
from tracer.page.values import BoardPage
from tracer.palette.values import Palette
from tracer.place.make import place_view
from tracer.suspects.answer import reason_on_notes
from tracer.suspects.tables import tables_of
from tracer.tracing.pipeline import Traced

__all__ = ["make_page"]


def make_page(
    traced: Traced,
    load_ohm: float | None = 75.0,
    *,
    palette: Palette | None = None,
    palette_words: tuple[str, ...] = (),
) -> BoardPage:
    """All that a board's page shows; the evidence of its notes is where its questions begin.

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

    Returns
    -------
    BoardPage
        Volts of faults only where the colour's levels are known and it has at most `tracer.page.faults.MOST_BITS` bits.
    """
    reasoned = reason_on_notes(traced, load_ohm)
    tables = tables_of(reasoned[0]) if reasoned else None
    listed = reasoned[0].faults if reasoned else ()
    faults, volts = faults_shown(traced, load_ohm, listed)
    stage = stage_parts(traced)
    chips = chip_views(traced)
    pins = (c.pin.part for c in traced.bit_map.colours if c.pin.part)
    read = (m.where[0] for m in (tables.measurables if tables else ()) if m.kind in ("read", "press"))
    tried = (fault.part for fault in faults)
    drawn = tuple(drawn_parts(traced, dict.fromkeys((*(c.part for c in chips), *pins, *read, *tried))))
    return BoardPage(
        traced.bit_map,
        read_legs(traced, load_ohm),
        _nets(traced),
        bench_levels(traced, load_ohm),
        load_ohm,
        faults,
        volts,
        chips,
        traced.circuit.netlist.notes.evidence,
        palette,
        palette_words,
        reasoned[1] if reasoned else None,
        tables,
        stage,
        other_parts(traced, [*(chip.part for chip in drawn), *(part.part for part in stage)]),
        drawn,
        place_view(traced),
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
