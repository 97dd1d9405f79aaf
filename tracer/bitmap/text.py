"""Pieces of a map in words: the one place where its facts become words."""

from __future__ import annotations

from tracer.base.text import leg
from tracer.base.units import format_ohm
from tracer.bitmap.model import (
    Bit,
    BitMap,
    ColourPin,
    Driver,
    FoundBy,
    IndexLine,
    Source,
    StageResistor,
    Step,
    When,
)

__all__ = [
    "FOUND_BY",
    "colour_pin_text",
    "driven_by_text",
    "passed_text",
    "resistor_text",
    "resistors_text",
    "source_text",
    "status_text",
    "verdict_text",
    "way_text",
    "when_text",
]

#: How a colour pin was found.
FOUND_BY: dict[FoundBy, str] = {
    "told": "as told",
    "connector": "by the connector's standard",
    "name": "found by name",
    "shape": "found by the shape of the network",
}
#: Drivers of one line that are named; of the others there is the number.
_MOST_DRIVERS = 3


def colour_pin_text(pin: ColourPin, *, named: bool = True) -> str:
    """``J1.12 RED``; ``net RED_OUT`` where no connector is drawn."""
    if pin.part:
        return leg(pin.part, pin.pin or "", pin.name if named else "")
    return f"net {pin.net}" if named else pin.net


def status_text(bit: Bit) -> str:
    """``traced`` or ``stopped``."""
    return "traced" if bit.is_traced else "stopped"


def driven_by_text(line: IndexLine) -> str:
    """``tied low``, ``pulled high``, ``U11.4 (74LS157 1Y), and 2 more``, ``U3.2 over R7``, ``set by SW1``, ``nothing``."""
    if line.set_by in ("rail", "pull"):
        return f"{'tied' if line.set_by == 'rail' else 'pulled'} {'high' if line.level else 'low'}"
    if line.set_by == "switch":
        return f"set by {line.over}"
    if not line.drivers:
        return line.set_by
    first = line.drivers[0]
    if line.set_by == "connector":
        return f"{first.part}.{first.pin} (connector)"
    if line.over is not None:
        return f"{first.part}.{first.pin} over {line.over}"
    words = [_driver_text(driver) for driver in line.drivers[:_MOST_DRIVERS]]
    if len(line.drivers) > _MOST_DRIVERS:
        words.append(f"and {len(line.drivers) - _MOST_DRIVERS} more")
    return ", ".join(words)


def _driver_text(driver: Driver) -> str:
    what = f"{driver.sold_as} {driver.name}".rstrip()
    return f"{driver.part}.{driver.pin} ({what})"


def resistor_text(resistor: StageResistor) -> str:
    """``R5 470R``."""
    return f"{resistor.part} {format_ohm(resistor.ohm)}" if resistor.ohm is not None else f"{resistor.part} ?"


def resistors_text(bit: Bit) -> str:
    """All resistors of a bit, or a dash."""
    return " + ".join(resistor_text(r) for r in bit.resistors) or "-"


def source_text(source: Source, *, named: bool = True) -> str:
    """``U4.11 D5``, ``GND``, ``nothing``."""
    if source.part and source.pin:
        return leg(source.part, source.pin, source.name if named else "")
    return source.name or source.kind


def passed_text(step: Step) -> str:
    """``U13 in 18, out 19``: a part on the way, with the leg that data enters and the leg it leaves by."""
    return f"{step.part} in {step.source_pin}, out {step.target_pin}"


def way_text(steps: tuple[Step, ...]) -> str:
    """``U9.12<13 U20.5<4!``, for programs: the leg data leaves, the leg it enters, ``!`` where it is turned over."""
    return " ".join(f"{s.part}.{s.target_pin}<{s.source_pin}{'!' if s.inverts else ''}" for s in steps)


def when_text(when: tuple[When, ...]) -> str:
    """``U5.1 S low``."""
    return ", ".join(f"{leg(w.part, w.pin, w.name)} {'high' if w.level else 'low'}" for w in when)


def verdict_text(bit_map: BitMap) -> str:
    """How many bits end at a memory, and how many colours there are."""
    possible = f"{bit_map.colours_possible:,}" if bit_map.colours_possible else "an unknown number of"
    at_once = f", {bit_map.colours_at_once:,} at once" if bit_map.colours_at_once else ""
    return f"{bit_map.n_traced} of {bit_map.n_bits} bits traced to a memory pin; {possible} colours possible{at_once}"
