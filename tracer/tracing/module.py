"""A colour pin fed by a module whose inside is not drawn (a hybrid of resistors in one case).

Its other legs that digital outputs drive are the bits; which colour and which
place each has can only be told by names (``R3``, ``RED_2``), and the map says so.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from tracer.base.findings import Finding, warning
from tracer.base.names import bare_name, natural_key
from tracer.bitmap.model import Bit, ColourPin, Driver
from tracer.circuit.graph import Circuit
from tracer.netlist.board import PinRef
from tracer.parts.identify import Identified
from tracer.parts.kinds import Kind
from tracer.stage.model import Stage, StageDriver
from tracer.tracing.driver_ways import DriverWays

__all__ = ["Module", "bits_through_module", "find_module"]

_LETTERS = {"red": ("R", "RED"), "green": ("G", "GREEN", "GRN"), "blue": ("B", "BLUE", "BLU")}
_NUMBERED = re.compile(r"(?:.*[^A-Z])?(?P<word>[A-Z]+?)_?(?P<index>\d+)(?:[^A-Z0-9].*)?")
_MODULE_KINDS = frozenset({Kind.UNKNOWN, Kind.CUSTOM, Kind.AMPLIFIER, Kind.RESISTOR_PACK, Kind.OTHER})


@dataclass(frozen=True)
class Module:
    """A part from which a colour comes, and what drives the inputs of its bits.

    Attributes
    ----------
    part : str
    drivers : tuple of StageDriver
        That of the highest number first.
    """

    part: str
    drivers: tuple[StageDriver, ...]


def find_module(circuit: Circuit, colour: str, pin: ColourPin, stage: Stage) -> Module | None:
    """The module that a colour leaves, or None when the stage is none."""
    if stage.network.resistors and len(stage.drivers) > 1:
        return None
    through = {amplifier.part for amplifier in stage.network.amplifiers}
    modules = [
        p
        for p, part in circuit.parts_on(pin.net)
        if part.kind in _MODULE_KINDS and len(part.type.pins) >= 6 and not _is_drawn(part)
    ]
    modules += [p for d in stage.drivers for p in d.pins if circuit.identified[p.part].kind in _MODULE_KINDS]
    for module in modules:
        if module.part in through:
            continue
        inputs = _inputs_by_index(circuit, module.part, colour)
        if len(inputs) >= 2:
            return Module(module.part, tuple(driver for _, driver in sorted(inputs.items(), reverse=True)))
    return None


def bits_through_module(ways: DriverWays, colour: str, module: Module) -> tuple[tuple[Bit, ...], Finding]:
    """The bits of a colour behind a module, heaviest first, and what is not known of them."""
    circuit = ways.walker.circuit
    n = len(module.drivers)
    bits = []
    for place, driver in enumerate(module.drivers):
        pin, paths = ways.of(driver)
        number = n - 1 - place
        known = circuit.identified[pin.part]
        shown = Driver(pin.part, known.shown_type, pin.pin, _name_of(circuit, pin), known.sold_as)
        bits.append(Bit(number, 2**number / (2**n - 1), (), shown, paths))
    marking = circuit.identified[module.part].part.marking
    text = (
        f"{colour} leaves the module {module.part} ({marking}), whose inside is not drawn: its bits were taken by their "
        "names, the highest number as the heaviest, with weights of 1, 2, 4 ...; measure them to be sure"
    )
    return tuple(bits), warning("order-by-name", text, module.part)


def _is_drawn(part: Identified) -> bool:
    """Whether it is known what joins the legs inside: a pack of which each resistor is known."""
    return part.kind == Kind.RESISTOR_PACK and any(arc.kind == "series" for arc in part.type.arcs)


def _inputs_by_index(circuit: Circuit, module: str, colour: str) -> dict[int, StageDriver]:
    """Index in the name -> what drives this leg of the module.

    Where the module's own legs are called by their bits, what stands behind may be called as it likes.
    """
    legs = circuit.identified[module].type.pins
    by_own_names = any(_index(leg.name, each) is not None for leg in legs for each in _LETTERS)
    found: dict[int, StageDriver] = {}
    for leg in sorted(legs, key=lambda p: natural_key(p.number)):
        for net in circuit.nets_of(module, leg.number):
            driver, behind = _driver_behind(circuit, net, module)
            names = [leg.name] if by_own_names else behind
            index = next((i for n in names if (i := _index(n, colour)) is not None), None)
            if driver is not None and index is not None:
                found.setdefault(index, driver)
    return found


#: Damping resistors and ferrites between a driver and a module.
_MOST_SERIES = 2


def _driver_behind(circuit: Circuit, net: str, module: str) -> tuple[StageDriver | None, list[str]]:
    """What drives a leg of a module, over series parts too, and the names met on the way."""
    names: list[str] = []
    front, seen = [net], {net}
    for _ in range(_MOST_SERIES + 1):
        for here in front:
            names.append(circuit.given_name(here))
            others = [(pin, part.kind) for pin, part in circuit.parts_on(here) if pin.part != module]
            drivers = (
                tuple(d for d in circuit.drivers_of(here) if d.part != module)
                or tuple(pin for pin, kind in others if kind.is_closed)
                or tuple(pin for pin, kind in others if kind == Kind.CONNECTOR)
            )
            if drivers:
                return StageDriver(here, drivers), [*names, *(_name_of(circuit, d) for d in drivers)]
        front = [
            other
            for here in front
            for other, _, _ in circuit.series_neighbours(here)
            if other not in seen and other not in circuit.rails
        ]
        seen.update(front)
    return None, names


def _name_of(circuit: Circuit, pin: PinRef) -> str:
    leg = circuit.identified[pin.part].type.by_number.get(pin.pin)
    return leg.name if leg else ""


def _index(name: str, colour: str) -> int | None:
    match = _NUMBERED.fullmatch(bare_name(name)) if name else None
    return int(match["index"]) if match and match["word"] in _LETTERS.get(colour, ()) else None
