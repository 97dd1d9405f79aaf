"""Short texts that several outputs share."""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Iterable

from tracer.bitmap import Bit, Source, StageResistor, Step, When
from tracer.leg_table import OhmRange
from tracer.units import format_ohm

__all__ = [
    "WIDTH",
    "clean",
    "leg",
    "ohms_text",
    "resistor_text",
    "resistors_text",
    "source_text",
    "spans",
    "volts_text",
    "way_text",
    "when_text",
    "wrapped",
]


def clean(text: str) -> str:
    """Text from a file without control characters, so that no name can steer a terminal."""
    return "".join(c if unicodedata.category(c) not in ("Cc", "Cf", "Cs") else "?" for c in text)


def leg(part: str, pin: str, name: str = "") -> str:
    """``U4.11 D5``."""
    return f"{part}.{pin} {name}" if name and name != pin else f"{part}.{pin}"


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


def spans(bits: Iterable[int]) -> str:
    """``3-0`` for 3 2 1 0."""
    spans: list[list[int]] = []
    for bit in sorted(bits, reverse=True):
        if spans and spans[-1][-1] == bit + 1:
            spans[-1].append(bit)
        else:
            spans.append([bit])
    return " ".join(str(s[0]) if len(s) == 1 else f"{s[0]}-{s[-1]}" for s in spans)


#: Columns of a terminal.
WIDTH = 80


def wrapped(text: str, first: str = "", rest: str | None = None) -> list[str]:
    """Lines of 80 columns; `rest` stands in front of all but the first, which `first` leads."""
    return textwrap.wrap(
        clean(text), WIDTH, initial_indent=first, subsequent_indent=first if rest is None else rest,
        break_on_hyphens=False,
    )  # fmt: skip


def volts_text(ends: tuple[float, float] | None) -> str:
    """``0.0-0.4``; a dash where it is not known."""
    if ends is None:
        return "-"
    low, high = (f"{v:.1f}" for v in ends)
    return low if low == high else f"{low}-{high}"


def ohms_text(ohms: OhmRange | None, unknown: str = "?") -> str:
    """``656R-726R``, ``470R up``, ``open``, ``short``."""
    if ohms is None:
        return unknown
    if ohms.lowest is None:
        return "open"
    if ohms.lowest == 0.0 and (ohms.highest or 0.0) <= 1.0:
        return "short"
    low = format_ohm(float(f"{ohms.lowest:.3g}"))
    return f"{low}-{format_ohm(float(f'{ohms.highest:.3g}'))}" if ohms.highest is not None else f"{low} up"
