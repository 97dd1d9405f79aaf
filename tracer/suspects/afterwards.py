"""What comes before and after a cure: what silences a good chip from outside, what fits in its place, what is normal then."""

from __future__ import annotations

from collections.abc import Sequence

from tracer.base.names import natural_key
from tracer.circuit.donors import donors_of
from tracer.parts.equivalents import fits_in_place
from tracer.parts.kinds import Kind
from tracer.suspects.cure_text import (
    CURED_PUT_ASIDE,
    FITTED_RAM,
    FOR_THE_RECORD,
    POWER_OFF_FIRST,
    cured_text,
    donor_text,
    fits_text,
    silencing_text,
    swapped_text,
)
from tracer.suspects.reasoning import Reasoning
from tracer.suspects.values import AfterParts, Suspect

__all__ = ["after_parts", "afterwards", "donor_texts"]

_SILENCING = frozenset({"clock", "clear", "preset", "enable", "load"})


def afterwards(reasoning: Reasoning, suspects: Sequence[Suspect]) -> tuple[str, ...]:
    """What is said of the top suspect, by what was done already."""
    if not suspects or suspects[0].part is None or suspects[0].what in ("beyond", "unlisted"):
        return ()
    part, is_chip = suspects[0].part, suspects[0].what == "chip"
    of = after_parts(reasoning, part)
    swapped = [o.word for o in reasoning.seen if (o.kind, o.where) == ("swapped", (part,))]
    is_cured = bool(swapped) and swapped[-1] == "cured"
    lines = [*of.before] if is_chip and not swapped else []
    if is_chip and swapped and not is_cured:
        lines.append(of.swapped)
    lines.append(cured_text(_wrong_colours(reasoning) or of.colours))
    lines += [FITTED_RAM] if of.is_ram else []
    if is_cured:
        return (*lines, CURED_PUT_ASIDE)
    lines += [of.fits] if is_chip and of.fits else []
    return (*lines, POWER_OFF_FIRST, *([FOR_THE_RECORD.format(part)] if is_chip else []))


def after_parts(reasoning: Reasoning, part: str) -> AfterParts:
    """The sentences that depend on the part alone."""
    known = reasoning.traced.circuit.identified.get(part)
    fits = fits_in_place(known, reasoning.library) if known else None
    pulled = (f for f in reasoning.faults if f.part == part and f.manner == "loose")
    return AfterParts(
        tuple(_controls_first(reasoning, part)),
        swapped_text(part),
        fits_text(fits) if fits is not None else "",
        tuple(sorted({colour for fault in pulled for colour, _ in fault.effect.hits})),
        known is not None and known.kind == Kind.RAM,
        donor_texts(reasoning, part),
    )


def donor_texts(reasoning: Reasoning, part: str | None) -> tuple[str, ...]:
    """Other parts of the board that can take its place: chips to try an exchange with."""
    if part is None:
        return ()
    return tuple(donor_text(d) for d in donors_of(reasoning.traced.circuit, part, set(reasoning.legs.chips)))


def _wrong_colours(reasoning: Reasoning) -> tuple[str, ...]:
    """The colours that were said to be wrong."""
    seen = (o for o in reasoning.seen if o.kind == "seen")
    return tuple(dict.fromkeys(o.where[0] for o in seen if (o.word == "fine") == o.is_denied))


def _controls_first(reasoning: Reasoning, part: str) -> list[str]:
    """Legs that can silence a good chip from outside."""
    known = reasoning.traced.circuit.identified[part]
    controls = {arc.source for arc in known.type.arcs if arc.kind == "control" and arc.role in _SILENCING}
    supply = {p.number for p in known.type.pins if p.direction == "power"}
    if not controls and not supply:
        return []
    named, supplies = (
        [reasoning.legs.leg(part, pin) for pin in sorted(pins, key=natural_key)]
        for pins in (controls, supply)
    )
    return [silencing_text(part, named, supplies)]
