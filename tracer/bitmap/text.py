"""Pieces of a map in words, which several outputs share."""

from __future__ import annotations

from tracer.base.text import leg
from tracer.base.units import format_ohm
from tracer.bitmap.model import Bit, Source, StageResistor, Step, When

__all__ = ["resistor_text", "resistors_text", "source_text", "way_text", "when_text"]


def resistor_text(resistor: StageResistor) -> str:
    """``R5 470R``."""
    return f"{resistor.part} {format_ohm(resistor.ohm)}" if resistor.ohm is not None else f"{resistor.part} ?"


def resistors_text(bit: Bit) -> str:
    """All resistors of a bit, or a dash."""
    return " + ".join(resistor_text(r) for r in bit.resistors) or "-"


def source_text(source: Source) -> str:
    """``U4.11 D5``, ``GND``, ``nothing``."""
    if source.part and source.pin:
        return leg(source.part, source.pin, source.name)
    return source.name or source.kind


def way_text(steps: tuple[Step, ...]) -> str:
    """``U9.12<13 U20.5<4``: each part with the leg data leaves and the leg it enters."""
    return " ".join(f"{s.part}.{s.target_pin}<{s.source_pin}{'!' if s.inverts else ''}" for s in steps)


def when_text(when: tuple[When, ...]) -> str:
    """``U5.1 S low``."""
    return ", ".join(f"{leg(w.part, w.pin, w.name)} {'high' if w.level else 'low'}" for w in when)
