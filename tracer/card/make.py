"""A traced board, or a saved map -> what its bench card shows.

The order of probing goes from the connector back, so that the first leg that
is right stands right behind the fault; what all bits of a chip share (supply,
clock, clear) comes before the bits, as one leg there explains many.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from tracer.base.once import once
from tracer.bitmap.model import Bit, BitMap, Path
from tracer.card.board_values import clocks_of, path_donors, supplies_of
from tracer.card.chip_values import ChipView, LegMark, mark_text
from tracer.card.chips import chip_views, chip_views_of_map, connector_views
from tracer.card.stage_legs import clamp_legs, transistor_legs
from tracer.card.values import BoardCard, ProbeKind, ProbeLeg, ProbeStep
from tracer.levels.codes import bench_levels
from tracer.levels.legs import read_legs
from tracer.parts.library import Library
from tracer.place.make import place_view
from tracer.tracing.pipeline import Traced

__all__ = ["card_of_map", "make_card"]

#: The supply leg to probe where a chip has several, as EPROMs do with VPP.
_MAIN_SUPPLY = re.compile(r"V(CC|DD)|\+5", re.IGNORECASE)


@once
def make_card(traced: Traced, load_ohm: float | None = 75.0) -> BoardCard:
    """The card of a traced board.

    Parameters
    ----------
    traced : Traced
        From `tracer.tracing.pipeline.trace_fully`.
    load_ohm : float or None
        The first of the two loads, in ohms; the second is 1k, or 75 where the first is 1k.
    """
    chips = chip_views(traced)
    return BoardCard(
        traced.bit_map,
        chips,
        connector_views(traced.bit_map, traced.circuit),
        bench_levels(traced, load_ohm),
        read_legs(traced, load_ohm),
        probe_order(traced.bit_map, chips, transistor_legs(traced), clamp_legs(traced)),
        traced.circuit.netlist.notes.evidence,
        supplies_of(traced.circuit),
        clocks_of(traced.circuit),
        path_donors(traced),
        place_view(traced),
    )


def card_of_map(bit_map: BitMap, library: Library) -> BoardCard:
    """The card of a saved map: without levels, readings and nets, which the map does not hold."""
    chips = chip_views_of_map(bit_map, library)
    order = probe_order(bit_map, chips)
    return BoardCard(bit_map, chips, connector_views(bit_map), None, (), order, from_map=True)


def probe_order(
    bit_map: BitMap,
    chips: Iterable[ChipView],
    transistors: Iterable[ProbeLeg] = (),
    clamps: Iterable[ProbeLeg] = (),
) -> tuple[ProbeStep, ...]:
    """Steps in order; those without legs are left out."""
    path = [c for c in chips if c.does != "write path"]
    pins = [ProbeLeg(c.pin.part, c.pin.pin, c.name) for c in bit_map.colours if c.pin.part and c.pin.pin]
    found: list[tuple[ProbeKind, list[ProbeLeg]]] = [
        ("supply", _supply(path)),
        ("colour pins", pins),
        ("transistors", list(transistors)),
        ("clamps", list(clamps)),
        ("controls", _controls(path)),
        *_stations(bit_map),
        ("enables", _enables(bit_map, path)),
        ("index", _index(bit_map)),
        ("resistors", _resistors(bit_map)),
    ]
    return tuple(ProbeStep(kind, tuple(legs)) for kind, legs in found if legs)


def _supply(path: list[ChipView]) -> list[ProbeLeg]:
    legs = []
    for chip in path:
        plus = sorted(
            (g for g in chip.legs if g.role == "supply"), key=lambda g: not _MAIN_SUPPLY.match(g.name)
        )
        ground = next((g for g in chip.legs if g.role == "ground"), None)
        if plus and ground:
            legs += [ProbeLeg(chip.part, g.number, g.name) for g in (plus[0], ground)]
    return legs


def _controls(path: list[ChipView]) -> list[ProbeLeg]:
    return [
        ProbeLeg(chip.part, leg.number, leg.name)
        for chip in path
        for leg in chip.legs
        if leg.is_control and leg.tied is None
    ]


def _enables(bit_map: BitMap, path: list[ChipView]) -> list[ProbeLeg]:
    stored = {p.source.part for c in bit_map.colours for b in c.bits for p in b.paths if p.source.is_memory}
    return [
        ProbeLeg(chip.part, leg.number, leg.name)
        for chip in path
        if chip.part in stored
        for leg in chip.legs
        if leg.role in ("enable", "write enable")
    ]


def _index(bit_map: BitMap) -> list[ProbeLeg]:
    return [
        ProbeLeg(memory.part, line.pin, line.name)
        for memory in bit_map.index
        for line in memory.lines
        if line.is_live
    ]


def _resistors(bit_map: BitMap) -> list[ProbeLeg]:
    return [
        ProbeLeg(r.part, "", str(LegMark(c.name, b.bit)))
        for c in bit_map.colours
        for b in c.bits
        for r in b.resistors
    ]


def _stations(bit_map: BitMap) -> list[tuple[ProbeKind, list[ProbeLeg]]]:
    """Data legs by their distance from the connector: outputs of the drivers, their inputs ... the memory."""
    ranks: list[dict[tuple[ProbeKind, str, str], list[LegMark]]] = []
    for colour in bit_map.colours:
        for bit in colour.bits:
            mark = LegMark(colour.name, bit.bit)
            for row in _stations_of(bit):
                for rank, station in enumerate(row):
                    while len(ranks) <= rank:
                        ranks.append({})
                    marks = ranks[rank].setdefault(station, [])
                    if mark not in marks:
                        marks.append(mark)
    steps: list[tuple[ProbeKind, list[ProbeLeg]]] = []
    kinds: tuple[ProbeKind, ...] = ("outputs", "inputs", "sources")
    for found in ranks:
        for kind in kinds:
            legs = [
                ProbeLeg(part, pin, mark_text(marks)) for (k, part, pin), marks in found.items() if k == kind
            ]
            if legs:
                parts = list(dict.fromkeys(g.part for g in legs))
                steps.append((kind, sorted(legs, key=lambda g: parts.index(g.part))))
    return steps


def _stations_of(bit: Bit) -> list[list[tuple[ProbeKind, str, str]]]:
    """Legs of every path that shows, the main one first, from the driver back."""
    main = bit.main_path
    shown = [main, *(p for p in bit.paths if p is not main and p.role != "write path")] if main else [None]
    return [_legs_of(bit, path) for path in shown]


def _legs_of(bit: Bit, path: Path | None) -> list[tuple[ProbeKind, str, str]]:
    """Legs of a path, driver first; a driver that is itself the source is a source."""
    legs: list[tuple[ProbeKind, str, str]] = []
    for step in path.steps if path else ():
        legs += [("outputs", step.part, step.target_pin), ("inputs", step.part, step.source_pin)]
    end = path.source if path else None
    if end is not None and end.part and end.pin:
        legs.append(("sources", end.part, end.pin))
    driver = (bit.driver.part, bit.driver.pin)
    if not legs or (legs[0][1:] != driver and path is bit.main_path):
        legs.insert(0, ("outputs", *driver))
    return legs
