"""Whether a drawn part can be of a type: which of its packages it is, and what speaks against it.

Names of signals differ between libraries, so only what no drawing habit changes counts: supply legs, legs beyond the
package, addresses and data legs of memories in each other's place, inputs and outputs of amplifiers.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from tracer.netlist.board import Part, Pin
from tracer.parts.amplifiers import amplifier_from_pins
from tracer.parts.by_pin_names import drawn_pins
from tracer.parts.kinds import Kind
from tracer.parts.model import DRIVING, PartType
from tracer.parts.packages import named_package

__all__ = ["disagreement", "fitting_package"]

#: Drawn names that can only be supply pins.
_SUPPLY_NAMES = re.compile(r"[AD]?(?:VCC|VDD|GND|VSS)[A-Z]?\d*|\+5V|5V", re.IGNORECASE)
_DATA_NAME = re.compile(r"(?:D|DQ|IO|I/O)\d+")


def fitting_package(
    part: Part, numbers: tuple[str, ...], found: PartType, supply_pins: frozenset[str]
) -> PartType:
    """The package of a type that a drawn part has: by its footprint, its legs and where its supplies stand.

    Parameters
    ----------
    part : Part
        As drawn.
    numbers : tuple of str
        Its pin numbers, declared or on a net.
    found : PartType
        With its other packages.
    supply_pins : frozenset of str
        Pins on nets that are named as supplies.
    """
    if not found.other_packages:
        return found
    named = named_package(
        part.footprint or part.marking, {package.package: package for package in found.other_packages}
    )
    if named is not None and disagreement(part, numbers, named) is None:
        return named

    def strangeness(package: PartType) -> tuple[int, int, int]:
        known = package.by_number
        beyond = sum(n not in known for n in numbers)
        on_nothing = sum(known[n].direction == "nc" for n in numbers if n in known)
        odd = disagreement(part, numbers, package) is not None
        # A supply on an output or a leg that goes nowhere cannot be; on an input it is a strap.
        wrong = sum(known[n].direction in (*DRIVING, "nc") for n in supply_pins if n in known)
        right = sum(known[n].direction == "power" for n in supply_pins if n in known)
        return beyond + odd, wrong - right, on_nothing

    return min((found, *found.other_packages), key=strangeness)


def disagreement(part: Part, numbers: tuple[str, ...], found: PartType) -> str | None:
    """What speaks against this drawing showing this type, in a few words, or None."""
    return next(_against(part, numbers, found), None)


def _against(part: Part, numbers: tuple[str, ...], found: PartType) -> Iterator[str]:
    known = found.by_number
    declared = {pin.number for pin in part.pins}
    for pin in part.pins:
        name = pin.name.strip()
        if pin.number not in known:
            if pin.number and pin.kind != "no_connect" and not _pad_like(pin, name):
                yield f"it has a pin {pin.number}"
            continue
        here = known[pin.number]
        is_supply = bool(_SUPPLY_NAMES.fullmatch(name.replace("~", "").replace("{", "").replace("}", "")))
        if is_supply and here.direction not in ("power", "nc"):
            yield f"pin {pin.number} is drawn as {name}, the library has {here.name}"
        elif found.kind.stores:
            role = "address" if re.fullmatch(r"A\d+", name) else "data" if _DATA_NAME.fullmatch(name) else ""
            if (role == "address" and here.role.startswith("data")) or (
                role == "data" and here.role == "address"
            ):
                yield f"pin {pin.number} is drawn as {name}, the library has {here.name}"
    for number in numbers:
        if number not in known and number not in declared and number.isdecimal():
            yield f"it has a pin {number}"
    if found.kind == Kind.AMPLIFIER:
        yield from _other_amplifier(part, numbers, found)


def _other_amplifier(part: Part, numbers: tuple[str, ...], found: PartType) -> Iterator[str]:
    """Inputs or outputs of a drawn amplifier on other legs than the library's."""
    drawn = amplifier_from_pins(found.name, drawn_pins(part.pins, numbers))
    if drawn is None:
        return
    ours = {(arc.source, arc.target, arc.inverts) for arc in found.arcs if arc.kind == "data"}
    for arc in drawn.arcs:
        if (arc.source, arc.target, arc.inverts) not in ours:
            yield f"it is drawn with an input on pin {arc.source} and its output on pin {arc.target}"


def _pad_like(pin: Pin, name: str) -> bool:
    """An exposed pad or a mounting tab, which packages add to any type."""
    return name.upper() in {"EP", "PAD", "TAB", "GND"} and pin.kind in ("power_in", "passive")
